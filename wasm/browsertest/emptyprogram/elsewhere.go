//go:build !js

package main

import (
	"fmt"
	"os"
)

func main() {
	fmt.Fprintln(os.Stderr, "This program runs in a browser, in the tests of package browsertest.")
	os.Exit(2)
}
