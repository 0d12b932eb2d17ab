package drawing

import (
	"slices"

	"quietpump/network"
	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

// selector draws a body whose channels show which of its mouths are joined.
func (pic *picture) selector(d *chart.Drawing, at *place, part network.Selector, s network.Setting) {
	b := at.box
	in := frame.Box{X0: b.X0 + 0.12*b.Wide(), X1: b.X1 - 0.12*b.Wide(), Y0: b.Y0, Y1: b.Y1}
	c := chart.Point{X: (b.X0 + b.X1) / 2, Y: (b.Y0 + b.Y1) / 2}
	for _, m := range at.mouth {
		x := in.X0
		if m.X > c.X {
			x = in.X1
		}
		d.Add(chart.Shape{Points: []chart.Point{m, {X: x, Y: m.Y}}, Line: chart.Body, Width: 7 * pic.thick})
	}
	d.Add(chart.Shape{Points: soft(in, 0.2*in.Wide()), Closed: true, Fill: chart.Paper, Line: chart.Body, Width: pic.ink()})
	mouth := func(joint string) (chart.Point, bool) {
		k := slices.Index(part.Ports, joint)
		if k < 0 || k >= len(at.mouth) {
			return chart.Point{}, false
		}
		m := at.mouth[k]
		if m.X > c.X {
			m.X = in.X1
		} else {
			m.X = in.X0
		}
		return m, true
	}
	for _, pos := range part.Positions {
		if pos.Name != s.Word() {
			continue
		}
		for _, j := range pos.Joins {
			m, ok := mouth(j[0])
			o, also := mouth(j[1])
			if !ok || !also {
				continue
			}
			way := rounded([]chart.Point{m, {X: c.X, Y: m.Y}, {X: c.X, Y: o.Y}, o}, 0.3*in.Wide())
			d.Add(chart.Shape{Points: way, Line: chart.Body, Width: 6.4 * pic.thick})
			d.Add(chart.Shape{Points: way, Line: chart.Still, Width: 4 * pic.thick})
		}
	}
	r := min(0.17*in.Wide(), 0.17*in.High())
	d.Add(chart.Shape{Points: turn(c.X, c.Y, r, r, 0, 345), Closed: true, Fill: chart.Body})
}

// mixer draws two handles on one body.
func (pic *picture) mixer(d *chart.Drawing, at *place, part network.Mixer, s network.Setting) {
	b := at.box
	in := frame.Box{X0: b.X0 + 0.14*b.Wide(), X1: b.X1 - 0.14*b.Wide(), Y0: b.Y0 + 0.1*b.High(), Y1: b.Y1 - 0.1*b.High()}
	c := chart.Point{X: (b.X0 + b.X1) / 2, Y: (b.Y0 + b.Y1) / 2}
	for _, m := range at.mouth {
		x := in.X0
		if m.X > c.X {
			x = in.X1
		}
		d.Add(chart.Shape{Points: []chart.Point{m, {X: x, Y: m.Y}}, Line: chart.Body, Width: 7 * pic.thick})
	}
	d.Add(chart.Shape{Points: soft(in, 0.3*in.Wide()), Closed: true, Fill: chart.Paper, Line: chart.Body, Width: pic.ink()})
	for k, ink := range []chart.Ink{chart.Hot, chart.Cold} {
		open := 0.0
		switch w := s.Word(); {
		case w == "open":
			open = s.Opening()
		case w == "hot" && k == 0, w == "cold" && k == 1:
			open = 1
		}
		y := c.Y + (float64(k)-0.5)*0.46*in.High()
		r := min(0.3*in.Wide(), 0.2*in.High())
		d.Add(chart.Shape{Points: turn(c.X, y, r, r, 0, 345), Closed: true, Fill: chart.Paper, Line: chart.Body, Width: pic.ink()})
		dx, dy := lever(open)
		d.Add(chart.Shape{Points: []chart.Point{{X: c.X - r*dx, Y: y - r*dy}, {X: c.X + 1.5*r*dx, Y: y + 1.5*r*dy}}, Line: chart.Body, Width: 2.6 * pic.ink()})
		d.Add(chart.Shape{Points: turn(c.X, y, 0.36*r, 0.36*r, 0, 345), Closed: true, Fill: ink})
	}
}
