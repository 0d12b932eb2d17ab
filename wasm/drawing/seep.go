package drawing

import (
	"math"

	"quietpump/network"
	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

// drops fall from a place one after the other.
func (m *mover) drops(from chart.Point, ink chart.Ink, size float64) {
	const every = 0.9 // s
	const n = 2
	for k := range n {
		t := math.Mod(m.p.motion.clock/every+float64(k)/n, 1)
		if m.l.Calm {
			t = (float64(k) + 0.5) / n
		}
		m.drop(chart.Point{X: from.X, Y: from.Y + 22*t*t*max(size/3, 0.7)}, size*min(1, 0.4+2*t), ink)
	}
}

func (m *mover) drop(at chart.Point, r float64, ink chart.Ink) {
	const n = 9
	p := m.points(n + 1)
	p[0] = chart.Point{X: at.X, Y: at.Y - 2*r}
	for k := range n {
		s, c := math.Sincos((-30 + 240*float64(k)/(n-1)) * math.Pi / 180)
		p[k+1] = chart.Point{X: at.X + r*c, Y: at.Y + r*s}
	}
	m.d.Add(chart.Shape{Points: p, Closed: true, Fill: ink})
}

// seeps draws a ring by hand round what is at fault, and drops where it lets water
// by.
func (m *mover) seeps() {
	for _, f := range m.v.Faults {
		b, ok := m.pic.where(m.p, f.Faulty())
		if !ok {
			continue
		}
		r := m.pic.around(b, 0)
		if s, seep := f.(network.Seep); !seep {
			m.ring(r, chart.Soft)
		} else if !s.Tight() {
			m.ring(r, chart.Seep)
			m.drops(chart.Point{X: r.at.X + 0.2*min(b.Wide(), r.rx), Y: min(b.Y1, r.at.Y+0.7*r.ry)}, chart.Seep, 2.8)
		}
	}
}

// ring is drawn as a hand draws one: not quite round, its ends past each other.
func (m *mover) ring(r oval, ink chart.Ink) {
	const n = 44
	p := m.points(n + 1)
	for k := range n + 1 {
		t := float64(k) / n
		a := (-70 + 392*t) * math.Pi / 180
		w := 0.94 + 0.07*t + 0.02*math.Sin(3*a+1) + 0.012*math.Sin(5*a)
		p[k] = chart.Point{X: r.at.X + w*r.rx*math.Cos(a), Y: r.at.Y + w*r.ry*math.Sin(a)}
	}
	m.d.Add(chart.Shape{Points: p, Line: ink, Width: 2.4})
}

// picked draws a ring of ink round what the reader has picked.
func (m *mover) picked() {
	if m.v.Picked == "" {
		return
	}
	if b, ok := m.pic.where(m.p, m.v.Picked); ok {
		m.ring(m.pic.around(b, 5), chart.Body)
	}
}

// seeping is the flow through what seeps, m³/s; out of a joint, by its pressure.
func (m *mover) seeping(s network.Seep) float64 {
	if q, ok := m.flow(s.Part, s.Pair[0]); ok {
		switch p, _ := m.p.rig.Part(s.Part); p.(type) {
		case network.Tube:
		case network.Pump, network.HandPump, network.Check, network.Regulator:
			return max(-q, 0) // forward it does its work
		default:
			return q
		}
	}
	if m.v.Sample == nil {
		return 0
	}
	joint := s.Part
	if t, ok := m.tube(s.Part); ok {
		joint = t.From
	}
	if p, ok := m.v.Sample.Pressure(joint); ok && p > 0 {
		return float64(s.Flow(p))
	}
	return 0
}

func (m *mover) tube(name string) (network.Tube, bool) {
	p, _ := m.p.rig.Part(name)
	t, ok := p.(network.Tube)
	return t, ok
}

// An oval is where a ring is drawn.
type oval struct {
	at     chart.Point
	rx, ry float64
}

// around is the ring round something, so much wider than it needs to be.
func (pic *picture) around(b frame.Box, wider float64) oval {
	o := oval{at: chart.Point{X: (b.X0 + b.X1) / 2, Y: (b.Y0 + b.Y1) / 2}}
	round := max(0.64*max(b.Wide(), b.High()), 12)
	o.rx, o.ry = max(min(round, 0.64*b.Wide()+8), 12)+wider, max(min(round, 0.64*b.High()+8), 12)+wider
	// It stays on the paper.
	o.rx = min(o.rx, (o.at.X-pic.in.X0-1.3)/1.03, (pic.in.X1-o.at.X-1.3)/1.03)
	o.ry = min(o.ry, (o.at.Y-pic.in.Y0-1.3)/1.03, (pic.in.Y1-o.at.Y-1.3)/1.03)
	return o
}
