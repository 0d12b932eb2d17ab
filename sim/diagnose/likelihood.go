package diagnose

import (
	"fmt"
	"math"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// modelSD is how far the quadrature is from the simulator, relative, once a
// simulation has set it right at one size and rig; TestQuadrature measures it.
const modelSD = 0.01

// An evidence is one thing of a reading that has a likelihood.
type evidence struct {
	reading int
	what    string // in words, for the one that fits worst
	view    int
	// likely is the density of what was seen under a forecast.
	likely func(w *world, t *theory, c *unitCycle, f *forecast) float64
	// size is the size that explains it best in a cycle, with its relative width;
	// zero where it says little of a size.
	size func(w *world, c *unitCycle) (size, width float64)
	// met is the density where it is met as expected; zero: what the best theory has.
	met float64
	// absent is the likelihood of a look where nothing is to be seen; zero: no look.
	absent float64
}

// phi is the normal distribution; what is further out than beyond standard
// deviations is none.
func phi(x float64) float64 {
	switch {
	case x < -beyond:
		return 0
	case x > beyond:
		return 1
	}
	return 0.5 * math.Erfc(-x/math.Sqrt2)
}

const beyond = 8

func density(x, mean, sd float64) float64 {
	z := (x - mean) / sd
	if z < -beyond || z > beyond {
		return 0
	}
	return math.Exp(-z*z/2) / (sd * math.Sqrt(2*math.Pi))
}

// both is the standard deviation of two errors together.
func both(a, b float64) float64 { return math.Sqrt(a*a + b*b) }

// blend is the mixture of a model's likelihood with the broad one that a slip of
// the hand or eye has.
func blend(model, wide float64) float64 { return (1-broad)*model + broad*wide }

// wideOf is the density of a slip: anything within a factor of 30 of what was read.
func wideOf(x, sd float64) float64 { return 1 / (max(x, sd) * 2 * math.Log(30)) }

// evidences takes a reading apart. The reading's view is v.
func evidences(i int, r Reading, v int, rig *network.Rig, tank func(string) float64) []evidence {
	var list []evidence
	add := func(e evidence) {
		e.reading, e.view = i, v
		list = append(list, e)
	}
	if len(r.Rest)+len(r.Every)+len(r.Run) > 0 {
		add(timing(r))
	}
	for _, n := range r.Count {
		add(counted(n))
	}
	if r.Blip {
		add(evidence{what: "it runs for a blip", likely: func(w *world, t *theory, c *unitCycle, f *forecast) float64 {
			if !f.starts {
				return blend(0, 0.2)
			}
			return blend(phi((1.5-f.run)/0.5), 0.2) // nobody times less than 1.5 s: common practice, no source
		}})
	}
	if r.NeverStops > 0 {
		T := r.NeverStops.Seconds()
		add(evidence{what: "it ran " + short(T) + " without a stop", likely: func(w *world, t *theory, c *unitCycle, f *forecast) float64 {
			if !f.starts {
				return blend(0, 0.05)
			}
			return blend(phi((f.run-T)/(1+0.1*T)), 0.05)
		}})
	}
	if r.NoStart > 0 {
		add(quiet(r))
	}
	for _, cup := range r.Cup {
		sd := cup.SD
		if sd == 0 {
			sd = cupSD * float64(cup.Value)
		}
		read := float64(cup.Value)
		wide := wideOf(read, sd)
		add(evidence{what: "a cup of " + unit.US.Format(cup.Value, 2), likely: func(w *world, t *theory, c *unitCycle, f *forecast) float64 {
			if !c.starts {
				return blend(0, wide)
			}
			// The cup is drawn by hand from what the pump fills; the seep takes its share meanwhile.
			return blend(density(read, f.drawdown*w.yield, both(sd, modelSD*f.drawdown)), wide)
		}})
	}
	for _, p := range []struct {
		list []unit.Uncertain[unit.Pressure]
		what string
		of   func(w *world, v *theory) (float64, bool)
	}{
		{r.CutIn, "starts at", func(w *world, t *theory) (float64, bool) { in, _, ok := w.bandUnder(t); return in, ok }},
		{r.CutOut, "stops at", func(w *world, t *theory) (float64, bool) { _, out, ok := w.bandUnder(t); return out, ok }},
		{r.Precharge, "charge", func(w *world, t *theory) (float64, bool) { return w.charge(t) }},
	} {
		for _, read := range p.list {
			x, sd := float64(read.Value), read.SD
			if sd == 0 {
				sd = float64(gaugeSD)
			}
			add(evidence{what: p.what + " " + unit.US.Format(read.Value, 2), likely: func(w *world, t *theory, c *unitCycle, f *forecast) float64 {
				at, ok := p.of(w, t)
				if !ok {
					return 1 / float64(60*unit.PSI)
				}
				return blend(density(x, at+w.bias, sd), 1/float64(60*unit.PSI))
			}})
		}
	}
	for _, g := range r.Gauge {
		add(gauged(g))
	}
	list = append(list, levels(i, v, r, rig, tank)...)
	for _, l := range r.Look {
		if l.Saw != Unsaid {
			add(looked(l))
		}
	}
	return list
}

// timing is rest, run and start to start together.
func timing(r Reading) evidence {
	w := r.cycle()
	var what string
	switch {
	case w.rest.told && w.run.told:
		what = fmt.Sprintf("rest %s, run %s", short(w.rest.value), short(w.run.value))
	case w.rest.told:
		what = "rest " + short(w.rest.value)
	case w.every.told:
		what = "every " + short(w.every.value)
	default:
		d := mean(r.Run, Press)
		what = "run " + short(d.value)
		w.run = d
	}
	e := evidence{what: what, met: 1}
	var wides [3]float64
	for i, d := range []datum{w.rest, w.run, w.every} {
		if d.told {
			wides[i] = wideOf(d.value, math.Sqrt(d.variance))
			e.met *= density(0, 0, math.Sqrt(d.variance))
		}
	}
	e.likely = func(_ *world, t *theory, _ *unitCycle, f *forecast) float64 {
		// Each time is a slip of its own now and then.
		like := 1.0
		one := func(d datum, predicted, given, part, wide float64) {
			sd := math.Sqrt(d.variance)
			model := 0.0
			if f.starts && !math.IsInf(predicted, 1) {
				model = density(d.value-given, predicted, both(sd*part, modelSD*predicted))
			}
			like *= blend(model, wide)
		}
		if t.twist.draws { // it draws when it likes: every half hour for ten seconds, give or take a factor of three
			for _, d := range []struct {
				datum
				usual float64
			}{{w.rest, 1800}, {w.every, 1800}, {w.run, 10}} {
				if d.told {
					like *= blend(density(math.Log(d.value/d.usual), 0, math.Log(3))/d.value, wideOf(d.value, math.Sqrt(d.variance)))
				}
			}
			return like
		}
		if w.every.told {
			one(w.every, f.rest+f.run, 0, 1, wides[2])
		}
		given, part := 0.0, 1.0
		if w.rest.told {
			one(w.rest, f.rest, 0, 1, wides[0])
			if sd := math.Sqrt(w.rest.variance); w.run.told && math.Abs(w.rest.value-f.rest) < 5*sd {
				// Presses carry the error: a rest that is long by one makes the run short.
				share := w.rest.variance / (w.rest.variance + math.Pow(modelSD*f.rest, 2))
				given = w.cov / w.rest.variance * share * (w.rest.value - f.rest)
				part = math.Sqrt(max(1-w.cov*w.cov/(w.rest.variance*w.run.variance), 0.1))
			}
		}
		if w.run.told {
			one(w.run, f.run, given, part, wides[1])
		}
		return like
	}
	e.size = func(_ *world, c *unitCycle) (float64, float64) {
		if !c.starts {
			return 0, 0
		}
		d := w.rest
		if w.every.told {
			d = w.every
		}
		if !d.told || d.value <= c.delay {
			return 0, 0
		}
		return c.perSize * c.restTimes / (d.value - c.delay), math.Hypot(math.Sqrt(d.variance)/d.value, modelSD)
	}
	return e
}

// counted is so many starts in a time: a whole number of periods, with the odd
// one at either end.
func counted(n Count) evidence {
	T := n.Within.Seconds()
	return evidence{
		what: fmt.Sprintf("%d starts in %s", n.Starts, short(T)),
		likely: func(_ *world, t *theory, c *unitCycle, f *forecast) float64 {
			expected := 0.0
			if f.starts {
				expected = T / (f.rest + f.run)
			}
			wide := 1 / (1 + 2*float64(n.Starts))
			if t.twist.draws {
				return blend(wide, wide)
			}
			sd := both(0.4, 0.03*expected)
			x := float64(n.Starts)
			return blend(phi((x+0.5-expected)/sd)-phi((x-0.5-expected)/sd), wide)
		},
		size: func(_ *world, c *unitCycle) (float64, float64) {
			if !c.starts || n.Starts == 0 {
				return 0, 0
			}
			return c.perSize * float64(n.Starts) / T, 0.6 / float64(n.Starts)
		},
	}
}

// quiet is no start in a time.
func quiet(r Reading) evidence {
	T := r.NoStart.Seconds()
	return evidence{
		what: "no start in " + short(T),
		likely: func(_ *world, t *theory, c *unitCycle, f *forecast) float64 {
			switch {
			case r.Heater == HeaterWarming: // water that expands hides a seep
				return 0.5
			case !f.starts:
				return blend(1, 0.5)
			case t.twist.draws:
				return blend(math.Exp(-T/1800), 0.5)
			case r.Began == Anytime:
				return blend(min(max(f.rest-T, 0)/(f.rest+f.run), 1), 0.5)
			case r.Began == AtStart:
				return blend(phi((f.rest+f.run-T)/math.Hypot(Press, 2*modelSD*f.rest)), 0.5)
			}
			return blend(phi((f.rest-T)/both(Press, 2*modelSD*f.rest)), 0.5)
		},
		size: func(_ *world, c *unitCycle) (float64, float64) {
			if !c.starts {
				return 0, 0
			}
			return c.perSize / T, 0.05
		},
	}
}

// gauged is a pressure at a time since a pump stop.
func gauged(g Gauge) evidence {
	x, sd := float64(g.Pressure.Value), g.Pressure.SD
	if sd == 0 {
		sd = float64(gaugeSD)
	}
	at := g.At.Seconds()
	return evidence{
		what: fmt.Sprintf("gauge %s after %s", unit.US.Format(g.Pressure.Value, 2), short(at)),
		likely: func(w *world, t *theory, c *unitCycle, f *forecast) float64 {
			wide := 1 / float64(60*unit.PSI)
			if !c.starts {
				return wide * 0.5
			}
			period := f.rest + f.run
			left := math.Mod(at, period)
			p := c.p[panels-1]
			for k := range panels {
				dt := c.kept[k] * c.dv[k] / c.flow[k] / f.flow * (c.drawdown / c.perSize) * c.restTimes
				if left < dt {
					h := c.p[0] - c.p[1]
					p = c.p[k] + h/2 - h*left/dt
					break
				}
				left -= dt
			}
			return blend(density(x, p+w.bias, math.Hypot(sd, 0.3*float64(unit.PSI))), wide)
		},
	}
}

// bandUnder is the switch's band in a world under a theory.
func (w *world) bandUnder(t *theory) (in, out float64, ok bool) {
	best := ""
	for name, s := range w.pumps { // the pump with the highest cut-in, of equals the first by name
		if b, found := w.pumps[best]; !found || s.in > b.in || s.in == b.in && name < best {
			best = name
		}
	}
	s, ok := w.pumps[best]
	if t.twist.span {
		s.in = s.out - (2+3*w.severity)*float64(unit.PSI)
	}
	return s.in, s.out, ok
}

// charge is the accumulator's gauge charge in a world under a theory.
func (w *world) charge(t *theory) (float64, bool) {
	for _, s := range w.stores {
		if s.gas && s.pre > 0 {
			if t.twist.charge {
				return s.pre * 0.7 * w.severity, true
			}
			return s.pre, true
		}
	}
	return 0, false
}
