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
	"quietpump/sim"
	"quietpump/sim/whatif"
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
			s.anchorOne(th, v, 40e-6/60)
			for range 2 {
				w := s.all[random.IntN(len(s.all))]
				size := math.Exp(random.Float64()*math.Log(40)) * 5e-6 / 60
				c := s.cycle(th, w, v)
				f := c.at(size)
				if !f.starts || math.IsInf(f.run, 1) || f.run > 60 || f.rest < 2 {
					continue
				}
				turned, err := whatif.Draw(r.rig, r.unknowns, w.z[extras:])
				if err != nil {
					continue
				}
				m, err := sim.Compile(turned)
				require.NoError(t, err)
				got, err := whatif.FirstCycle(m, nil, s.faults(th, size, w), sim.Options{}, time.Duration(20*f.rest*1e9))
				if name == "noaccumulator" && errors.Is(err, whatif.ErrNoStop) {
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
