package change

import (
	"testing"
	"time"

	"quietpump/wasm/frame"
)

// The parts of a frame's work: going on, drawing, and the note.
func BenchmarkFrame(b *testing.B) {
	c, w := begin(b), newWall()
	do(c, "rig", "bench30")
	do(c, "rate", "0.64")
	f := &frame.Frame{Paper: frame.Box{X1: 1440, Y1: 900}, Free: frame.Box{X0: 389, X1: 1440, Y1: 900}}
	for range 900 {
		w.play(c, 0.01)
		f.Now, f.Moving.Marks = w.t, f.Moving.Marks[:0]
		c.Draw(f)
	}
	b.Run("work=advance", func(b *testing.B) {
		for b.Loop() {
			w.t = w.t.Add(time.Second / 60)
			c.Advance(w.t, 0)
		}
	})
	b.Run("work=draw", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			w.t = w.t.Add(time.Second / 60)
			f.Now, f.Moving.Marks = w.t, f.Moving.Marks[:0]
			c.Draw(f)
		}
	})
	b.Run("work=note", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			s := c.Sheet(frame.Look{})
			if _, err := s.Line(); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("work=keep", func(b *testing.B) {
		for b.Loop() {
			if _, err := c.Keep(); err != nil {
				b.Fatal(err)
			}
		}
	})
}
