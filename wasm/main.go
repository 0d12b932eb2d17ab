//go:build js

// The demo in a browser: a drawing on a canvas, with notes beside it that the
// page shows.
package main

import (
	"fmt"
	"os"

	"quietpump/wasm/desk/house"
	"quietpump/wasm/window"
)

func main() {
	if err := window.Run(house.Chapters()...); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
