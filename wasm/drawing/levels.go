package drawing

import (
	"math"

	"quietpump/network"
	"quietpump/sim/chart"
)

// levels draws the water in the tanks.
func (m *mover) levels() {
	for _, t := range m.pic.tanks {
		tank := m.p.g.parts[t].(network.Tank)
		if m.v.Sample == nil {
			continue
		}
		h, ok := m.v.Sample.Level(tank.Name)
		if !ok {
			continue
		}
		b := m.pic.parts[t].box.Inset(0.5 * m.pic.ink())
		share := min(max(float64(h/tank.Height), 0), 1)
		y := b.Y1 - share*(b.High()-3)
		const n = 24
		q := m.points(n + 3)
		for k := range n + 1 {
			x := float64(k) / n
			q[k] = chart.Point{X: b.X0 + x*b.Wide(), Y: y}
			if share > 0 && !m.l.Calm {
				q[k].Y += 0.9 * math.Sin(2*math.Pi*(2*x)+1.3*m.p.motion.clock)
			}
		}
		q[n+1], q[n+2] = chart.Point{X: b.X1, Y: b.Y1}, chart.Point{X: b.X0, Y: b.Y1}
		m.d.Add(chart.Shape{Points: q, Closed: true, Fill: chart.Shade(2)})
		m.d.Add(chart.Shape{Points: q[:n+1], Line: chart.Cold, Width: 2})
		if float64(h) >= float64(tank.Height)*(1-1e-6) && !m.l.Calm { // it spills
			m.drops(chart.Point{X: m.pic.parts[t].box.X0 + 3, Y: m.pic.parts[t].box.Y0}, chart.Cold, 1.6)
		}
	}
}

// waste draws what a waste tank has taken.
func (m *mover) waste(at *place, part network.WasteTank) {
	if m.v.Sample == nil || m.v.Secret {
		return
	}
	w, ok := m.v.Sample.Water(part.Name)
	if !ok || w <= 0 {
		return
	}
	b := at.box.Inset(m.pic.ink())
	high := min(float64(w/part.Capacity), 1) * b.High()
	slope := 0.06 * at.box.Wide()
	in := slope * (1 - high/b.High())
	p := m.points(4)
	p[0], p[1] = chart.Point{X: b.X0 + in, Y: b.Y1 - high}, chart.Point{X: b.X1 - in, Y: b.Y1 - high}
	p[2], p[3] = chart.Point{X: b.X1 - slope, Y: b.Y1}, chart.Point{X: b.X0 + slope, Y: max(b.Y1-0.1*b.High(), b.Y1-high)}
	m.d.Add(chart.Shape{Points: p, Closed: true, Fill: chart.Shade(1)})
}

// accumulator draws how much an accumulator has taken in.
func (m *mover) accumulator(at *place, part network.Accumulator) {
	share := 0.0
	if m.v.Sample != nil {
		if w, ok := m.v.Sample.Water(part.Name); ok && part.Volume > 0 {
			share = min(max(float64(w/part.Volume), 0), 1)
		}
	}
	q := m.pic.pen(m.d, at.box, false)
	y := skin(share)
	if share > 0.01 {
		pts := append([]float64{5, y}, 12, y+0.8)
		pts = append(pts, 19, y)
		pts = append(pts, ring24(12, 14, 7, 6.8, 0, 180)...)
		m.d.Add(chart.Shape{Points: q.all(pts), Closed: true, Fill: chart.Shade(2)})
	}

	q.stroke(chart.Body, 1.1, 5, y, 12, y+0.8, 19, y)
}
