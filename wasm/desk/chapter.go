// Package desk is the demo apart from its window: it holds the four chapters,
// hands each what the reader does, lays out what it shows, and keeps what must
// survive a closed tab. It knows no browser; package main joins it to one.
package desk

import (
	"time"

	"quietpump/wasm/frame"
	"quietpump/wasm/sheet"
)

// A Chapter is one of the demo's four. All of its methods return at once; what
// takes long is advanced by Advance in pieces.
type Chapter interface {
	// Key names the chapter in a link and in what is kept: "watch".
	Key() string
	// Name is what the reader sees: "watch it".
	Name() string
	// Sheet is the margin note as it stands.
	Sheet(l frame.Look) sheet.Sheet
	// Do takes what the reader did with the sheet.
	Do(e sheet.Event)
	// Touch takes what was done on the canvas. Keys reach the sheet's buttons,
	// which do all that the canvas does.
	Touch(p frame.Pointer)
	// Advance goes on to the clock time now, computing for no longer than
	// budget, and reports whether anything is left to do or moving.
	Advance(now time.Time, budget time.Duration) (busy bool)
	// Draw puts the chapter into the frame.
	Draw(f *frame.Frame)
	// Keep is what must survive a closed tab, as JSON; Restore takes it back,
	// and refuses what it cannot use without losing what it has.
	Keep() ([]byte, error)
	Restore([]byte) error
	// Follow opens the chapter as a link asks for it.
	Follow(l Link) error
	// Effects are what the page is asked to do since the last call.
	Effects() []Effect
}

// A Link opens a chapter with a rig, a seep and a clock rate: the query
// "chapter=change&rig=coach&fault=fill+valve:+55+mL/min+at+45+psi&rate=60". Zero fields
// are the chapter's own.
type Link struct {
	Chapter string
	Rig     string  // name of a rig of the house
	Fault   string  // as network.ParseFault reads it
	Rate    float64 // simulated seconds a second
	Seed    uint64  // of a hidden fault
}

// An Effect is something only the page can do.
type Effect struct {
	Do   string // "save": offer Data as a file called Name; "copy" Data as text; "share" it; "print" Data as a page; "awake": keep the screen on while Name is "on"
	Name string
	Data []byte
}
