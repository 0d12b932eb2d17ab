package drawing

import (
	"math"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

// motion is what the moving picture remembers from one frame to the next.
type motion struct {
	at     time.Time
	phase  []float64 // of the ripples in each run, px
	pic    *picture
	clock  float64 // s that have passed
	times  float64 // how many times faster than life slow flows are shown
	points []chart.Point
}

func wiggle(t float64) float64 { return math.Sin(2 * math.Pi * t) }

// lever is the direction of a handle that is so far open.
func lever(open float64) (dx, dy float64) {
	s, c := math.Sincos(-open * math.Pi / 2)
	return c, s
}

// Moving draws what moves, above Still. Its points are good until the next call.
func (p *Plan) Moving(d *chart.Drawing, in frame.Box, l frame.Look, now time.Time, v View) {
	pic := p.picture(in)
	p.name(pic, l, v)
	m := &p.motion
	dt := now.Sub(m.at)
	if m.at.IsZero() || dt < 0 {
		dt = 0
	}
	dt = min(dt, pause)
	m.at = now
	if m.pic != pic || len(m.phase) != len(pic.runs)+len(pic.hoses) {
		m.pic, m.phase = pic, make([]float64, len(pic.runs)+len(pic.hoses))
	}
	if l.Calm {
		dt = 0
	}
	m.clock += dt.Seconds()
	m.points = m.points[:0]
	mv := mover{p, pic, d, l, v, dt.Seconds()}
	mv.hurry()
	mv.levels()
	mv.flows()
	for i, part := range p.g.parts {
		at := &pic.parts[i]
		switch part := part.(type) {
		case network.Pump:
			mv.pump(at, part)
		case network.Check:
			q, _ := mv.flow(part.Name, "")
			open := 0.0
			if q > 0 && mv.drift(q) > 0 {
				open = 1
			}
			pic.pen(d, at.box, at.flip).flap(open)
		case network.Accumulator:
			mv.accumulator(at, part)
		case network.WasteTank:
			mv.waste(at, part)
		case network.Fixture, network.Drain, network.ReliefValve:
			mv.outflow(i, part)
		}
	}
	mv.gauge()
	mv.seeps()
	mv.picked()
	mv.numbers()
}

// A mover draws one frame.
type mover struct {
	p   *Plan
	pic *picture
	d   *chart.Drawing
	l   frame.Look
	v   View
	dt  float64 // s since the frame before
}

// flow is a part's flow, at a joint where one is named.
func (m *mover) flow(part, joint string) (q float64, ok bool) {
	if m.v.Sample == nil {
		return 0, false
	}
	var f unit.Flow
	if joint == "" {
		f, ok = m.v.Sample.Flow(part)
	} else {
		f, ok = m.v.Sample.FlowAt(part, joint)
	}
	if math.IsNaN(float64(f)) {
		return 0, false
	}
	return float64(f), ok
}

// points takes room for n points.
func (m *mover) points(n int) []chart.Point {
	all := &m.p.motion.points
	if cap(*all)-len(*all) < n {
		*all = make([]chart.Point, 0, max(2*cap(*all), 4096))
	}
	k := len(*all)
	*all = (*all)[:k+n]
	return (*all)[k : k+n : k+n]
}

// pump draws a pump, which shakes while it runs.
func (m *mover) pump(at *place, part network.Pump) {
	b, fill := at.box, chart.Paper
	if m.v.Running[part.Name] {
		fill = chart.Band
		if !m.l.Calm {
			x := 0.9 * math.Sin(2*math.Pi*11*m.p.motion.clock)
			y := 0.5 * math.Sin(2*math.Pi*17*m.p.motion.clock)
			b = frame.Box{X0: b.X0 + x, X1: b.X1 + x, Y0: b.Y0 + y, Y1: b.Y1 + y}
		}
	}
	q := m.pic.pen(m.d, b, at.flip)
	q.pump(fill)
	if m.v.Running[part.Name] { // strokes beside it, which stay where it does not move
		for _, x := range []float64{-1.6, 25.6} {
			for _, y := range []float64{3, 6, 18} {
				q.stroke(chart.Body, 1, x, y, x+math.Copysign(1.6, x), y-1)
			}
		}
	}
}
