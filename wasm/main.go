//go:build js

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
