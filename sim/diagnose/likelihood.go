package diagnose

import (
	"fmt"
	"math"
	"slices"
	"time"

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
	// bind is likely made ready for one theory; nil: likely serves for all.
	bind func(t *theory) func(f *forecast) float64
	// met is the density where it is met as expected; zero: what the best theory has.
	met float64
}

func phi(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }

func density(x, mean, sd float64) float64 {
	z := (x - mean) / sd
	return math.Exp(-z*z/2) / (sd * math.Sqrt(2*math.Pi))
}

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
		add(evidence{what: "a cup of " + unit.US.Format(cup.Value, 2), likely: func(w *world, t *theory, c *unitCycle, f *forecast) float64 {
			if !c.starts {
				return blend(0, wideOf(read, sd))
			}
			// The cup is drawn by hand from what the pump fills; the seep takes its share meanwhile.
			return blend(density(read, f.drawdown*w.yield, math.Hypot(sd, modelSD*f.drawdown)), wideOf(read, sd))
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
	for _, d := range []datum{w.rest, w.run, w.every} {
		if d.told {
			e.met *= density(0, 0, math.Sqrt(d.variance))
		}
	}
	e.likely = func(_ *world, t *theory, _ *unitCycle, f *forecast) float64 {
		// Each time is a slip of its own now and then.
		like := 1.0
		one := func(d datum, predicted, given, part float64) {
			sd := math.Sqrt(d.variance)
			model := 0.0
			if f.starts && !math.IsInf(predicted, 1) {
				model = density(d.value-given, predicted, math.Hypot(sd*part, modelSD*predicted))
			}
			like *= blend(model, wideOf(d.value, sd))
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
			one(w.every, f.rest+f.run, 0, 1)
		}
		given, part := 0.0, 1.0
		if w.rest.told {
			one(w.rest, f.rest, 0, 1)
			if sd := math.Sqrt(w.rest.variance); w.run.told && math.Abs(w.rest.value-f.rest) < 5*sd {
				// Presses carry the error: a rest that is long by one makes the run short.
				share := w.rest.variance / (w.rest.variance + math.Pow(modelSD*f.rest, 2))
				given = w.cov / w.rest.variance * share * (w.rest.value - f.rest)
				part = math.Sqrt(max(1-w.cov*w.cov/(w.rest.variance*w.run.variance), 0.1))
			}
		}
		if w.run.told {
			one(w.run, f.run, given, part)
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
			sd := math.Hypot(0.4, 0.03*expected)
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
			return blend(phi((f.rest-T)/math.Hypot(Press, 2*modelSD*f.rest)), 0.5)
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

// levels are what a tank gained between the first and the last level read.
func levels(i, v int, r Reading, rig *network.Rig, area func(string) float64) []evidence {
	var list []evidence
	names := map[string]bool{}
	for _, l := range r.Level {
		if names[l.Tank] {
			continue
		}
		names[l.Tank] = true
		var rule, lamp []Level
		for _, o := range r.Level {
			if o.Tank != l.Tank {
				continue
			}
			switch {
			case o.By == ByRule:
				rule = append(rule, o)
			case o.By == ByLamp:
				lamp = append(lamp, o)
			case o.By == BySpill && o.Spilt.Value > 0:
				list = append(list, gain(i, v, "spilt "+unit.US.Format(o.Spilt.Value, 2), float64(o.Spilt.Value), math.Hypot(o.Spilt.SD, cupSD*float64(o.Spilt.Value)), o.At))
			case o.By == BySpill && o.Spilling != Unsaid:
				yes := o.Spilling == Yes
				list = append(list, evidence{reading: i, view: v, what: "tank spilling: " + string(o.Spilling), likely: func(w *world, t *theory, c *unitCycle, f *forecast) float64 {
					p := 0.01
					if c.tank > 0 {
						p = 0.9
					}
					if !yes {
						return 1 - p*0.3 // it need not be full yet
					}
					return blend(p, 0.1)
				}})
			}
		}
		byTime := func(a, b Level) int { return int(a.At - b.At) }
		slices.SortStableFunc(rule, byTime)
		slices.SortStableFunc(lamp, byTime)
		a := area(l.Tank)
		if n := len(rule); n >= 2 && a > 0 {
			sd := math.Sqrt2 * float64(levelSD)
			if rule[0].Height.SD > 0 {
				sd = math.Hypot(rule[0].Height.SD, rule[n-1].Height.SD)
			}
			d := float64(rule[n-1].Height.Value - rule[0].Height.Value)
			list = append(list, gain(i, v, fmt.Sprintf("tank level by %.1f mm in %s", d*1e3, short((rule[n-1].At-rule[0].At).Seconds())), d*a, sd*a, rule[n-1].At-rule[0].At))
		}
		if n := len(lamp); n >= 2 && a > 0 {
			if p, ok := rig.Part(l.Tank); ok {
				if tank, ok := p.(network.Tank); ok {
					// A lamp is a level within a third of the tank.
					d := (lamp[n-1].Lamp - lamp[0].Lamp) * float64(tank.Capacity)
					list = append(list, gain(i, v, "tank lamps", d, float64(tank.Capacity)/3/math.Sqrt(6)*math.Sqrt2, lamp[n-1].At-lamp[0].At))
				}
			}
		}
	}
	return list
}

// loses says whether a theory takes water out of the tank: on the pump all that
// does not come back to it.
func (t *theory) loses(c *unitCycle) bool {
	return c.starts && !slices.Contains(t.ends, network.ToFreshTank) && len(t.ends) > 0
}

// gain is the water that a tank gained in a time.
func gain(i, v int, what string, d, sd float64, over time.Duration) evidence {
	T := over.Seconds()
	return evidence{
		reading: i, view: v, what: what,
		likely: func(_ *world, t *theory, c *unitCycle, f *forecast) float64 {
			rate := 0.0
			switch {
			case c.tank > 0: // on the hose
				rate = f.flow * c.tank / c.held
			case t.loses(c):
				rate = -f.flow
			}
			wide := 1 / (20 * max(sd, math.Abs(d)/3))
			return blend(density(d, rate*T, math.Hypot(sd, 0.05*rate*T)), wide)
		},
		size: func(_ *world, c *unitCycle) (float64, float64) {
			if T <= 0 || math.Abs(d) < 2*sd {
				return 0, 0
			}
			if c.tank > 0 {
				return math.Abs(d) / T / c.tank, max(sd/math.Abs(d), 0.05)
			}
			if c.starts {
				return math.Abs(d) / T * c.perSize / c.drawdown, max(sd/math.Abs(d), 0.05)
			}
			return 0, 0
		},
	}
}

// Looks miss 5 %, a quarter below three millilitres a minute, and see what is not
// there in 2 %.
const (
	missed      = 0.05
	missedSmall = 0.25
	smallDrip   = 3 * unit.MillilitrePerMinute
	imagined    = 0.02
)

// looked is a thing that was looked for.
func looked(l Look) evidence {
	answer := func(p float64) float64 {
		if l.Saw == No {
			return 1 - p
		}
		return p
	}
	return evidence{
		what: fmt.Sprintf("%s at %s: %s", l.For, l.At, l.Saw),
		likely: func(_ *world, t *theory, c *unitCycle, f *forecast) float64 {
			return answer(t.shows(l.At, l.For, f.flow, c.acts))
		},
		bind: func(t *theory) func(f *forecast) float64 {
			little, much, not := answer(t.shows(l.At, l.For, 0, true)), answer(t.shows(l.At, l.For, 1, true)), answer(t.shows(l.At, l.For, 1, false))
			return func(f *forecast) float64 {
				switch {
				case f.flow == 0:
					return not
				case f.flow < float64(smallDrip):
					return little
				}
				return much
			}
		},
	}
}

// shows is the chance that a look at a place sees what it is for.
func (t *theory) shows(at string, what For, flow float64, acts bool) float64 {
	there := false
	switch what {
	case Drip, Hiss:
		there = acts && t.showsAt(at)
	case Warm:
		there = t.cause == HandlesOn && t.showsAt(at)
	case LeftOn:
		there = (t.cause == NotQuiteShut || t.cause == HandlesOn) && (at == wholeRound || t.showsAt(at))
	}
	if !there {
		return imagined
	}
	if what != LeftOn && flow < float64(smallDrip) {
		return 1 - missedSmall
	}
	return 1 - missed
}

// wholeRound is the look at every tap, pedal and handle.
const wholeRound = "taps, pedal and handles"

// showsAt says whether what a theory lets by comes out at a part, joint or place.
func (t *theory) showsAt(at string) bool {
	for _, s := range t.suspects {
		if s.Seep.Part == at || s.Place == at || slices.Contains(s.At, at) || s.Name == at {
			return true
		}
	}
	for _, r := range t.remedy {
		if r.part == at && at != "" && (t.cause == NotQuiteShut || t.cause == HandlesOn) {
			return true
		}
	}
	return slices.Contains(t.comesOut, at)
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
