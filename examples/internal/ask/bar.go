package ask

import (
	"fmt"
	"io"
	"os"

	"github.com/cheggaaa/pb/v3"
	"golang.org/x/term"
)

// A Bar tells on a terminal how far the work is and how long it may take. It is quiet where nobody watches.
type Bar struct {
	of string // what is counted
	on io.Writer
	it *pb.ProgressBar // nil: nobody watches, or nothing is done yet
}

// NewBar begins to count things of a name, such as "rigs", on out if that is a terminal.
func NewBar(out io.Writer, of string) *Bar {
	b := &Bar{of: of}
	if f, ok := out.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		b.on = out
	}
	return b
}

// Show tells how many of how many are done; the whole may have changed since.
func (b *Bar) Show(done, of int) {
	if b.on == nil {
		return
	}
	if b.it == nil {
		b.it = pb.New(of).SetWriter(b.on).Set(pb.CleanOnFinish, true)
		b.it.SetTemplateString(fmt.Sprintf(`{{counters . "%%s of %%s"}} %s {{bar .}} {{rtime . "about %%s left"}}`, b.of)).Start()
	}
	b.it.SetTotal(int64(of)).SetCurrent(int64(done))
}

// Clear takes the line away, before anything else is printed.
func (b *Bar) Clear() {
	if b.it != nil {
		b.it.Finish()
	}
}
