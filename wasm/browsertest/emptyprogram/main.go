//go:build js

package main

import (
	"fmt"
	"os"

	"github.com/hajimehoshi/ebiten/v2"
)

type empty struct{ told bool }

func (e *empty) Update() error { return nil }

func (e *empty) Draw(*ebiten.Image) {
	if !e.told {
		e.told = true
		fmt.Println("qp:ready")
	}
}

func (e *empty) Layout(wide, high int) (int, int) { return wide, high }

func main() {
	if err := ebiten.RunGame(&empty{}); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
