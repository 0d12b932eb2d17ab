package drawing

import (
	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

// Dial is where the gauge stands in the picture, and its radius, px; ok is false of
// a rig without a pump.
func (p *Plan) Dial(in frame.Box) (at chart.Point, r float64, ok bool) {
	d := p.picture(in).dial
	return d.at, d.r, d.ok
}
