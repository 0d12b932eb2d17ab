package waves

import (
	"math"

	"quietpump/sim/internal/kernel"
)

// A path is a way through a part that is no tube, or out of it.
type path struct {
	a, b   int32   // nodes; b is -1 at an end of known head
	xb     float64 // that head, Pa
	device int32   // -1: none
	q      float64 // flow from a to b, m³/s
	to, y  float64 // flow that its law linearised at q would have at the present heads, and its slope

	law   *kernel.Law // that holds now; nil: nothing passes
	by    float64     // its losses are that many times as large: 1/opening²
	speed float64     // of a pump's motor that comes to speed or to rest; else 0

	opening *opening // of the move under way; nil: none
	motor   *motor   // of a pump
	flap    *flap    // of a check
}

// drop is the drop along the path at a flow, and its slope.
func (p *path) drop(q float64) (d, slope float64) {
	if p.speed > 0 { // as at a lower voltage: s·rise(q/s)
		d, slope = p.law.Drop(q / p.speed)
		return d * p.speed, slope
	}
	d, slope = p.law.Drop(q)
	if p.by != 1 {
		d = p.law.Off + (d-p.law.Off)*p.by
		slope *= p.by
	}
	return d, slope
}

// An opening goes from one to another in a straight line, as shares of the law that
// is the wider of the two.
type opening struct {
	begins, ends float64 // s
	from, to     float64
	wide         *kernel.Law
	narrows      bool // the wide law is the one before the move
}

func (o *opening) at(t float64) float64 {
	if t >= o.ends {
		return o.to
	}
	return o.from + (o.to-o.from)*math.Max(0, (t-o.begins)/(o.ends-o.begins))
}

// least is an opening below which a valve is shut.
const least = 1e-6

// opens is the opening a law stands for, up to a constant: it passes that much more.
func opens(l *kernel.Law) float64 {
	if l == nil || l.Kap <= 0 || l.Form != kernel.Between {
		return 0
	}
	return 1 / math.Sqrt(l.Kap)
}

// A motor drives a pump: between rest and full speed it takes its time.
type motor struct {
	full  *kernel.Law
	speed float64 // as a share of full speed
	shut  bool    // between the two: its valves hold back
	rate  float64 // 1/s
}

// A flap is the moving part of a check valve. It has mass, so it follows the pressure
// across it and shuts some way into the reversal:
//
//	d²s/dt² = (p_A − p_B − cracking)/(m/A·travel),  0 ≤ s ≤ 1
//
// and the loss through it is that of the open valve over s². Mass and travel are those
// of a disc of the valve's bore, half as thick as that, of 1.4 g/cm³ (acetal), with as
// much water about it, lifting by a quarter of its bore, where the gap around it is as
// large as the bore: common practice, no source.
type flap struct {
	inertia float64 // m/A·travel, Pa·s²
	lift    float64 // s
	pace    float64 // ds/dt, 1/s
}

func flapOf(bore float64) flap {
	const acetal, water, thick, travel = 1400, 1000, 0.5, 0.25
	return flap{inertia: (acetal + water) * thick * bore * travel * bore}
}

// ajar is the lift with which a flap leaves its seat.
const ajar = 0.01

// moves brings the flap on by a step under a pressure beyond its cracking, and
// reports whether it has come to its seat.
func (f *flap) moves(push, dt float64) (shut bool) {
	f.pace += dt * push / f.inertia
	f.lift += dt * f.pace
	switch {
	case f.lift >= 1:
		f.lift, f.pace = 1, math.Min(f.pace, 0)
	case f.lift <= ajar:
		f.lift, f.pace = ajar, 0
		return push < 0
	}
	return false
}
