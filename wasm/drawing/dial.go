package drawing

import (
	"math"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

// Dial is where the gauge stands in the picture, and its radius, px; ok is false of
// a rig without a pump.
func (p *Plan) Dial(in frame.Box) (at chart.Point, r float64, ok bool) {
	d := p.picture(in).dial
	return d.at, d.r, d.ok
}

// The scale of the dial: where it begins, degrees clockwise from three o'clock, and
// how far it goes round.
const from0, sweep = 135.0, 270.0

// full is the pressure at the end of the scale, by where the pump stops.
func full(stops unit.Pressure) unit.Pressure { return 1.45 * stops }

// Needle is the pressure that the gauge's needle would show if it pointed dx, dy
// away from its axle, on the scale of the rig's own pump. It is for a rig that has a
// [Plan.Dial], and panics of another.
func (p *Plan) Needle(dx, dy float64) unit.Pressure {
	_, stops := switchOf(p.g.parts[p.g.nodes[p.gauge].part].(network.Pump))
	a := math.Mod(deg(math.Atan2(dy, dx))-from0+720, 360)
	if a > sweep+(360-sweep)/2 { // before its beginning
		a = 0
	}
	return full(stops) * unit.Pressure(min(a/sweep, 1))
}

// gauge draws the dial and its needle.
func (m *mover) gauge() {
	g := m.pic.dial
	if !g.ok {
		return
	}
	pump := m.p.g.parts[m.p.g.nodes[m.p.gauge].part].(network.Pump)
	starts, stops := switchOf(pump)
	top := float64(full(stops))
	angle := func(p float64) float64 {
		return (from0 + sweep*min(max(p/top, 0), 1.03)) * math.Pi / 180
	}
	line := m.pic.ink()
	b := m.pic.parts[m.p.g.nodes[m.p.gauge].part].box
	m.d.Add(chart.Shape{Points: []chart.Point{{X: g.at.X, Y: g.at.Y}, {X: g.at.X, Y: b.Y0 + 1}}, Line: chart.Body, Width: 2.6 * line})
	m.d.Add(chart.Shape{Points: turn(g.at.X, g.at.Y, g.r, g.r, 0, 348), Closed: true, Fill: chart.Paper, Line: chart.Body, Width: line})
	arc := turn(g.at.X, g.at.Y, 0.78*g.r, 0.78*g.r, deg(angle(float64(starts))), deg(angle(float64(stops))))
	m.d.Add(chart.Shape{Points: arc, Line: chart.Hatch, Width: 0.16 * g.r})
	for _, p := range [2]unit.Pressure{starts, stops} {
		s, c := math.Sincos(angle(float64(p)))
		m.d.Add(chart.Shape{Points: []chart.Point{{X: g.at.X + 0.62*g.r*c, Y: g.at.Y + 0.62*g.r*s}, {X: g.at.X + 0.94*g.r*c, Y: g.at.Y + 0.94*g.r*s}}, Line: chart.Body, Width: line})
	}
	if m.v.Sample == nil {
		return
	}
	if p, ok := m.v.Sample.Pressure(pump.Sense); ok {
		s, c := math.Sincos(angle(float64(p)))
		m.d.Add(chart.Shape{Points: []chart.Point{{X: g.at.X - 0.2*g.r*c, Y: g.at.Y - 0.2*g.r*s}, {X: g.at.X + 0.76*g.r*c, Y: g.at.Y + 0.76*g.r*s}}, Line: chart.Body, Width: 1.3 * line})
		m.d.Add(chart.Shape{Points: turn(g.at.X, g.at.Y, 0.11*g.r, 0.11*g.r, 0, 330), Closed: true, Fill: chart.Body})
	}
}

func deg(a float64) float64 { return a * 180 / math.Pi }
