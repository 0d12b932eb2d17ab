//go:build js

// The trial chapter in a window of its own, for the tests of the page.
package main

import (
	"fmt"
	"os"

	"quietpump/wasm/browsertest/trial"
	"quietpump/wasm/window"
)

func main() {
	if err := window.Run(trial.New("trial"), trial.New("other")); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
