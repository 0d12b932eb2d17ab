package main

import (
	"io"
	"os"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

// A bar shows how far the work is. It is quiet where nobody watches.
type bar struct {
	out io.Writer // nil: quiet
	it  *progressbar.ProgressBar
}

// newBar is a bar on a terminal, else a quiet one.
func newBar(out io.Writer) *bar {
	if f, ok := out.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		return &bar{out: out}
	}
	return &bar{}
}

func (b *bar) show(done, of int) {
	if b.out == nil {
		return
	}
	if b.it == nil {
		b.it = progressbar.NewOptions(of, progressbar.OptionSetWriter(b.out), progressbar.OptionSetDescription("rigs"),
			progressbar.OptionShowCount(), progressbar.OptionSetPredictTime(true), progressbar.OptionClearOnFinish())
	}
	b.it.Set(done) // what a bar cannot show is not worth stopping for
}

func (b *bar) clear() {
	if b.it != nil {
		b.it.Clear()
	}
}
