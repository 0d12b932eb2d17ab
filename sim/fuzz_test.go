package sim_test

import (
	"context"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"
	"time"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/internal/rigs"
)

// odd are values that no vehicle has, and that a program may hand in all the same.
var odd = []float64{
	0, math.Copysign(0, -1), 1, -1, 1e-3, 1e3, 1e6, -1e6, 1e-6, 1e-9, 1e-12, 1e-30, 1e-300, 5e-324, -5e-324, 1e9, 1e12, 1e30, 1e300, math.MaxFloat64, -math.MaxFloat64,
	math.NaN(), math.Inf(1), math.Inf(-1), math.Pi, 0.5, 101325, 293.15, 998,
}

// A spoiler puts odd values in the place of some floats and times.
type spoiler struct {
	*rand.Rand
	share float64
}

func (s spoiler) float(x float64) float64 {
	if s.Float64() >= s.share {
		return x
	}
	if s.IntN(3) == 0 { // still a number, and out of all proportion
		return x * math.Pow(10, float64(s.IntN(25)-12))
	}
	return odd[s.IntN(len(odd))]
}

func (s spoiler) time(d time.Duration) time.Duration {
	if s.Float64() >= s.share {
		return d
	}
	return []time.Duration{0, 1, -1, time.Nanosecond, time.Millisecond, time.Hour, 24 * time.Hour, 1e6 * time.Hour, math.MaxInt64, math.MinInt64}[s.IntN(10)]
}

// spoil goes through all that a value holds.
func (s spoiler) spoil(v reflect.Value) {
	switch v.Kind() {
	case reflect.Float64:
		v.SetFloat(s.float(v.Float()))
	case reflect.Int64:
		v.SetInt(int64(s.time(time.Duration(v.Int()))))
	case reflect.Bool:
		if s.Float64() < s.share {
			v.SetBool(!v.Bool())
		}
	case reflect.Pointer:
		if !v.IsNil() {
			fresh := reflect.New(v.Type().Elem())
			fresh.Elem().Set(v.Elem())
			s.spoil(fresh.Elem())
			v.Set(fresh)
		}
	case reflect.Slice:
		fresh := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		reflect.Copy(fresh, v)
		for i := range fresh.Len() {
			s.spoil(fresh.Index(i))
		}
		if v.Len() > 0 {
			v.Set(fresh)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				s.spoil(v.Field(i))
			}
		}
	}
}

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
		solveOddly(t, c, spoiler{rand.New(rand.NewPCG(seed, uint64(ofRig))), float64(ofRig) / 1000}, spoiler{rand.New(rand.NewPCG(seed, uint64(ofOptions)+1000)), float64(ofOptions) / 500})
	})
}

func solveOddly(t *testing.T, c *rigs.Case, ofRig, ofOptions spoiler) {
	var items []network.Item
	for _, j := range c.Rig.Joints() {
		ofRig.spoil(reflect.ValueOf(&j).Elem())
		items = append(items, j)
	}
	for _, p := range c.Rig.Parts() {
		v := reflect.New(reflect.TypeOf(p))
		v.Elem().Set(reflect.ValueOf(p))
		ofRig.spoil(v.Elem())
		items = append(items, v.Elem().Interface().(network.Item))
	}
	rig, err := network.New("odd", items...)
	if err != nil {
		says(t, err)
		return
	}
	model, err := sim.Compile(rig)
	if err != nil {
		says(t, err)
		return
	}
	lineup := network.Lineup{}
	for _, name := range slices.Sorted(maps.Keys(c.Lineup)) {
		set := c.Lineup[name]
		if set.Opening() > 0 {
			set = network.Open(ofOptions.float(set.Opening()))
		}
		lineup[name] = set
	}
	var faults network.Faults
	for _, fault := range c.Faults {
		v := reflect.New(reflect.TypeOf(fault))
		v.Elem().Set(reflect.ValueOf(fault))
		ofOptions.spoil(v.Elem())
		faults = append(faults, v.Elem().Interface().(network.Fault))
	}
	o := oddOptions(c.Options, ofOptions)
	still, err := model.Steady(lineup, faults, o)
	if err != nil {
		says(t, err)
	} else {
		for _, j := range rig.Joints() {
			if p, ok := still.Pressure(j.Name); ok && !known(float64(p)) {
				t.Fatalf("still: %q is at %v", j.Name, float64(p))
			}
		}
	}
	rec, err := model.Simulate(context.Background(), lineup, faults, o) // MaxSteps ends it; a step that does not end hangs the fuzzer
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
		for _, j := range rig.Joints() {
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

func oddOptions(was sim.Options, s spoiler) sim.Options {
	o := was
	o.Until, o.MaxSteps = min(o.Until, 10*time.Minute), 2000
	if s.share > 0 {
		o.Until = s.time(o.Until)
		o.Altitude = unit.Length(s.float(float64(o.Altitude)))
		s.spoil(reflect.ValueOf(&o.Water).Elem())
		if o.Water == (hydraulics.Water{}) && s.Float64() < s.share {
			o.Water = hydraulics.Water{Density: unit.Density(s.float(998)), Viscosity: unit.Viscosity(s.float(1e-3))}
		}
	}
	o.Start.Tanks, o.Start.Pressures, o.Start.Temperatures = spoiled(o.Start.Tanks, s), spoiled(o.Start.Pressures, s), spoiled(o.Start.Temperatures, s)
	o.Schedule = nil
	for _, change := range was.Schedule {
		change.At = s.time(change.At)
		change.Heat = spoiled(change.Heat, s)
		o.Schedule = append(o.Schedule, change)
	}
	o.Samples = []time.Duration{0, s.time(time.Second), s.time(time.Minute)}
	return o
}

func spoiled[Q ~float64](was map[string]Q, s spoiler) map[string]Q {
	if was == nil {
		return nil
	}
	now := map[string]Q{}
	for _, name := range slices.Sorted(maps.Keys(was)) { // so that an input tells the same case each time
		now[name] = Q(s.float(float64(was[name])))
	}
	return now
}

func known(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// says fails the test on an error that tells nothing.
func says(t *testing.T, err error) {
	t.Helper()
	if text := err.Error(); len(text) < 12 || len(text) > 1<<20 {
		t.Fatalf("an error says %s", fmt.Sprintf("%.100q", text))
	}
}
