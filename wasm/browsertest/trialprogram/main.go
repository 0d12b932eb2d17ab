//go:build js

package main

import (
	"fmt"
	"os"

	"quietpump/wasm/browsertest/trial"
	"quietpump/wasm/opening"
	"quietpump/wasm/window"
)

func main() {
	if err := window.Run(opening.Begin(os.Args[1:], os.Stdin, opening.Files{}, trial.New("trial"), trial.New("other"))); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
