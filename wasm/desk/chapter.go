// Package desk is the demo apart from its window: it holds the four chapters,
// hands each what the reader does, lays out what it shows, and keeps what must
// survive a closed tab. It knows no browser; package window joins it to one.
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
	// Sheet is the margin note as it stands, without the chapter's key.
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
	// Keep is what must survive a closed tab, as JSON.
	Keep() ([]byte, error)
	// Restore takes back what Keep gave, and refuses what it cannot use without
	// losing what it has.
	Restore([]byte) error
	// Follow makes the chapter what a link asks for; the error is of a link that
	// asks for what there is not.
	Follow(l Link) error
	// Effects are what the page is asked to do since the last call.
	Effects() []Effect
}

// A Link opens a chapter with a rig, a seep and a clock rate: the query
// "chapter=change&rig=bypass&fault=cold+drain:+90+mL/min+at+45+psi&rate=60". Zero fields
// are the chapter's own.
type Link struct {
	Chapter string  // its key
	Rig     string  // name of a rig of the house
	Fault   string  // as network.ParseFault reads it
	Rate    float64 // simulated seconds a second
	Seed    uint64  // of a hidden fault
}

// An Effect is something only the page can do: "save" offers Data as a file called
// Name; "copy" copies it as text, "share" shares it, "print" prints it as a page; "awake"
// keeps the screen on from where Name is "on" until it is anything else.
type Effect struct {
	Do   string // "save", "copy", "share", "print" or "awake"
	Name string // of a file: its last element counts
	Data []byte // what is handed over
}
