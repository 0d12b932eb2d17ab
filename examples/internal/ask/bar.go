package ask

import (
	"fmt"
	"io"
	"os"
	"time"

	"golang.org/x/term"
)

// A Bar tells on a terminal how far the work is and how long it may take. It is
// quiet where nobody watches.
type Bar struct {
	out   io.Writer // nil: quiet
	of    string    // what is counted
	began time.Time
}

// NewBar begins to count things of a name, such as "rigs".
func NewBar(out io.Writer, of string) *Bar {
	b := &Bar{of: of, began: time.Now()}
	if f, ok := out.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		b.out = out
	}
	return b
}

// Show tells how many of how many are done.
func (b *Bar) Show(done, of int) {
	if b.out != nil { // what cannot be shown is not worth stopping for
		_, _ = fmt.Fprintf(b.out, "\r%s\x1b[K", b.line(done, of, time.Since(b.began)))
	}
}

func (b *Bar) line(done, of int, since time.Duration) string {
	text := fmt.Sprintf("%d of %d %s", done, of, b.of)
	if done > 0 && done < of && since > time.Second {
		left := time.Duration(float64(since) * float64(of-done) / float64(done))
		text += fmt.Sprintf(", about %s left", left.Round(time.Second))
	}
	return text
}

// Clear takes the line away.
func (b *Bar) Clear() {
	if b.out != nil {
		_, _ = fmt.Fprint(b.out, "\r\x1b[K")
	}
}
