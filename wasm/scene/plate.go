package scene

import (
	"quietpump/network"
	"quietpump/sim/chart"
	"quietpump/wasm/drawing"
	"quietpump/wasm/frame"
)

// A Plate is the drawing alone, without the instrument: a water system of which
// nobody knows more than what is plumbed to what, and how the valves stand. It is
// seen from the same side as a [Scene], and is for one goroutine.
type Plate struct {
	plan   *drawing.Plan
	rig    *network.Rig
	drawn  drawn
	points arena
}

// NewPlate lays a rig out. The error is that of [drawing.Lay].
func NewPlate(rig *network.Rig) (*Plate, error) {
	plan, err := drawing.Lay(rig)
	return &Plate{plan: plan, rig: rig}, err
}

// Draw puts the drawing into a box of the frame: what stands still only where it
// has changed, or where the frame is empty. A box less than a pixel wide or high shows
// nothing.
func (p *Plate) Draw(f *frame.Frame, in frame.Box, v drawing.View) {
	if in.Wide() < 1 || in.High() < 1 {
		return
	}
	p.points.reset()
	now := drawn{f.Paper, in, f.Look, p.rig, v.Picked, join(v.Show), v.Lineup.String(), texts(v.Faults), false}
	if now != p.drawn || len(f.Still.Marks) == 0 {
		p.drawn, f.Changed = now, true
		f.Still.Marks = f.Still.Marks[:0]
		p.plan.Still(&f.Still, in, f.Look, v)
		turn(p.plan, in, f.Still.Marks, func(n int) []chart.Point { return make([]chart.Point, 0, n) })
	}
	n := len(f.Moving.Marks)
	p.plan.Moving(&f.Moving, in, f.Look, f.Now, v)
	turn(p.plan, in, f.Moving.Marks[n:], p.points.lend)
}

// Find is the part under a finger in such a box, px; ok is false where there is none.
func (p *Plate) Find(x, y float64, in frame.Box) (part string, ok bool) {
	if !in.Inset(-8).Holds(x, y) {
		return "", false
	}
	return p.plan.Find(across(in, x), y, in)
}
