package diagnose

import (
	"errors"
	"fmt"
	"math"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// Press is how far a press of a stopwatch is off, one standard deviation in
// seconds: common practice, no source. A rest lies between two presses, and so
// does a run, of which one is the rest's.
const Press = 0.3

// cupSD is how far a kitchen measure is off, as a fraction: common practice, no source.
const cupSD = 0.05

// check says everything that keeps a reading from being used.
func (r Reading) check(rig *network.Rig) error {
	var errs []error
	for _, k := range []struct {
		name  string
		times []Time
	}{{"rest", r.Rest}, {"run", r.Run}, {"every", r.Every}} {
		for _, t := range k.times {
			if t.Value <= 0 {
				errs = append(errs, fmt.Errorf("%s %v is no time that can be watched; give one above zero, such as 95 s", k.name, t.Value))
			}
			if t.SD < 0 {
				errs = append(errs, fmt.Errorf("%s %v cannot be off by %v; give a spread above zero, or none", k.name, t.Value, t.SD))
			}
		}
	}
	for _, c := range r.Cup {
		if !(c.Value > 0) || math.IsInf(float64(c.Value), 0) || !(c.SD >= 0) {
			errs = append(errs, fmt.Errorf("cup %v is no amount that can be drawn; give one above zero, such as 2 fl oz", c.Value))
		}
	}
	for _, n := range r.Count {
		if n.Starts < 0 || n.Within <= 0 {
			errs = append(errs, fmt.Errorf("%d starts in %v cannot be counted; give a number and the time it took", n.Starts, n.Within))
		}
	}
	if r.NoStart < 0 || r.NeverStops < 0 {
		errs = append(errs, errors.New("a time that was watched is above zero"))
	}
	for _, j := range r.Jug {
		if !(j.Volume > 0) || j.Time.Value <= 0 {
			errs = append(errs, errors.New("a jug has a volume and the time it took to fill; give both"))
		}
		if p, ok := rig.Part(j.Tap); j.Tap != "" && (!ok || p.Kind() != "fixture") {
			errs = append(errs, fmt.Errorf("a jug was filled at %q, which is no tap of this rig; name one of its fixtures", j.Tap))
		}
	}
	for _, list := range [][]unit.Uncertain[unit.Pressure]{r.CutIn, r.CutOut, r.Precharge} {
		for _, p := range list {
			if !(p.Value > -unit.Pressure(unit.Atmosphere)) || math.IsInf(float64(p.Value), 0) || !(p.SD >= 0) {
				errs = append(errs, fmt.Errorf("%v is no pressure that a gauge reads", p.Value))
			}
		}
	}
	for _, g := range r.Gauge {
		if _, ok := rig.Joint(g.Joint); !ok {
			errs = append(errs, fmt.Errorf("a gauge was read at %q, which is no joint of this rig; say where it is screwed on", g.Joint))
		}
		if g.At < 0 || math.IsNaN(float64(g.Pressure.Value)) || math.IsInf(float64(g.Pressure.Value), 0) {
			errs = append(errs, fmt.Errorf("a gauge at %q read %v after %v, which cannot be", g.Joint, g.Pressure.Value, g.At))
		}
	}
	for _, l := range r.Level {
		if p, ok := rig.Part(l.Tank); !ok || p.Kind() != "tank" {
			errs = append(errs, fmt.Errorf("a level was read of %q, which is no tank of this rig; name one of its tanks", l.Tank))
		}
		if l.At < 0 || !(l.Lamp >= 0 && l.Lamp <= 1) || math.IsNaN(float64(l.Height.Value)) || !(l.Spilt.Value >= 0) {
			errs = append(errs, fmt.Errorf("a level of %q cannot be: times and amounts are above zero, lamps between 0 and 1", l.Tank))
		}
	}
	if len(errs) == 0 && len(r.Rest) == 0 && len(r.Every) > 0 && len(r.Run) > 0 {
		if e, u := mean(r.Every, Press), mean(r.Run, Press); e.value <= u.value {
			errs = append(errs, fmt.Errorf("the pump starts every %.3g s and runs %.3g s, which leaves no rest; one of the two is from another pump or was mistimed", e.value, u.value))
		}
	}
	return errors.Join(errs...)
}

// A datum is a number with its variance.
type datum struct {
	value, variance float64
	told            bool
}

// mean is the mean of times in seconds, weighted by their errors. Where they
// scatter more than their errors say, the scatter rules (R. T. Birge, Phys. Rev.
// 40 (1932) 207).
func mean(times []Time, press float64) datum {
	x, w := make([]float64, len(times)), make([]float64, len(times))
	sum := 0.0
	for i, t := range times {
		sd := t.SD.Seconds()
		if sd == 0 {
			sd = math.Sqrt2 * press
		}
		x[i], w[i] = t.Value.Seconds(), 1/(sd*sd)
		sum += w[i]
	}
	if len(x) == 0 {
		return datum{}
	}
	d := datum{weightedMean(x, w), 1 / sum, true}
	chi := 0.0
	for i := range x {
		chi += w[i] * (x[i] - d.value) * (x[i] - d.value)
	}
	if n := float64(len(x) - 1); n > 0 {
		d.variance *= math.Max(1, chi/n)
	}
	return d
}

// A watched cycle is what the readings together say of rest and run, in seconds.
type watched struct {
	rest  datum
	run   datum // not told: no run was timed
	cov   float64
	every datum // told: only start to start is known, and neither rest nor run
	cup   datum // m³
}

// cycle adjusts rest and run to all the times, by least squares with the errors
// of presses: a press that ends the rest begins the run, so what one gains the
// other loses.
func (r Reading) cycle() watched {
	rest, run, every := mean(r.Rest, Press), mean(r.Run, Press), mean(r.Every, Press)
	w := watched{cup: meanCup(r.Cup)}
	if !rest.told && !run.told {
		w.every = every
		return w
	}
	if !run.told && !every.told {
		w.rest = rest
		return w
	}
	// The normal equations, [p11 p12; p12 p22]·[rest run] = [b1 b2].
	var p11, p12, p22, b1, b2 float64
	switch {
	case rest.told && run.told:
		c := -0.5 * math.Min(rest.variance, run.variance)
		det := rest.variance*run.variance - c*c
		p11, p12, p22 = run.variance/det, -c/det, rest.variance/det
		b1, b2 = p11*rest.value+p12*run.value, p12*rest.value+p22*run.value
	case rest.told:
		p11, b1 = 1/rest.variance, rest.value/rest.variance
	case run.told:
		p22, b2 = 1/run.variance, run.value/run.variance
	}
	if every.told {
		k := 1 / every.variance
		p11, p12, p22 = p11+k, p12+k, p22+k
		b1, b2 = b1+k*every.value, b2+k*every.value
	}
	det := p11*p22 - p12*p12
	if !(det > 0) {
		w.rest = rest
		return w
	}
	w.rest = datum{(p22*b1 - p12*b2) / det, p22 / det, true}
	w.run = datum{(p11*b2 - p12*b1) / det, p11 / det, true}
	w.cov = -p12 / det
	return w
}

// meanCup is the mean of what was drawn.
func meanCup(cups []unit.Uncertain[unit.Volume]) datum {
	var d datum
	sum := 0.0
	for _, c := range cups {
		sd := c.SD
		if sd == 0 {
			sd = cupSD * float64(c.Value)
		}
		sum += 1 / (sd * sd)
		d.value += float64(c.Value) / (sd * sd)
	}
	if sum > 0 {
		d = datum{d.value / sum, 1 / sum, true}
	}
	return d
}
