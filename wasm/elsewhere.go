//go:build !js

package main

import (
	"fmt"
	"os"
)

func main() {
	fmt.Fprintln(os.Stderr, "This program runs in a browser. To open it there: go run ./wasm/serve -open")
	os.Exit(2)
}
