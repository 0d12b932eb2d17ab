package waves

import (
	"context"
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
	"quietpump/sim/internal/rigs"
)

func house(t testing.TB, name string) *sim.Model {
	t.Helper()
	rig, err := rigfile.Read("../../testdata/rigs/" + name + ".rig.toml")
	require.NoError(t, err)
	m, err := sim.Compile(rig)
	require.NoError(t, err)
	return m
}

// Where nobody moves anything a run stays where sim's steady answer stands.
func TestStaysWhereSteadyStands(t *testing.T) {
	for _, tt := range []struct {
		rig    string
		lineup string
		runs   []string
	}{
		{"twopath", "galley cold tap=open", []string{"pump"}},
		{"twopath", "galley cold tap=open, shower handles=open, shower head=half", []string{"pump"}},
		{"twopath", "hookup=on, pump=off, galley hot tap=open, toilet valve=half", nil},
		{"twopath", "", nil},
		{"bench30", "", nil},
		{"noaccumulator", "", nil},
		{"camper", "galley tap=open", []string{"pump"}},
		{"twopumps", "", nil},
		{"nosuction", "", nil},
		{"bypass", "", nil},
	} {
		t.Run(tt.rig+" "+tt.lineup, func(t *testing.T) {
			m := house(t, tt.rig)
			lineup, err := m.Rig().Lineup(tt.lineup)
			require.NoError(t, err)
			o := Options{Rig: sim.Options{Tolerance: sim.Fine, Start: sim.Start{Pumps: map[string]bool{}}}}
			for _, p := range tt.runs {
				o.Rig.Start.Pumps[p] = true
			}
			still, err := m.Steady(lineup, nil, o.Rig)
			require.NoError(t, err)
			if still.Cycles { // with every tap shut the lines hold what they were given
				rec, err := m.Simulate(context.Background(), lineup, nil, sim.Options{Until: time.Second, Samples: []time.Duration{0}, Tolerance: sim.Fine})
				require.NoError(t, err)
				still.Sample = rec.Samples[0]
				o.From = &still.Sample
			}
			r, err := Begin(m, lineup, nil, o)
			require.NoError(t, err)
			for !r.Advance(100) {
			}
			res := r.Result()
			assert.Empty(t, res.Warnings)
			assert.Empty(t, res.Events)
			worst, most := stray(still, r)
			for _, tb := range res.Tubes {
				for i := range tb.X {
					worst = math.Max(worst, math.Max(float64(tb.Highest[i]-tb.Start[i]), float64(tb.Start[i]-tb.Lowest[i]))/most)
				}
			}
			t.Logf("off by %.1e of the highest pressure, in %d steps of %d reaches", worst, res.Grid.Steps, res.Grid.Reaches)
			assert.Less(t, worst, 1e-9)
		})
	}
}

// stray is by how much a run is off from a steady answer, as a share of the highest
// pressure and of the largest flow.
func stray(still *sim.Still, r *Run) (worst, most float64) {
	most, flow := 1e3, 1e-6
	still.Pressures(func(joint string, p unit.Pressure, ok bool) {
		if ok {
			most = math.Max(most, math.Abs(float64(p)))
		}
	})
	for _, p := range r.model.Rig().Parts() {
		if q, ok := still.Flow(p.ID()); ok {
			flow = math.Max(flow, math.Abs(float64(q)))
		}
	}
	still.Pressures(func(joint string, p unit.Pressure, ok bool) {
		if !ok {
			return
		}
		now, known := r.Pressure(joint)
		if !known {
			worst = math.Inf(1)
		}
		worst = math.Max(worst, math.Abs(float64(now-p))/most)
	})
	for _, p := range r.model.Rig().Parts() {
		if p.Kind() != "tube" {
			continue
		}
		was, _ := still.Flow(p.ID())
		now, _ := r.Flow(p.ID())
		worst = math.Max(worst, math.Abs(float64(now-was))/flow)
	}
	return worst, most
}

// Random rigs of every kind of part, any start, lineup and faults: they run, and
// nothing comes out that is no number.
func TestRandomRigsRun(t *testing.T) {
	n, moved := 0, 0
	for seed := range uint64(50) {
		c, err := rigs.Random(seed, 5+int(seed%30))
		require.NoError(t, err)
		m, err := sim.Compile(c.Rig)
		require.NoError(t, err)
		o := Options{Until: 30 * time.Millisecond, Rig: c.Options}
		taps := network.Lineup{}
		for _, p := range c.Rig.Parts() {
			if p.Kind() == "fixture" && seed%2 == 0 {
				taps[p.ID()] = network.Open(1)
			}
		}
		o.Moves = []Move{{At: 5 * time.Millisecond, Over: 10 * time.Millisecond, Lineup: taps}}
		res, err := Simulate(context.Background(), m, c.Lineup, c.Faults, o)
		if err != nil {
			assert.ErrorContains(t, err, "no tube", fmt.Sprint(seed))
			continue
		}
		n++
		if len(taps) > 0 {
			moved++
		}
		for _, j := range res.Joints {
			for _, p := range []unit.Pressure{j.Start, j.Highest, j.Lowest} {
				require.False(t, math.IsNaN(float64(p)) || math.IsInf(float64(p), 0), "seed %d: %+v", seed, j)
			}
		}
		for _, w := range res.Warnings {
			require.NotContains(t, w.What, "not met", "seed %d", seed)
		}
	}
	require.Greater(t, n, 40)
	require.Greater(t, moved, 15)
}
