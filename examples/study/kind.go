package main

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"quietpump/sim/diagnose"
)

// A kind is the truths that agree with the first reading and that no step of those offered could tell apart.
type kind struct {
	weight float64
	needs  uint32 // deeds that make an end of it
	well   bool   // nothing is wrong
	beyond bool   // a technician's
	class  int    // of those with the same needs
}

// A class is the kinds that the same deeds make an end of.
type class struct {
	needs        uint32
	well, beyond bool
}

// A guess is one truth that agrees with the first reading.
type guess struct {
	truth  *truth
	weight float64
}

// mostGuesses are drawn, and mostTries made of it.
const (
	mostGuesses = 700
	mostTries   = 20 * mostGuesses
)

// guess draws truths that agree with the first reading: the size is the one that gives the rest, and the run has its
// likelihood.
func (o *optimum) guess() {
	p := o.p
	r := rand.New(rand.NewPCG(4711, 1))
	total := 0.0
	for tried := 0; len(o.guesses) < mostGuesses && tried < mostTries; tried++ {
		t := newTruth(r, p.coach)
		rest, _, starts := t.cycle(setting{}, 30*86400)
		if !starts {
			continue
		}
		scale := rest / p.rest
		inside := true
		for i := range t.sizes {
			t.sizes[i] *= scale
			lo, hi := 0.1*mlpm, 1000*mlpm
			switch {
			case t.kind == "healthy":
				lo, hi = 0.01*mlpm, 0.1*mlpm
			case t.kind == "benign" && t.cause != "tap":
				lo, hi = 0.05*mlpm, 5*mlpm
			}
			inside = inside && (t.sizes[i] > lo && t.sizes[i] < hi || t.kind == "pair")
		}
		if !inside {
			continue
		}
		if d := &p.c.Readings[0]; len(d.Run) > 0 || d.Blip || d.NeverStops > 0 {
			_, run, _ := t.cycle(setting{}, 30*86400)
			if w := ranAs(d, run); w > 1e-3 {
				o.guesses = append(o.guesses, guess{t, w})
				total += w
			}
			continue
		}
		o.guesses = append(o.guesses, guess{t, 1})
		total++
	}
	for i := range o.guesses {
		o.guesses[i].weight /= total
	}
}

// ranAs is the likelihood of a run beside that of the run that was read.
func ranAs(d *diagnose.Reading, run float64) float64 {
	switch {
	case d.NeverStops > 0:
		return oneIf(math.IsInf(run, 1))
	case d.Blip:
		return oneIf(run <= 1.5)
	case run <= 1.5:
		return 0
	}
	z := (d.Run[0].Value.Seconds() - run) / pressSD
	return math.Exp(-z * z / 2)
}

