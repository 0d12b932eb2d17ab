package sim

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"quietpump/network"
)

// checkOptions refuses what cannot be simulated, all of it together, and fills
// in what was left at zero.
func (m *Model) checkOptions(lineup network.Lineup, faults network.Faults, o *Options) error {
	var errs []error
	add := func(format string, args ...any) { errs = append(errs, fmt.Errorf("sim: "+format, args...)) }
	if err := m.rig.CheckLineup(lineup); err != nil {
		errs = append(errs, err)
	}
	if err := m.rig.CheckFaults(faults); err != nil {
		errs = append(errs, err)
	}
	if o.Until < 0 {
		add("until %v is negative; give a span to simulate", o.Until)
	}
	if o.Until == 0 {
		o.Until = time.Hour
	}
	if o.MaxSteps < 0 {
		add("MaxSteps %d is negative; leave it at zero for ten million", o.MaxSteps)
	}
	if o.MaxSteps == 0 {
		o.MaxSteps = 10_000_000
	}
	if !(o.Altitude >= -400 && o.Altitude <= 9000) {
		add("altitude %v is outside -400 m to 9000 m", o.Altitude)
	}
	w := o.water()
	if !(w.Density > 100 && w.Density < 5000 && w.Viscosity > 1e-6 && w.Viscosity < 10) {
		add("water of %g kg/m3 and %g Pa s is outside what can be simulated; give both, or neither for water at 20 °C", float64(w.Density), float64(w.Viscosity))
	}
	for _, name := range sortedKeys(o.Start.Tanks) {
		p, ok := m.rig.Part(name)
		if ok {
			ok = p.Kind() == "tank" || p.Kind() == "waste tank"
		}
		if !ok {
			add("start: %q is no tank of this rig", name)
		}
		if v := float64(o.Start.Tanks[name]); !(v >= 0) || math.IsInf(v, 0) {
			add("start: tank %q holds %v; give a volume of zero or more", name, o.Start.Tanks[name])
		}
	}
	for _, name := range sortedKeys(o.Start.Pressures) {
		if _, ok := m.jointAt[name]; !ok {
			add("start: no joint %q in this rig", name)
		}
		if p := float64(o.Start.Pressures[name]); !(p > -101e3 && p < 1e8) {
			add("start: pressure %v at joint %q is outside what can be simulated", o.Start.Pressures[name], name)
		}
	}
	for _, name := range sortedKeys(o.Start.Pumps) {
		if p, ok := m.rig.Part(name); !ok || p.Kind() != "pump" {
			add("start: %q is no pump of this rig", name)
		}
	}
	for _, name := range sortedKeys(o.Start.Temperatures) {
		if _, ok := m.heater(name); !ok {
			add("start: %q is no heater of this rig", name)
		}
	}
	for i, c := range o.Schedule {
		if c.At < 0 {
			add("change %d is at %v, before the start", i+1, c.At)
		}
		if err := m.rig.CheckLineup(c.Lineup); err != nil {
			errs = append(errs, err)
		}
		for _, name := range sortedKeys(c.Heat) {
			if _, ok := m.heater(name); !ok {
				add("change %d at %v: %q is no heater of this rig", i+1, c.At, name)
			}
			if T := c.Heat[name]; !(T >= 273.15 && T <= 363.15) {
				add("change %d at %v: %v is outside 0 to 90 °C", i+1, c.At, T)
			}
		}
		for _, name := range c.Stroke {
			if p, ok := m.rig.Part(name); !ok || p.Kind() != "hand pump" {
				add("change %d at %v: %q is no hand pump of this rig", i+1, c.At, name)
			}
		}
	}
	for _, s := range o.Samples {
		if s < 0 {
			add("a sample is asked for at %v, before the start", s)
		}
	}
	o.Samples = slices.Clone(o.Samples)
	return errors.Join(errs...)
}
