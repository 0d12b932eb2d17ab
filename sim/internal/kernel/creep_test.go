package kernel

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// An elastic store that stretches late as well, draining through a laminar way:
//
//	C·p' = −p/R − e',  τ·e' = C₁·p − e
//
// two linear equations whose solution is two decays. Model: a spring beside a spring with a
// dashpot, the Kelvin–Voigt solid (Ferry, Viscoelastic Properties of Polymers, 1980,
// ch. 1).
func TestCreepAgainstTwoDecays(t *testing.T) {
	const (
		c, c1, tau = 3e-9, 2e-9, 40.0
		r, p0, gz  = 2e10, 3e5, 7e4
		until      = 90.0
	)
	sys := &System{
		Nodes:  []Node{{GZ: gz}},
		Stores: []Store{{Node: 0, Kind: Linear, GZ: gz, C: c, Device: -1, Creep: []Creep{{c1, tau}}}},
		Paths:  []Path{{A: 0, B: Out, XB: gz, Into: -1, Device: -1, Laws: []*Law{{Lam: r}}}},
	}
	w := marched(t, sys, []float64{gz + p0}, until)
	// p' = −A·p + B·e, e' = D·p − E·e
	A, B, D, E := 1/(r*c)+c1/(tau*c), 1/(tau*c), c1/tau, 1/tau
	root := math.Sqrt((A-E)*(A-E) + 4*B*D)
	l1, l2 := -(A+E-root)/2, -(A+E+root)/2
	// p = a₁·e^(l₁t) + a₂·e^(l₂t) with p(0) = p₀ and p'(0) = −A·p₀; e = (p' + A·p)/B
	a1 := (-A*p0 - l2*p0) / (l1 - l2)
	a2 := p0 - a1
	p := a1*math.Exp(l1*until) + a2*math.Exp(l2*until)
	e := ((l1+A)*a1*math.Exp(l1*until) + (l2+A)*a2*math.Exp(l2*until)) / B
	assert.InEpsilon(t, c*p+e, w.Volumes()[0], 1e-7)
	assert.InEpsilon(t, e, w.Strains()[0], 1e-6)
	assert.InEpsilon(t, p, w.x[w.plan.stores[0]]-gz, 1e-6)
	assert.InEpsilon(t, c*p0-(c*p+e), w.PathMoved[0], 1e-7)
}
