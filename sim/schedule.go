package sim

import (
	"slices"
	"strings"

	"quietpump/network"
	"quietpump/sim/internal/kernel"
)

// knot is a time at which the lineup changes, or a heater's temperature begins to
// change in another way.
type knot struct {
	at     float64
	set    network.Lineup
	stroke []string // hand pumps whose stroke begins
	name   string   // for the event
	heat   bool     // a temperature: the heaters' ramps have it already
}

// reach is the temperatures a heater reaches, and when.
type reach struct{ t, temp []float64 }

// schedule sorts the changes into knots, strokes and temperatures.
func (r *Run) schedule() {
	changes := slices.Clone(r.opts.Schedule)
	slices.SortStableFunc(changes, func(a, b Change) int { return int(a.At - b.At) })
	temps := map[string]*reach{}
	r.temps = temps
	for _, c := range changes {
		t := c.At.Seconds()
		if len(c.Lineup) > 0 {
			r.knots = append(r.knots, knot{at: t, set: c.Lineup, name: sortedKeys(c.Lineup)[0]})
		}
		if len(c.Stroke) > 0 {
			r.knots = append(r.knots, knot{at: t, stroke: c.Stroke, name: c.Stroke[0]},
				knot{at: t + strokeTime, name: c.Stroke[0]})
		}
		for name, T := range c.Heat {
			r.knots = append(r.knots, knot{at: t, name: name, heat: true})
			if temps[name] == nil {
				temps[name] = &reach{}
			}
			temps[name].t = append(temps[name].t, t)
			temps[name].temp = append(temps[name].temp, float64(T))
		}
	}
	slices.SortStableFunc(r.knots, func(a, b knot) int {
		switch {
		case a.at < b.at:
			return -1
		case a.at > b.at:
			return 1
		}
		return strings.Compare(a.name, b.name)
	})
	r.heat = map[string]kernel.Ramp{}
	for name, x := range temps {
		h, ok := r.model.heater(name)
		if !ok {
			continue
		}
		r.heat[name] = heaterRamp(h, x.t, x.temp, r.opts.startTemperature(name))
		r.stops = append(r.stops, r.heat[name].T...)
	}
	slices.Sort(r.opts.Samples)
	for _, s := range r.opts.Samples {
		r.stops = append(r.stops, s.Seconds())
	}
	slices.Sort(r.stops)
	r.stops = slices.Compact(r.stops)
}
