package drawing

import (
	"math"

	"quietpump/network"
	"quietpump/sim/chart"
)

// outflow draws what leaves a part to the air.
func (m *mover) outflow(i int, part network.Part) {
	q, ok := m.flow(part.ID(), "")
	if !ok || q < 0 || m.drift(q) == 0 {
		return
	}
	at := &m.pic.parts[i]
	pen := m.pic.pen(m.d, at.box, at.flip)
	var from chart.Point
	fall := 0.3 * at.box.High()
	switch part := part.(type) {
	case network.Fixture:
		switch {
		case part.Toilet:
			from, fall = pen.at(15, 12), 4*pen.k
		case showers(part):
			if q > 1e-6 {
				for _, x := range []float64{11.5, 15, 18.5, 22} {
					m.stream(pen.at(x, 19.6-0.5*(x-11.5)), fall, 1.2, m.p.hot[part.At])
				}
				return
			}
			from = pen.at(15, 18)
		default:
			from, fall = pen.at(spoutX, spoutY), 0.36*at.box.High()
		}
	case network.Drain:
		from = pen.at(12, 19)
	case network.ReliefValve:
		from, fall = pen.at(21.5, 17.8), 0.2*at.box.High()
	}
	if q > 1e-6 {
		m.stream(from, fall, 2.6*m.pic.thick, m.p.hot[part.Joints()[0]])
	}
}

// stream is falling water.
func (m *mover) stream(from chart.Point, fall, wide float64, hot bool) {
	ink := chart.Cold
	if hot {
		ink = chart.Hot
	}
	p := m.points(2)
	p[0], p[1] = from, chart.Point{X: from.X, Y: from.Y + fall}
	m.d.Add(chart.Shape{Points: p, Line: ink, Width: wide})
	if m.l.Calm {
		return
	}
	t := math.Mod(2.2*m.p.motion.clock, 1)
	q := m.points(2)
	q[0], q[1] = chart.Point{X: from.X, Y: from.Y + fall*t}, chart.Point{X: from.X, Y: from.Y + fall*min(t+0.3, 1)}
	m.d.Add(chart.Shape{Points: q, Line: chart.Paper, Width: 0.4 * wide})
}
