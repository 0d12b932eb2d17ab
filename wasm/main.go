//go:build js

package main

import (
	"fmt"
	"os"

	"quietpump/wasm/opening/early"
	"quietpump/wasm/window"
)

func main() {
	if err := window.Run(early.Opening); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
