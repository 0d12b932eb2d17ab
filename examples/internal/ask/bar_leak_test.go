package ask

import (
	"io"
	"testing"

	"go.uber.org/goleak"
)

// A bar that is taken away, at whatever point, leaves no goroutine that draws it.
func TestBarLeavesNobody(t *testing.T) {
	defer goleak.VerifyNone(t)
	for at := range 4 {
		b := NewBar(io.Discard, "rigs")
		b.on = io.Discard
		for done := range at {
			b.Show(done, 3)
		}
		b.Clear()
	}
}
