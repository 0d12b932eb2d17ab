package drawing

import (
	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

// soft is a rectangle with round corners.
func soft(b frame.Box, r float64) []chart.Point {
	r = min(r, b.Wide()/2, b.High()/2)
	p := turn(b.X1-r, b.Y1-r, r, r, 0, 90)
	p = append(p, turn(b.X0+r, b.Y1-r, r, r, 90, 180)...)
	p = append(p, turn(b.X0+r, b.Y0+r, r, r, 180, 270)...)
	return append(p, turn(b.X1-r, b.Y0+r, r, r, 270, 360)...)
}

// lip is the neck of a tank, by which it vents and spills.
func (pic *picture) lip(b frame.Box) frame.Box {
	w := min(0.16*b.Wide(), 16)
	x := b.X0 + 1.6*w
	rise := min(0.16*b.High(), 1.4*pic.sy)
	return frame.Box{X0: x - w/2, X1: x + w/2, Y0: b.Y0 - rise, Y1: b.Y0 + 1}
}

// tank draws the shell with its lip.
func (pic *picture) tank(d *chart.Drawing, b frame.Box) {
	n := pic.lip(b)
	d.Add(chart.Shape{Points: soft(b, 6), Closed: true, Fill: chart.Paper, Line: chart.Body, Width: pic.ink()})
	d.Add(chart.Shape{Points: []chart.Point{{X: n.X0, Y: n.Y1}, {X: n.X0, Y: n.Y0}, {X: n.X1, Y: n.Y0}, {X: n.X1, Y: n.Y1}}, Fill: chart.Paper})
	for _, x := range [2]float64{n.X0, n.X1} {
		d.Add(chart.Shape{Points: []chart.Point{{X: x, Y: n.Y1}, {X: x, Y: n.Y0}}, Line: chart.Body, Width: pic.ink()})
	}
	over := n.Wide() / 2
	d.Add(chart.Shape{Points: []chart.Point{{X: n.X0 - over, Y: n.Y0}, {X: n.X1 + over, Y: n.Y0}}, Line: chart.Body, Width: 2 * pic.ink()})
}

// heater draws a jacket round a tank, and the warmth in it.
func (pic *picture) heater(d *chart.Drawing, b frame.Box) {
	d.Add(chart.Shape{Points: soft(b, 4), Closed: true, Fill: chart.Paper, Line: chart.Body, Width: pic.ink()})
	in := b.Inset(min(0.13*b.Wide(), 0.13*b.High(), 9))
	d.Add(chart.Shape{Points: soft(in, 0.3*in.Wide()), Closed: true, Fill: chart.None, Line: chart.Body, Width: 0.7 * pic.ink()})
	for k := range 3 {
		x := in.X0 + in.Wide()*(0.27+0.23*float64(k))
		var wave []chart.Point
		for j := range 13 {
			t := float64(j) / 12
			wave = append(wave, chart.Point{X: x + 0.045*in.Wide()*wiggle(2*t), Y: in.Y0 + in.High()*(0.74-0.42*t)})
		}
		d.Add(chart.Shape{Points: wave, Line: chart.Hot, Width: 1.5 * pic.ink()})
	}
}

// waste draws a waste tank, its bottom falling to its outlet.
func (pic *picture) waste(d *chart.Drawing, b frame.Box) {
	s := b.Wide() * 0.06
	d.Add(chart.Shape{Points: []chart.Point{{X: b.X0, Y: b.Y0}, {X: b.X1, Y: b.Y0}, {X: b.X1 - s, Y: b.Y1}, {X: b.X0 + s, Y: b.Y1 - 0.1*b.High()}}, Closed: true, Fill: chart.Paper, Line: chart.Body, Width: pic.ink()})
	x := b.X1 - 2.4*s
	d.Add(chart.Shape{Points: []chart.Point{{X: x, Y: b.Y1}, {X: x, Y: b.Y1 + 0.22*b.High()}}, Line: chart.Body, Width: 3 * pic.ink()})
}
