package scene

import (
	"math"

	"quietpump/sim/chart"
	"quietpump/wasm/drawing"
	"quietpump/wasm/frame"
)

// The plan has the pump at its left. Here it is seen from the vehicle's other side,
// pump at the right: so the pen can stand below the pump and time still run from
// left to right on the paper.

// across is where a place of the plan is seen.
func across(in frame.Box, x float64) float64 { return in.X0 + in.X1 - x }

// turn puts marks as they are seen from the other side. What lies within the gauge
// is carried over as it is, for a dial reads one way only. Lend has room for points.
func turn(plan *drawing.Plan, in frame.Box, marks []chart.Mark, lend func(int) []chart.Point) {
	dial, r, has := plan.Dial(in)
	over := across(in, dial.X) - dial.X
	for i, m := range marks {
		switch m := m.(type) {
		case chart.Label:
			m.At.X = across(in, m.At.X)
			m.Side = chart.End - m.Side
			marks[i] = m
		case chart.Shape:
			within := has
			for _, q := range m.Points {
				within = within && math.Hypot(q.X-dial.X, q.Y-dial.Y) <= 1.05*r
			}
			p := lend(len(m.Points))
			for _, q := range m.Points {
				if within {
					q.X += over
				} else {
					q.X = across(in, q.X)
				}
				p = append(p, q)
			}
			m.Points = p
			marks[i] = m
		}
	}
}
