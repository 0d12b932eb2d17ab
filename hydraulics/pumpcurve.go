package hydraulics

import (
	"errors"
	"fmt"
	"math"

	"quietpump/hydraulics/unit"
)

// A PumpPoint is one point of a pump's curve at its rated voltage.
type PumpPoint struct {
	Rise    unit.Pressure // outlet pressure above inlet pressure
	Flow    unit.Flow
	Current unit.Current // zero: not known
}

// A PumpCurve is a diaphragm pump's flow against pressure rise at rated
// voltage, in order of falling flow and rising pressure. Two points make a line.
// Between points rise is a monotone cubic in flow (Fritsch and Butland, SIAM J.
// Sci. Stat. Comput. 5 (1984) 300); outside them the end slopes go on.
type PumpCurve []PumpPoint

// Line returns the straight curve from a flow q0 at no rise to no flow at a rise
// of pmax.
func Line(q0 unit.Flow, pmax unit.Pressure) PumpCurve {
	return PumpCurve{{Flow: q0}, {Rise: pmax}}
}

// Typical returns a synthetic curve at 12 V of a pump sold as 3 gpm, made up to be
// like many and no maker's: rated flow with an open outlet, 1.4 gpm at 45 psi,
// current rising with pressure. No published curve of such a pump was to be had.
func Typical() PumpCurve {
	return PumpCurve{
		{0 * unit.PSI, 3.0 * unit.GPM, 3.5 * unit.Ampere},
		{10 * unit.PSI, 2.7 * unit.GPM, 4.3 * unit.Ampere},
		{20 * unit.PSI, 2.4 * unit.GPM, 5.1 * unit.Ampere},
		{30 * unit.PSI, 2.0 * unit.GPM, 5.9 * unit.Ampere},
		{40 * unit.PSI, 1.6 * unit.GPM, 6.7 * unit.Ampere},
		{50 * unit.PSI, 1.2 * unit.GPM, 7.4 * unit.Ampere},
		{60 * unit.PSI, 0.7 * unit.GPM, 8.1 * unit.Ampere},
		{70 * unit.PSI, 0.0 * unit.GPM, 8.8 * unit.Ampere},
	}
}

// Check reports every fault that keeps the curve from being used: fewer than two
// points, a negative, NaN or infinite value, a flow that does not fall or a rise
// that does not climb from one point to the next, a current at some points only.
func (c PumpCurve) Check() error {
	if len(c) < 2 {
		return errors.New("pump curve has fewer than two points")
	}
	var errs []error
	currents := 0
	for i, p := range c {
		for _, x := range []float64{float64(p.Rise), float64(p.Flow), float64(p.Current)} {
			if !(x >= 0) || math.IsInf(x, 1) {
				errs = append(errs, fmt.Errorf("pump curve point %d: %g is not a finite value from zero on", i+1, x))
			}
		}
		if p.Current > 0 {
			currents++
		}
		if i == 0 {
			continue
		}
		if !(p.Flow < c[i-1].Flow) {
			errs = append(errs, fmt.Errorf("pump curve point %d: flow %s is not below the %s of the point before; order the points by falling flow", i+1, fmt.Sprint(p.Flow), fmt.Sprint(c[i-1].Flow)))
		}
		if !(p.Rise > c[i-1].Rise) {
			errs = append(errs, fmt.Errorf("pump curve point %d: rise %s is not above the %s of the point before; a falling flow needs a rising pressure", i+1, fmt.Sprint(p.Rise), fmt.Sprint(c[i-1].Rise)))
		}
	}
	if currents != 0 && currents != len(c) {
		errs = append(errs, fmt.Errorf("pump curve has a current at %d of %d points; give it at all or none", currents, len(c)))
	}
	return errors.Join(errs...)
}

