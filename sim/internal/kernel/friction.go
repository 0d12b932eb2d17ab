package kernel

import (
	"math"
	"sync"

	"quietpump/hydraulics"
)

// Segments per octave of the friction table, and its last octave above 2000.
const (
	segmentBits = 5
	octaves     = 10
	laminar     = 2000 // Re below which flow is laminar; the table's unit
)

// A Table holds φ = f·Re² against u = Re/2000 for one relative roughness:
// quintic Hermite on segments cut by the bits of u, 32 to the octave, so that
// u = 1 and u = 2 (Re 2000 and 4000) are ends of segments. Below u = 1 φ is the
// laminar 64·Re; above u = 1024 the table's last segment gives way to the solved
// law.
type Table struct {
	rough float64
	seg   []segment
}

// segment is φ as c[0] + … + c[5]·t⁵ with t = (u − u0)·inv.
type segment struct {
	u0, inv float64
	c       [6]float64
}

// made holds tables by relative roughness: making one costs as much as simulating
// a cycle, and rigs that differ in other things share theirs.
var made struct {
	sync.Mutex
	tables map[float64]*Table
}

// mostMade is how many tables are kept, some 20 kB each; then all are let go.
const mostMade = 128

// NewTable returns the table of f·Re² for the relative roughness ε/D. It is made
// once and never changes, so that models may share it.
func NewTable(rough float64) *Table {
	made.Lock()
	defer made.Unlock()
	t := made.tables[rough]
	if t == nil {
		t = tabulate(rough)
		if made.tables == nil || len(made.tables) >= mostMade {
			made.tables = map[float64]*Table{}
		}
		made.tables[rough] = t
	}
	return t
}

func tabulate(rough float64) *Table {
	n := octaves << segmentBits
	t := &Table{rough: rough, seg: make([]segment, n)}
	one := math.Float64bits(1)
	edge := func(i int) float64 {
		return math.Float64frombits(one + uint64(i)<<(52-segmentBits))
	}
	for i := range t.seg {
		u0, u1 := edge(i), edge(i+1)
		h := u1 - u0
		blend := u1 <= 2
		f0, d0, s0 := phi2(u0, rough, blend)
		f1, d1, s1 := phi2(u1, rough, blend)
		d0, d1, s0, s1 = d0*h, d1*h, s0*h*h, s1*h*h
		// Quintic Hermite in Newton's order (de Boor 1978, ch. IV).
		r := f1 - f0 - d0 - s0/2
		v := d1 - d0 - s0
		a := s1 - s0
		t.seg[i] = segment{u0, 1 / h, [6]float64{f0, d0, s0 / 2, 10*r - 4*v + a/2, -15*r + 7*v - a, 6*r - 3*v + a/2}}
	}
	return t
}

// phi2 returns φ and its first and second derivative in u, on the blend's side
// or on the turbulent side where they meet.
func phi2(u, rough float64, blend bool) (f, d, s float64) {
	f, d = hydraulics.Phi(u*laminar, rough)
	d *= laminar
	e := 1e-5 * u
	lo, hi := u-e, u+e
	switch {
	case blend && u == 1, !blend && u == 2:
		lo = u
	case blend && u == 2:
		hi = u
	}
	_, a := hydraulics.Phi(lo*laminar, rough)
	_, b := hydraulics.Phi(hi*laminar, rough)
	if lo == u || hi == u {
		// One-sided, second order.
		m := (lo + hi) / 2
		_, c := hydraulics.Phi(m*laminar, rough)
		s = (-3*a + 4*c - b) / (hi - lo)
		if hi == u {
			s = (3*b - 4*c + a) / (hi - lo)
		}
		return f, d, s * laminar
	}
	return f, d, (b - a) / (hi - lo) * laminar
}

// segmentOf returns which segment u, which is at least 1, falls in.
func segmentOf(u float64) int {
	return int((math.Float64bits(u) - 0x3ff<<52) >> (52 - segmentBits))
}

// at returns φ and dφ/du.
func (t *Table) at(u float64) (phi, dphi float64) {
	if u < 1 {
		return 64 * laminar * u, 64 * laminar
	}
	i := segmentOf(u)
	if i >= len(t.seg) {
		f, d := hydraulics.Phi(u*laminar, t.rough)
		return f, d * laminar
	}
	g := &t.seg[i]
	return g.phi(u), g.slope(u)
}

// phi returns φ alone.
func (t *Table) phi(u float64) float64 {
	if u < 1 {
		return 64 * laminar * u
	}
	i := segmentOf(u)
	if i >= len(t.seg) {
		f, _ := hydraulics.Phi(u*laminar, t.rough)
		return f
	}
	return t.seg[i].phi(u)
}

// phi and slope return φ and dφ/du within the segment.
func (s *segment) phi(u float64) float64 {
	x := (u - s.u0) * s.inv
	return s.c[0] + x*(s.c[1]+x*(s.c[2]+x*(s.c[3]+x*(s.c[4]+x*s.c[5]))))
}

func (s *segment) slope(u float64) float64 {
	x := (u - s.u0) * s.inv
	return (s.c[1] + x*(2*s.c[2]+x*(3*s.c[3]+x*(4*s.c[4]+x*5*s.c[5])))) * s.inv
}
