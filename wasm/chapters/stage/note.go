package stage

import (
	"time"

	"quietpump/wasm/frame"
	"quietpump/wasm/sheet"
)

// A Note is a sheet that is written anew only so often that it can be read: numbers
// that ran with every frame could not be, and cost the page its layout each time.
type Note struct {
	look  frame.Look
	at    time.Time
	fresh bool
	sheet sheet.Sheet
}

// every is how often a note is written anew by itself.
const every = 400 * time.Millisecond

// Anew makes the next [Note.Of] write it at once: the reader did something.
func (n *Note) Anew() { n.fresh = false }

// Of is the note as it was written last, or as write has it now where that is some time
// ago, or the look is another.
func (n *Note) Of(now time.Time, look frame.Look, write func() sheet.Sheet) sheet.Sheet {
	if since := now.Sub(n.at); !n.fresh || look != n.look || since >= every || since < 0 {
		n.look, n.at, n.fresh, n.sheet = look, now, true, write()
	}
	return n.sheet
}