func oneIf(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

// gather makes kinds of the guesses.
func (o *optimum) gather() {
	at, classes := map[string]int{}, map[class]int{}
	o.like, o.spent = make([][][]float64, len(o.steps)), make([][]float64, len(o.steps))
	for k := range o.steps {
		o.like[k] = make([][]float64, o.outcomes(k))
	}
	for _, one := range o.guesses {
		c := class{o.needsOf(one.truth), one.truth.kind == "healthy", one.truth.kind == "outside"}
		key := fmt.Sprint(c)
		like, spent := make([][]float64, len(o.steps)), make([]float64, len(o.steps))
		for k := range o.steps {
			like[k], spent[k] = o.shows(k, one.truth)
			key += fmt.Sprint(like[k])
		}
		g, known := at[key]
		if !known {
			g = len(o.kinds)
			at[key] = g
			if _, known := classes[c]; !known {
				classes[c] = len(o.classes)
				o.classes = append(o.classes, c)
			}
			o.kinds = append(o.kinds, kind{needs: c.needs, well: c.well, beyond: c.beyond, class: classes[c]})
			for k := range o.steps {
				for i := range like[k] {
					o.like[k][i] = append(o.like[k][i], like[k][i])
				}
				o.spent[k] = append(o.spent[k], 0)
			}
		}
		w := o.kinds[g].weight
		for k := range o.steps {
			o.spent[k][g] = (o.spent[k][g]*w + spent[k]*one.weight) / (w + one.weight)
		}
		o.kinds[g].weight += one.weight
	}
	o.noise = make([][]float64, len(o.steps))
	for k := range o.steps {
		o.noise[k] = make([]float64, len(o.kinds))
		for _, like := range o.like[k] {
			for g, p := range like {
				o.noise[k][g] += entropy(p)
			}
		}
	}
	o.touched = make([][]int, len(o.acts))
	for k := range o.acts {
		for c := range o.classes {
			if o.classes[c].needs&(1<<uint(k)|o.acts[k].of) != 0 {
				o.touched[k] = append(o.touched[k], c)
			}
		}
	}
}

func entropy(p float64) float64 {
	if p <= 0 {
		return 0
	}
	return -p * math.Log2(p)
}

// outcomes of a step: of a stopwatch no start, sooner, about as before; of all else seen or not.
func (o *optimum) outcomes(k int) int {
	if o.steps[k].Do == diagnose.DoTest && o.steps[k].For == diagnose.AtPumps && !o.p.settingOf(o.steps[k].Lineup).hose {
		return 3
	}
	return 2
}

// shows is the chance of each outcome of a step under a truth, in quarters but for looks, and its minutes.
func (o *optimum) shows(k int, t *truth) ([]float64, float64) {
	c := &o.steps[k]
	s := o.p.settingOf(c.Lineup)
	yes := func(p float64) []float64 {
		p = 0.02 + 0.96*math.Round(4*p)/4
		return []float64{p, 1 - p}
	}
	switch {
	case c.Do == diagnose.DoLook:
		see := t.sees(c.Part, c.For)
		return []float64{see, 1 - see}, lookMinutes(c)
	case c.For == diagnose.ACup:
		return yes(0.5 * math.Erfc(math.Log(0.92*t.drawdown()/(0.7*o.usual()))/0.12/math.Sqrt2)), 4
	case c.For == diagnose.Charge:
		return yes(0.5 * math.Erfc((t.charge-0.8*t.coach.charge)/(2*psi)/math.Sqrt2)), 5
	}
	turned := float64(len(c.Lineup))
	if _, pump := c.Lineup["pump"]; pump {
		turned--
	}
	if s.hose {
		gain := t.tankGain(s) * c.Watch.Seconds() / t.area
		return yes(0.5 * math.Erfc(-(gain-1.4e-3)/0.7e-3/math.Sqrt2)), turned + 5 + c.Watch.Minutes()
	}
	rest, _, starts := t.cycle(s, c.Watch.Seconds())
	at := 0
	if starts && rest < 0.8*o.p.rest {
		at = 1
	} else if starts {
		at = 2
	}
	p := []float64{0.01, 0.01, 0.01}
	p[at] = 0.98
	return p, turned + 1 + (math.Min(rest, c.Watch.Seconds())+5)/60
}

// usual is the drawdown of the coach as its owner told it.
func (o *optimum) usual() float64 {
	c := o.p.coach
	t := truth{coach: c, in: c.in, out: c.out, charge: c.charge, gas: c.gas, stretch: c.mainStretch, hotStretch: c.hotStretch}
	if t.gas == 0 {
		return math.Sqrt(2.3 * 59e-12)
	}
	return t.drawdown()
}

// others are a few of the guesses, spread evenly over the faults that there may be.
func (o *optimum) others(n int) []*truth {
	var list []*truth
	guesses := slices.Clone(o.guesses)
	slices.SortStableFunc(guesses, func(a, b guess) int { return cmp.Compare(a.truth.name(), b.truth.name()) })
	at := rand.New(rand.NewPCG(o.p.dice, 7)).Float64()
	sum := 0.0
	for _, g := range guesses {
		for sum += g.weight * float64(n); sum > at && len(list) < n; at++ {
			list = append(list, g.truth)
		}
	}
	return list
}
