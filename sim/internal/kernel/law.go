package kernel

import "math"

// A Law is the drop of head along a path against its flow,
//
//	d(q) = Off + q·(Lam + Kap·|q|) + Pow·q|q|^(Inv−1) + Σ turbulent friction − rise(q)
//
// Off and the pump's rise have a direction, the rest is odd in q. Laws of paths
// in a row add. The slope is positive wherever a path is open.
//
// Where the quadratic drop is less than Still it is a cubic with a slope at rest,
// Kap·q·(l + q²/l)/2 with l = √(Still/Kap), which is off by Still/13 at the most.
// Two stores that a pure quadratic joins would come to rest with the slope of a square
// root, which no step can follow; water at rest that slow is laminar anyway.
type Law struct {
	Off, Lam, Kap float64
	Still         float64 // Pa
	Pow, Inv      float64
	QLin          float64 // the power term is linear below this flow
	Friction      []Friction
	Curve         *Curve
	Form          Form
}

// Form says on which ends of a path the flow depends.
type Form uint8

const (
	// Between is the ordinary path: both heads count.
	Between Form = iota
	// Held is a regulator at work: q = (−Off − x_B)/Lam, whatever x_A is.
	Held
	// Fed passes at Into the water that runs into store Into's tank and no more.
	Fed
	// Joined makes one node of both ends.
	Joined
)

// Friction is turbulent or laminar tube friction, d = F·φ(R·|q|) with φ from a
// table of f·Re² against Re/2000.
type Friction struct {
	R, F  float64
	Table *Table
}

// A Curve is a pump's rise against flow, monotone cubic between knots, with
// straight ends.
type Curve struct{ Q, Rise, Slope []float64 }

func (c *Curve) at(q float64) (rise, slope float64) {
	n := len(c.Q)
	if q <= c.Q[0] {
		return c.Rise[0] + c.Slope[0]*(q-c.Q[0]), c.Slope[0]
	}
	if q >= c.Q[n-1] {
		return c.Rise[n-1] + c.Slope[n-1]*(q-c.Q[n-1]), c.Slope[n-1]
	}
	i := 1
	for q > c.Q[i] {
		i++
	}
	h := c.Q[i] - c.Q[i-1]
	t := (q - c.Q[i-1]) / h
	r0, r1, m0, m1 := c.Rise[i-1], c.Rise[i], h*c.Slope[i-1], h*c.Slope[i]
	a := 2*(r0-r1) + m0 + m1
	b := -3*(r0-r1) - 2*m0 - m1
	return r0 + t*(m0+t*(b+t*a)), (m0 + t*(2*b+t*3*a)) / h
}

// Drop returns d(q) and its slope.
func (l *Law) Drop(q float64) (d, slope float64) {
	aq := math.Abs(q)
	k, s := l.Kap*aq, 2*l.Kap*aq
	if k*aq < l.Still {
		k, s = atRest(l.Kap, math.Sqrt(l.Still/l.Kap), aq)
	}
	slope = l.Lam + s
	d = l.Off + q*(l.Lam+k)
	for i := range l.Friction {
		f := &l.Friction[i]
		phi, dphi := f.Table.at(f.R * aq)
		d += math.Copysign(f.F*phi, q)
		slope += f.F * f.R * dphi
	}
	if l.Pow != 0 {
		if aq < l.QLin {
			s := l.Pow * math.Pow(l.QLin, l.Inv-1)
			d += s * q
			slope += s
		} else {
			s := l.Pow * math.Pow(aq, l.Inv-1)
			d += s * q
			slope += s * l.Inv
		}
	}
	if l.Curve != nil {
		r, dr := l.Curve.at(q)
		d -= r
		slope -= dr
	}
	return d, slope
}

// Loss returns d(q) alone, for those who ask it of a tube at every instant.
func (l *Law) Loss(q float64) float64 {
	if l.Pow != 0 || l.Curve != nil {
		d, _ := l.Drop(q)
		return d
	}
	aq := math.Abs(q)
	k := l.Kap * aq
	if k*aq < l.Still {
		k, _ = atRest(l.Kap, math.Sqrt(l.Still/l.Kap), aq)
	}
	d := aq * (l.Lam + k)
	for i := range l.Friction {
		f := &l.Friction[i]
		d += f.F * f.Table.phi(f.R*aq)
	}
	return l.Off + math.Copysign(d, q)
}

// atRest returns drop over flow and slope of a quadratic law below flow l.
func atRest(kap, l, aq float64) (k, slope float64) {
	r := aq * aq / l
	return 0.5 * kap * (l + r), 0.5 * kap * (l + 3*r)
}

// addable reports whether laws a and b can be merged in a row.
func addable(a, b *Law) bool {
	if a.Form != Between || b.Form != Between {
		return false
	}
	return (a.Pow == 0 || b.Pow == 0) && (a.Curve == nil && b.Curve == nil)
}

// add returns the law of a followed by b, b taken with the given sign.
func add(a, b *Law, sign float64) *Law {
	s := *a
	s.Off += sign * b.Off
	s.Lam += b.Lam
	s.Kap += b.Kap
	s.Still = math.Max(a.Still, b.Still)
	if b.Pow != 0 {
		s.Pow, s.Inv, s.QLin = b.Pow, b.Inv, b.QLin
	}
	s.Friction = make([]Friction, 0, len(a.Friction)+len(b.Friction))
	s.Friction = append(s.Friction, a.Friction...)
next:
	for _, f := range b.Friction {
		for i := range s.Friction {
			if g := &s.Friction[i]; g.R == f.R && g.Table == f.Table {
				g.F += f.F
				continue next
			}
		}
		s.Friction = append(s.Friction, f)
	}
	return &s
}
