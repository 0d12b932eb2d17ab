package rigs

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"time"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// odd are values that no vehicle has, and that a program may hand in all the same.
var odd = []float64{
	0, math.Copysign(0, -1), 1, -1, 1e-3, 1e3, 1e6, -1e6, 1e-6, 1e-9, 1e-12, 1e-30, 1e-300, 5e-324, -5e-324, 1e9, 1e12, 1e30, 1e300, math.MaxFloat64, -math.MaxFloat64,
	math.NaN(), math.Inf(1), math.Inf(-1), math.Pi, 0.5, 101325, 293.15, 998,
}

// A Spoiler puts odd values in the place of a share of floats and times.
type Spoiler struct {
	*rand.Rand
	Share float64
}

// Float is x or something odd.
func (s Spoiler) Float(x float64) float64 {
	if s.Float64() >= s.Share {
		return x
	}
	if s.IntN(3) == 0 { // still a number, and out of all proportion
		return x * math.Pow(10, float64(s.IntN(25)-12))
	}
	return odd[s.IntN(len(odd))]
}

// Time is d or something odd.
func (s Spoiler) Time(d time.Duration) time.Duration {
	if s.Float64() >= s.Share {
		return d
	}
	return []time.Duration{0, 1, -1, time.Nanosecond, time.Millisecond, time.Hour, 24 * time.Hour, 1e6 * time.Hour, math.MaxInt64, math.MinInt64}[s.IntN(10)]
}

// spoil goes through all that a value holds.
func (s Spoiler) spoil(v reflect.Value) {
	switch v.Kind() {
	case reflect.Float64:
		v.SetFloat(s.Float(v.Float()))
	case reflect.Int64:
		v.SetInt(int64(s.Time(time.Duration(v.Int()))))
	case reflect.Bool:
		if s.Float64() < s.Share {
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

// spoiled is x with odd values in it.
func spoiled[T any](x T, s Spoiler) T {
	v := reflect.New(reflect.TypeOf(x))
	v.Elem().Set(reflect.ValueOf(x))
	s.spoil(v.Elem())
	return v.Elem().Interface().(T)
}

func spoiledValues[Q ~float64](was map[string]Q, s Spoiler) map[string]Q {
	if was == nil {
		return nil
	}
	now := map[string]Q{}
	for _, name := range slices.Sorted(maps.Keys(was)) { // so that a seed tells the same case each time
		now[name] = Q(s.Float(float64(was[name])))
	}
	return now
}

// Spoiled is the case with odd values in its rig, by the first, and in all else, by the
// second. An error is the network's refusal.
func (c *Case) Spoiled(ofRig, ofOptions Spoiler) (*Case, error) {
	var items []network.Item
	for _, j := range c.Rig.Joints() {
		items = append(items, spoiled(j, ofRig))
	}
	for _, p := range c.Rig.Parts() {
		items = append(items, spoiled(p, ofRig).(network.Item))
	}
	rig, err := network.New("odd", items...)
	if err != nil {
		return nil, err
	}
	now := &Case{Rig: rig, Lineup: network.Lineup{}}
	for _, name := range slices.Sorted(maps.Keys(c.Lineup)) {
		set := c.Lineup[name]
		if set.Opening() > 0 {
			set = network.Open(ofOptions.Float(set.Opening()))
		}
		now.Lineup[name] = set
	}
	for _, fault := range c.Faults {
		now.Faults = append(now.Faults, spoiled(fault, ofOptions))
	}
	now.Options = oddOptions(c.Options, ofOptions)
	return now, nil
}

func oddOptions(was sim.Options, s Spoiler) sim.Options {
	o := was
	o.Until, o.MaxSteps = min(o.Until, 10*time.Minute), 2000
	if s.Share > 0 {
		o.Until = s.Time(o.Until)
		o.Altitude = unit.Length(s.Float(float64(o.Altitude)))
		s.spoil(reflect.ValueOf(&o.Water).Elem())
		if o.Water == (hydraulics.Water{}) && s.Float64() < s.Share {
			o.Water = hydraulics.Water{Density: unit.Density(s.Float(998)), Viscosity: unit.Viscosity(s.Float(1e-3))}
		}
	}
	o.Start.Tanks, o.Start.Pressures, o.Start.Temperatures = spoiledValues(o.Start.Tanks, s), spoiledValues(o.Start.Pressures, s), spoiledValues(o.Start.Temperatures, s)
	o.Schedule = nil
	for _, change := range was.Schedule {
		change.At = s.Time(change.At)
		change.Heat = spoiledValues(change.Heat, s)
		o.Schedule = append(o.Schedule, change)
	}
	o.Samples = []time.Duration{0, s.Time(time.Second), s.Time(time.Minute)}
	return o
}

// Says is what is wrong with an error that a caller is to act on: nothing, or that it
// tells nothing.
func Says(err error) error {
	if text := err.Error(); len(text) < 12 || len(text) > 1<<20 {
		return fmt.Errorf("an error says %.100q", text)
	}
	return nil
}
