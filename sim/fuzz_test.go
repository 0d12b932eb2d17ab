package sim_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"quietpump/sim"
	"quietpump/sim/internal/rigs"
)

// Rigs, lineups, faults, starts and schedules with odd values in them, through
// the API: each step answers or refuses with an error that says something, in a
// bounded number of steps, and what an answer knows is a number.
func FuzzSolve(f *testing.F) {
	for seed := range uint64(12) {
		f.Add(seed, uint8(5+seed), uint8(3*seed), uint8(2*seed))
	}
	f.Fuzz(func(t *testing.T, seed uint64, joints, ofRig, ofOptions uint8) {
		c, err := rigs.Random(seed, 5+int(joints)%12)
		if err != nil {
			t.Skip(err)
		}
		c, err = c.Spoiled(rigs.Spoiler{Rand: rand.New(rand.NewPCG(seed, uint64(ofRig))), Share: float64(ofRig) / 1000},
			rigs.Spoiler{Rand: rand.New(rand.NewPCG(seed, uint64(ofOptions)+1000)), Share: float64(ofOptions) / 500})
		if err != nil {
			says(t, err)
			return
		}
		solveOddly(t, c)
	})
}

func solveOddly(t *testing.T, c *rigs.Case) {
	model, err := sim.Compile(c.Rig)
	if err != nil {
		says(t, err)
		return
	}
	still, err := model.Steady(c.Lineup, c.Faults, c.Options)
	if err != nil {
		says(t, err)
	} else {
		for _, j := range c.Rig.Joints() {
			if p, ok := still.Pressure(j.Name); ok && !known(float64(p)) {
				t.Fatalf("still: %q is at %v", j.Name, float64(p))
			}
		}
	}
	rec, err := model.Simulate(context.Background(), c.Lineup, c.Faults, c.Options) // MaxSteps ends it; a step that does not end hangs the fuzzer
	if err != nil {
		says(t, err)
	}
	if rec == nil {
		return
	}
	for _, e := range rec.Events {
		if !known(e.At) {
			t.Fatalf("%v of %q at %v", e.What, e.Part, e.At)
		}
	}
	for _, s := range rec.Samples {
		for _, j := range c.Rig.Joints() {
			if p, ok := s.Pressure(j.Name); ok && !known(float64(p)) {
				t.Fatalf("at %v s %q is at %v", s.At, j.Name, float64(p))
			}
		}
	}
	if err != nil {
		return
	}
	for name, v := range rec.Ledger.Stored {
		if !known(float64(v)) {
			t.Fatalf("%q stored %v", name, float64(v))
		}
	}
}

func known(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// says fails the test on an error that tells nothing.
func says(t *testing.T, err error) {
	t.Helper()
	if err := rigs.Says(err); err != nil {
		t.Fatal(err)
	}
}
