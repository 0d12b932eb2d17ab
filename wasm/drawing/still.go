package drawing

import (
	"slices"
	"strings"

	"quietpump/network"
	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

func containsFold(s, sub string) bool { return strings.Contains(strings.ToLower(s), sub) }

// Still draws what changes only when something happens: the vehicle, the tubes at
// rest, the parts as the lineup has them, and their names but for those that lie
// over a tube.
func (p *Plan) Still(d *chart.Drawing, in frame.Box, l frame.Look, v View) {
	pic := p.picture(in)
	pic.hull.draw(d, pic)
	pic.pipes(d)
	for i := range p.g.nodes {
		p.node(d, pic, i, v)
	}
	p.name(pic, l, v)
	pic.words.draw(d)
}

// pipes draws the tubes: ink, and water at rest within.
func (pic *picture) pipes(d *chart.Drawing) {
	edge := max(1.8, 2.4*pic.thick)
	for i := range pic.runs {
		r := &pic.runs[i]
		for _, w := range r.water {
			// Paper keeps the tube that lies over another apart from it.
			d.Add(chart.Shape{Points: w, Line: chart.Paper, Width: r.wide + 2*edge})
		}
		for _, w := range r.water {
			d.Add(chart.Shape{Points: w, Line: chart.Body, Width: r.wide + edge})
		}
	}
	for i := range pic.runs {
		r := &pic.runs[i]
		for _, w := range r.water {
			d.Add(chart.Shape{Points: w, Line: chart.Still, Width: r.wide})
		}
	}
	for _, r := range pic.rings {
		h := r.wide/2 + edge
		d.Add(chart.Shape{Points: []chart.Point{{X: r.at.X - r.dy*h, Y: r.at.Y + r.dx*h}, {X: r.at.X + r.dy*h, Y: r.at.Y - r.dx*h}}, Line: chart.Body, Width: 2.6 * pic.thick})
	}
}

// node draws a node's parts, but for what moves.
func (p *Plan) node(d *chart.Drawing, pic *picture, i int, v View) {
	n := &p.g.nodes[i]
	if n.sort == bar && (len(n.edges) > 2 || len(n.edges) == 2 && len(n.hung) > 0 || len(n.edges) == 1 && len(n.hung) == 0) {
		at := pic.joints[n.joint]
		r := 3.2 * pic.thick
		d.Add(chart.Shape{Points: turn(at.X, at.Y, r, r, 0, 330), Closed: true, Fill: chart.Body})
	}
	for _, h := range n.hung {
		p.part(d, pic, h, v)
	}
	if n.part >= 0 {
		p.part(d, pic, n.part, v)
	}
}

// opening is how far a part is open by hand.
func opening(l network.Lineup, p network.Part) float64 {
	s := l.Of(p)
	if s.Word() == "open" {
		return s.Opening()
	}
	return 0
}

func (p *Plan) part(d *chart.Drawing, pic *picture, i int, v View) {
	at := &pic.parts[i]
	q := pic.pen(d, at.box, at.flip)
	switch part := p.g.parts[i].(type) {
	case network.Shutoff:
		q.shutoff(opening(v.Lineup, part))
	case network.Check:
		q.check()
	case network.HandPump:
		q.handPump()
	case network.Regulator:
		q.regulator()
	case network.Strainer:
		q.strainer()
	case network.Filter:
		q.filter()
	case network.Fixture:
		switch {
		case part.Toilet:
			q.toilet()
		case showers(part):
			q.shower()
		default:
			q.tap(opening(v.Lineup, part))
		}
	case network.Appliance:
		q.appliance()
	case network.Accumulator:
		q.accumulator()
	case network.ReliefValve:
		q.relief()
	case network.VacuumBreaker:
		q.breaker()
	case network.Drain:
		q.drain(opening(v.Lineup, part))
	case network.AirPocket:
		q.bubbles()
	case network.Elastic:
		q.stretch()
	case network.Hookup:
		pic.hose(d, i, v.Lineup.Of(part))
		q.hookup(v.Lineup.Of(part))
	case network.Heater:
		pic.heater(d, at.box)
	case network.Tank:
		pic.tank(d, at.box)
	case network.WasteTank:
		pic.waste(d, at.box)
	case network.Selector:
		pic.selector(d, at, part, v.Lineup.Of(part))
	case network.Mixer:
		pic.mixer(d, at, part, v.Lineup.Of(part))
	}
}

func (pic *picture) ink() float64 { return max(1.1, 1.5*pic.thick) }

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

func (pic *picture) waste(d *chart.Drawing, b frame.Box) {
	s := b.Wide() * 0.06
	d.Add(chart.Shape{Points: []chart.Point{{X: b.X0, Y: b.Y0}, {X: b.X1, Y: b.Y0}, {X: b.X1 - s, Y: b.Y1}, {X: b.X0 + s, Y: b.Y1 - 0.1*b.High()}}, Closed: true, Fill: chart.Paper, Line: chart.Body, Width: pic.ink()})
	x := b.X1 - 2.4*s
	d.Add(chart.Shape{Points: []chart.Point{{X: x, Y: b.Y1}, {X: x, Y: b.Y1 + 0.22*b.High()}}, Line: chart.Body, Width: 3 * pic.ink()})
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

// A hose comes to a hookup from the left edge, over the ground.
type hose struct {
	run
	hookup int
}

// hosed tells a hookup with a hose on it.
func hosed(s network.Setting) bool { return s.Word() == "on" || s.Word() == "shut at spigot" }

func (pic *picture) lead(p *Plan, part int) {
	b := pic.parts[part].box
	y := (b.Y0 + b.Y1) / 2
	x := b.X0 + 0.2*b.Wide()
	r := min(0.5*(x-pic.in.X0), 0.3*b.Wide()+4)
	h := hose{hookup: part}
	h.tube, h.part, h.sign, h.wide = -1, p.g.parts[part].ID(), -1, 4.6*pic.thick
	edge := 3.75 * pic.thick
	low := pic.hull.ground - edge
	h.set(rounded([]chart.Point{{X: pic.in.X0 + edge, Y: low}, {X: x - r, Y: low}, {X: x - r, Y: y}, {X: x, Y: y}}, r))
	h.water = [][]chart.Point{h.path}
	pic.hoses = append(pic.hoses, h)
}

// hose draws what comes to a hookup: nothing unless the hose is on.
func (pic *picture) hose(d *chart.Drawing, part int, s network.Setting) {
	for i := range pic.hoses {
		h := &pic.hoses[i]
		if h.hookup != part || !hosed(s) {
			continue
		}
		d.Add(chart.Shape{Points: h.path, Line: chart.Body, Width: 7.5 * pic.thick})
		d.Add(chart.Shape{Points: h.path, Line: chart.Still, Width: h.wide})
		if s.Word() == "shut at spigot" { // its handle, across
			at := h.path[0]
			d.Add(chart.Shape{Points: []chart.Point{{X: at.X + 10, Y: at.Y - 10}, {X: at.X + 10, Y: at.Y}}, Line: chart.Body, Width: 3.4})
		}
	}
}

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
