package diagnose

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/network/rigfile"
	"quietpump/network/tolerance"
	"quietpump/sim"
	"quietpump/sim/cycle"
)

// worldless says that its worlds are not all drawn yet.
func (s *Session) worldless() bool {
	return len(s.all) == 0
}

// The section-level quadrature against full simulations of rigs drawn from their tolerances: once one simulation of
// the middle rig has set it right, rest and run are within what modelSD allows.
func TestQuadratureAgainstSimulation(t *testing.T) {
	var off []float64
	for _, name := range []string{"twopath", "nosuction", "bypass", "noaccumulator", "twopumps"} {
		rig, err := rigfile.Read("../../testdata/rigs/" + name + ".rig.toml")
		require.NoError(t, err)
		s, err := Begin(Case{Rig: rig}, Options{})
		require.NoError(t, err)
		for s.worldless() {
			next := s.todo[0]
			s.todo = s.todo[1:]
			require.NoError(t, next())
		}
		random := rand.New(rand.NewPCG(1, 2))
		v := s.view(nil)
		r := &s.rigs[0]
		for i := range s.list {
			th := &s.list[i].theory
			if th.kind != OneSuspect || len(th.leaks) == 0 {
				continue
			}
			s.anchorNow(t, th, v, 40e-6/60)
			for range 2 {
				w := s.all[random.IntN(len(s.all))]
				size := math.Exp(random.Float64()*math.Log(40)) * 5e-6 / 60
				c := s.cycle(th, w, v)
				f := c.at(size)
				if !f.starts || math.IsInf(f.run, 1) || f.run > 60 || f.rest < 2 {
					continue
				}
				turned, err := tolerance.Draw(r.rig, r.unknowns, w.z[extras:])
				if err != nil {
					continue
				}
				m, err := sim.Compile(turned)
				require.NoError(t, err)
				got, err := cycle.First(m, nil, s.faults(th, size, w), sim.Options{}, time.Duration(20*f.rest*1e9))
				if name == "noaccumulator" && errors.Is(err, cycle.ErrNoStop) {
					continue // a cut-out was drawn above what the bypass lets the pump reach
				}
				if !assert.NoError(t, err, "%s %s", name, th.name) {
					continue
				}
				e := math.Log(got.Rest / f.rest)
				off = append(off, math.Abs(e))
			}
		}
	}
	slices.Sort(off)
	t.Logf("%d cycles: median %.2g, nine in ten within %.2g, most %.2g", len(off), off[len(off)/2], off[len(off)*9/10], off[len(off)-1])
	require.Greater(t, len(off), 60)
	assert.Less(t, off[len(off)*9/10], modelSD)
}

// anchorNow simulates at once.
func (s *Session) anchorNow(t *testing.T, th *theory, v int, size float64) {
	later := s.todo
	s.todo = nil
	s.anchorOne(th, v, size)
	for len(s.todo) > 0 {
		next := s.todo[0]
		s.todo = s.todo[1:]
		require.NoError(t, next())
	}
	s.todo = later
}

// Causes that change the rig, and pairs, are simulated as the quadrature has them.
func TestChangedRigsAreAnchored(t *testing.T) {
	var off []float64
	for _, name := range []string{"twopath", "nosuction", "noaccumulator"} {
		rig, err := rigfile.Read("../../testdata/rigs/" + name + ".rig.toml")
		require.NoError(t, err)
		s, err := Begin(Case{Rig: rig}, Options{})
		require.NoError(t, err)
		for s.worldless() {
			next := s.todo[0]
			s.todo = s.todo[1:]
			require.NoError(t, next())
		}
		v := s.view(nil)
		try := func(th *theory) {
			c := *s.unanchored(th, s.rigs[0].middle, v)
			s.anchorNow(t, th, v, 5e-6/60)
			a := s.anchored[anchorKey{th.name, v}]
			if c.starts && assert.True(t, a.told && a.starts, th.name) {
				off = append(off, math.Abs(math.Log(a.rest)))
			}
		}
		var single []*theory
		for i := range s.list {
			th := &s.list[i].theory
			if th.twist != (twist{}) && th.twist.simulated() {
				try(th)
			}
			if th.kind == OneSuspect {
				single = append(single, th)
			}
		}
		for i, b := range single[1:] {
			a := single[i]
			try(&theory{id: s.id(a.name + " and " + b.name), name: a.name + " and " + b.name, kind: Pair, leaks: []leak{a.leaks[0], b.leaks[0]}, halves: []*theory{a, b}})
		}
	}
	slices.Sort(off)
	require.Greater(t, len(off), 20)
	assert.Less(t, off[len(off)*9/10], 3*modelSD)
	assert.Less(t, off[len(off)-1], 5*modelSD)
}
