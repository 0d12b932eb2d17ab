package drawing

import (
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