// Knots returns the curve as a solver wants it: flows rising, m³/s; the rise at
// each, Pa; and its slope, Pa·s/m³, negative. Between knots the rise is the
// cubic of these values and slopes (Hermite); outside, the line of the end slope.
// All three are nil unless Check is nil.
func (c PumpCurve) Knots() (flows, rises, slopes []float64) {
	if c.Check() != nil {
		return nil, nil, nil
	}
	n := len(c)
	flows, rises, slopes = make([]float64, n), make([]float64, n), make([]float64, n)
	for i, p := range c {
		flows[n-1-i], rises[n-1-i] = float64(p.Flow), float64(p.Rise)
	}
	fit(flows, rises, slopes)
	return flows, rises, slopes
}

// fit fills in the slopes of a monotone cubic through y at rising x (Fritsch & Butland,
// SIAM J. Sci. Stat. Comput. 5, 1984, p. 300). An end slope
// is at least half the chord's, so that the curve can be followed past its end
// and turned round.
func fit(x, y, slopes []float64) {
	n := len(x)
	chord := func(i int) float64 { return (y[i+1] - y[i]) / (x[i+1] - x[i]) }
	first, last := chord(0), chord(n-2)
	slopes[0], slopes[n-1] = first, last
	for i := 1; i < n-1; i++ {
		slopes[i] = 0
		if before, after := chord(i-1), chord(i); before*after > 0 {
			slopes[i] = 3 * (x[i+1] - x[i-1]) / ((2*x[i+1]-x[i-1]-x[i])/before + (x[i+1]+x[i]-2*x[i-1])/after)
		}
	}
	if n > 2 {
		slopes[0] = endSlope(x[1]-x[0], x[2]-x[1], first, chord(1))
		slopes[n-1] = endSlope(x[n-1]-x[n-2], x[n-2]-x[n-3], last, chord(n-3))
	}
	if math.Abs(slopes[0]) < math.Abs(first)/2 {
		slopes[0] = first / 2
	}
	if math.Abs(slopes[n-1]) < math.Abs(last)/2 {
		slopes[n-1] = last / 2
	}
}

// endSlope is the slope at an end from the parabola through the three last points, h
// and next being their distances and chords from the end inwards, bounded so that the
// curve stays monotone.
func endSlope(h, next, chord, inner float64) float64 {
	g := ((2*h+next)*chord - h*inner) / (h + next)
	if g*chord <= 0 {
		return 0
	}
	return g
}

// hermite evaluates the cubic of Knots and its derivative.
func hermite(x, y, slopes []float64, at float64) (v, dv float64) {
	n := len(x)
	switch {
	case at <= x[0]:
		return y[0] + slopes[0]*(at-x[0]), slopes[0]
	case at >= x[n-1]:
		return y[n-1] + slopes[n-1]*(at-x[n-1]), slopes[n-1]
	}
	i := 1
	for x[i] < at {
		i++
	}
	h := x[i] - x[i-1]
	t, d := (at-x[i-1])/h, y[i]-y[i-1]
	m0, m1 := slopes[i-1]*h, slopes[i]*h
	c2, c3 := 3*d-2*m0-m1, m0+m1-2*d
	return y[i-1] + t*(m0+t*(c2+t*c3)), (m0 + t*(2*c2+t*3*c3)) / h
}

// Rise returns the pressure rise at a flow; NaN unless Check is nil.
func (c PumpCurve) Rise(q unit.Flow) unit.Pressure {
	flows, rises, slopes := c.Knots()
	if flows == nil {
		return unit.Pressure(math.NaN())
	}
	p, _ := hermite(flows, rises, slopes, float64(q))
	return unit.Pressure(p)
}

