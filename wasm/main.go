//go:build js

// The demo in a browser: a drawing on a canvas, with notes beside it that the
// page shows. What the reader does comes in as lines on standard input, what the
// page is to show goes out as lines on standard output (see package desk).
package main

import (
	"bufio"
	"fmt"
	"os"

	"github.com/hajimehoshi/ebiten/v2"

	"quietpump/wasm/desk"
	"quietpump/wasm/desk/house"
)

// longest is the longest line the page may send, bytes: what it kept of four
// chapters is one.
const longest = 16 << 20

func main() {
	lines := make(chan string, 256)
	go func() {
		in := bufio.NewScanner(os.Stdin)
		in.Buffer(nil, longest)
		for in.Scan() {
			lines <- in.Text()
		}
	}()
	ebiten.SetScreenClearedEveryFrame(false)
	w := &window{desk: desk.New(files{}, house.Chapters()...), lines: lines}
	if err := ebiten.RunGameWithOptions(w, &ebiten.RunGameOptions{InitUnfocused: true, ScreenTransparent: true}); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// files hands over by way of the page's own table.
type files struct{}

func (files) Write(name string, data []byte) error { return os.WriteFile(name, data, 0o600) }
