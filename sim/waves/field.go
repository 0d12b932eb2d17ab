package waves

import (
	"math"

	"quietpump/sim/internal/kernel"
)

// A spot is a place on a tube's grid.
type spot struct {
	x      float64 // head p + ρgz, Pa
	in     float64 // flow that reaches it along the tube, m³/s …
	out    float64 // … and flow that leaves it: less while a cavity fills, more while one grows
	was    float64 // out a step before
	cavity float64 // vapour in it, m³
}

// A reach is what is the same along a tube.
type reach struct {
	first, last int32   // its spots in the field
	from, to    int32   // nodes at its ends
	b           float64 // impedance ρ·a/A, Pa·s/m³
	share       float64 // of its law that one reach loses
	lag         float64 // B·k/2 of friction that a change of flow adds, Pa·s/m³
	law         *kernel.Law
	gz, rise    float64 // ρgz at its first spot, and from spot to spot, Pa
	area, long  float64 // m², m
}

// A field is the water in all tubes, one spot after the other.
type field struct {
	spots   []spot
	fore    []float64 // by spot: x + B·q less the reach's loss, on its way to the next spot
	aft     []float64 // by spot: x − B·q with it, on its way to the one before
	reaches []reach
	vapour  float64 // pressure at which water boils, Pa gauge
	torn    bool    // there is vapour in some tube
	dt      float64
}

// send works out what each spot of a tube sends to its neighbours along the
// characteristics dx/dt = ±a, friction taken at their foot:
//
//	x_P = x_A ± B·q_A ∓ B·q_P ∓ d(q_A)/N
//
// Source: Wylie and Streeter, Fluid Transients in Systems (1993), chapter 3.
func (f *field) send(r *reach) {
	s := f.spots[r.first : r.last+1]
	fore, aft := f.fore[r.first:r.last+1], f.aft[r.first:r.last+1]
	for i := range s {
		p := &s[i]
		d := r.share * r.law.Loss(p.out)
		e := d
		if p.in != p.out {
			e = r.share * r.law.Loss(p.in)
		}
		if r.lag != 0 {
			before, after := max(i-1, 0), min(i+1, len(s)-1)
			u := r.lag * ((p.out - p.was) + math.Copysign((s[after].in-s[before].out)/float64(after-before), p.out))
			d += u
			e += u
		}
		fore[i] = p.x + r.b*p.out - d
		aft[i] = p.x - r.b*p.in + e
	}
}

// inside brings the spots within a tube to the next instant. Where the head would
// fall below that of boiling water a cavity opens instead and holds it there:
//
//	x = max(boiling, (fore + aft − B·V/Δt)/2),  V' = max(0, V − Δt·(q_in − q_out))
//
// so that what a cavity takes up it gives back. Source: the discrete vapour cavity
// model, Wylie and Streeter (1993), chapter 8.
func (f *field) inside(r *reach) {
	s := f.spots[r.first : r.last+1]
	fore, aft := f.fore[r.first:r.last+1], f.aft[r.first:r.last+1]
	half := 0.5 / r.b
	for i := 1; i < len(s)-1; i++ {
		p := &s[i]
		c, d := fore[i-1], aft[i+1]
		p.was = p.out
		boils := f.vapour + r.gz + r.rise*float64(i)
		if x := 0.5 * (c + d); p.cavity == 0 && x >= boils {
			p.x = x
			p.in = (c - d) * half
			p.out = p.in
			continue
		}
		p.x = math.Max(boils, 0.5*(c+d-r.b*p.cavity/f.dt))
		p.in, p.out = (c-p.x)/r.b, (p.x-d)/r.b
		p.cavity = math.Max(0, p.cavity-f.dt*(p.in-p.out))
		if p.cavity < 1e-18 { // a rounding's worth
			p.cavity = 0
			continue
		}
		f.torn = true
	}
}