// Flow returns the flow at a pressure rise, the inverse of Rise; zero where the
// rise is beyond what the pump can hold, for its valves let nothing back. It is
// NaN unless Check is nil.
func (c PumpCurve) Flow(rise unit.Pressure) unit.Flow {
	flows, rises, slopes := c.Knots()
	if flows == nil {
		return unit.Flow(math.NaN())
	}
	n := len(flows)
	p := float64(rise)
	if p <= rises[n-1] {
		return unit.Flow(flows[n-1] + (p-rises[n-1])/slopes[n-1])
	}
	if p >= rises[0] {
		return unit.Flow(math.Max(0, flows[0]+(p-rises[0])/slopes[0]))
	}
	i := 1
	for rises[i] > p {
		i++
	}
	lo, hi := flows[i-1], flows[i] // rise(lo) > p ≥ rise(hi)
	q, last := lo+(hi-lo)/2, math.Inf(1)
	for hi-lo > 1e-16*flows[n-1] {
		v, dv := hermite(flows, rises, slopes, q)
		if v > p {
			lo = q
		} else {
			hi = q
		}
		// Newton as long as it halves the miss, else halve the interval.
		next := q - (v-p)/dv
		if !(next > lo && next < hi) || math.Abs(v-p) > last/2 {
			next = lo + (hi-lo)/2
		}
		if next == q || v == p {
			break
		}
		q, last = next, math.Abs(v-p)
	}
	return unit.Flow(q)
}

// Current returns the current drawn at a pressure rise, linear between the
// points and constant outside them; zero where the curve has no currents, NaN
// unless Check is nil.
func (c PumpCurve) Current(rise unit.Pressure) unit.Current {
	if c.Check() != nil {
		return unit.Current(math.NaN())
	}
	if rise <= c[0].Rise {
		return c[0].Current
	}
	for i, p := range c[1:] {
		if rise <= p.Rise {
			before := c[i]
			t := float64((rise - before.Rise) / (p.Rise - before.Rise))
			return before.Current + unit.Current(t)*(p.Current-before.Current)
		}
	}
	return c[len(c)-1].Current
}

// AtVoltage returns the curve at a voltage v at the motor, for points given at 12 V:
// with s = v/12 V
//
//	rise(q; v) = s·rise(q/s)
//
// In a permanent-magnet motor v = k·ω + R·I and torque = k·I, so v, ω and I grow
// together: at s times the voltage the same point of the motor's line has s times
// the speed, torque and current. A diaphragm pump's flow is in proportion to speed
// and its rise to torque, friction apart; so each point goes to s times its flow,
// rise and current. A v of zero or less gives nil, a pump that does not turn.
func (c PumpCurve) AtVoltage(v unit.Voltage) PumpCurve {
	const rated = 12 * unit.Volt
	s := float64(v / rated)
	if !(s > 0) {
		return nil
	}
	scaled := make(PumpCurve, len(c))
	for i, p := range c {
		scaled[i] = PumpPoint{unit.Pressure(s) * p.Rise, unit.Flow(s) * p.Flow, unit.Current(s) * p.Current}
	}
	return scaled
}

// WithBypass returns the net curve of a pump whose spring-loaded internal bypass
// begins to open at a rise of opens and passes all of the flow at full:
//
//	net flow = flow·(full − rise)/(full − opens)  between them
//
// The share is a choice, linear in pressure; the curve follows it within 1 %.
// The current stays that of the whole flow. The curve is returned as it is if opens is not
// below full, or at or above the last point, or if Check is not nil.
func (c PumpCurve) WithBypass(opens, full unit.Pressure) PumpCurve {
	if c.Check() != nil || !(opens < full) || opens >= c[len(c)-1].Rise {
		return c
	}
	var net PumpCurve
	for _, p := range c {
		if p.Rise < opens {
			net = append(net, p)
		}
	}
	// Points that crowd on both sides keep the bend where the bypass opens.
	const parts = 10
	crowd := func(i int) unit.Pressure { return unit.Pressure(i*i) / (parts * parts) }
	if n := len(net); n > 0 {
		before := net[n-1].Rise
		for i := 1; i < parts; i++ {
			p := opens - crowd(parts-i)*(opens-before)
			net = append(net, PumpPoint{p, c.Flow(p), c.Current(p)})
		}
	}
	end := min(full, c[len(c)-1].Rise)
	for i := range parts + 1 {
		p := opens + crowd(i)*(end-opens)
		share := float64((full - p) / (full - opens))
		if i == parts && end == full {
			share = 0
		}
		net = append(net, PumpPoint{p, unit.Flow(share) * c.Flow(p), c.Current(p)})
	}
	return net
}
