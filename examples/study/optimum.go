package main

import (
	"math"
	"math/rand/v2"
	"slices"

	"quietpump/sim/diagnose"
)

// The exhaustive optimum on small vehicles: dynamic programming over every order of the steps and every coarse outcome
// of each, with chances that the study's own model gives.
type optimum struct {
	p      *player
	steps  []diagnose.Choice
	guess  []guess
	weight []float64
	like   [][][]float64 // [step][outcome][guess]
	spent  [][]float64
	memo   map[uint64]plan
}

// A guess is a truth that agrees with the first reading, and its remedy.
type guess struct {
	t      *truth
	remedy string
}

type plan struct {
	minutes float64
	step    int // −1: act
}

// Small vehicles have at most so many steps.
const (
	mostSteps = 9
	guesses   = 700
)

// newOptimum prepares it, or returns nil where the vehicle is not small, or its pump was not timed.
func newOptimum(p *player, b *diagnose.Belief) *optimum {
	if math.IsInf(p.rest, 1) {
		return nil
	}
	o := &optimum{p: p, memo: map[uint64]plan{}}
	for _, c := range b.Next {
		if c.Do == diagnose.DoTest || c.Do == diagnose.DoLook {
			o.steps = append(o.steps, c)
		}
	}
	if len(o.steps) > mostSteps || len(o.steps) == 0 {
		return nil
	}
	r := rand.New(rand.NewPCG(4711, 1))
	for len(o.guess) < guesses {
		t := newTruth(r, p.coach)
		rest, _, starts := t.cycle(setting{}, 30*86400)
		if !starts || t.kind == "healthy" {
			continue
		}
		scale := rest / p.rest
		if t.cause == "cooling" {
			if math.Abs(math.Log(scale)) > 0.3 {
				continue
			}
		} else {
			inside := true
			for i := range t.sizes {
				t.sizes[i] *= scale
				lo, hi := 0.1*mlpm, 1000*mlpm
				if t.kind == "benign" && t.cause != "tap" {
					lo, hi = 0.05*mlpm, 5*mlpm
				}
				inside = inside && (t.sizes[i] > lo && t.sizes[i] < hi || t.kind == "pair")
			}
			if !inside {
				continue
			}
		}
		o.guess = append(o.guess, guess{t, remedyOf(t)})
		o.weight = append(o.weight, 1)
	}
	for k := range o.steps {
		o.tabulate(k)
	}
	return o
}

// remedyOf names what makes an end of a truth.
func remedyOf(t *truth) string {
	switch {
	case t.kind == "outside":
		return "technician"
	case t.kind == "benign" && t.cause != "tap":
		return t.cause
	case t.cause == "tap":
		return "close"
	}
	name := ""
	for _, a := range t.at {
		name += a.part + "/" + a.look + ";"
	}
	return name
}

// outcomes of a step: of a test no start, sooner, about as before; of a look or a level seen or not.
func (o *optimum) tabulate(k int) {
	c := &o.steps[k]
	n := 2
	s := o.p.settingOf(c.Lineup)
	if c.Do == diagnose.DoTest && c.For == diagnose.AtPumps {
		n = 3
	}
	like := make([][]float64, n)
	for i := range like {
		like[i] = make([]float64, len(o.guess))
	}
	spent := make([]float64, len(o.guess))
	for g, x := range o.guess {
		var p [3]float64
		switch {
		case c.Do == diagnose.DoLook:
			spent[g] = lookMinutes(c)
			see := 0.02
			for i, a := range x.t.at {
				there := a.look == c.Part && x.t.cause != "tap" || x.t.cause == "tap" && (c.For == diagnose.LeftOn || a.part == c.Part)
				if there {
					miss := 0.05
					if c.For != diagnose.LeftOn && x.t.sizes[i] < 3*mlpm {
						miss = 0.25
					}
					see = 1 - (1-see)*miss
				}
			}
			p[0], p[1] = see, 1-see
		case c.For == diagnose.ACup:
			spent[g] = 4
			p[0] = 0.5 * math.Erfc(math.Log(0.92*x.t.drawdown()/(0.7*o.usual()))/0.12/math.Sqrt2)
			p[1] = 1 - p[0]
		case c.For == diagnose.Charge:
			spent[g] = 5
			p[0] = 0.5 * math.Erfc((x.t.charge-0.8*x.t.coach.charge)/(2*psi)/math.Sqrt2)
			p[1] = 1 - p[0]
		case s.hose:
			spent[g] = 5 + c.Watch.Minutes()
			gain := x.t.tankGain(s) * c.Watch.Seconds() / x.t.area
			p[0] = 0.5 * math.Erfc(-(gain-1.4e-3)/0.7e-3/math.Sqrt2)
			p[1] = 1 - p[0]
		default:
			rest, _, starts := x.t.cycle(s, c.Watch.Seconds())
			spent[g] = 1 + (math.Min(rest, c.Watch.Seconds())+5)/60
			at := 0
			if starts && rest < 0.8*o.p.rest {
				at = 1
			} else if starts {
				at = 2
			}
			for i := range p {
				p[i] = 0.01
			}
			p[at] = 0.98
		}
		for i := range like {
			like[i][g] = p[i]
		}
	}
	o.like, o.spent = append(o.like, like), append(o.spent, spent)
}

// usual is the drawdown of the coach as its owner told it.
func (o *optimum) usual() float64 {
	t := truth{coach: o.p.coach, in: o.p.coach.in, out: o.p.coach.out, charge: o.p.coach.charge, gas: o.p.coach.gas, stretch: o.p.coach.mainStretch, hotStretch: o.p.coach.hotStretch}
	if t.gas == 0 {
		return math.Sqrt(2.3 * 59e-12)
	}
	return t.drawdown()
}

// covers of a step, by the vehicle's access.
func (o *optimum) covers(c *diagnose.Choice) []string {
	if c.Do == diagnose.DoLook {
		if a, ok := o.p.access[c.Part]; ok {
			return []string{a.Cover}
		}
		return nil
	}
	var list []string
	if c.For == diagnose.Charge {
		return []string{o.p.access[c.Part].Cover}
	}
	for _, name := range sorted(c.Lineup) {
		if name != "pump" {
			list = append(list, o.p.access[name].Cover)
		}
	}
	return list
}

func (o *optimum) coverMinutes(cover string) float64 {
	most := 0.0
	for _, a := range o.p.access {
		if a.Cover == cover {
			most = math.Max(most, minutes[a.Effort])
		}
	}
	return most
}

// solve returns the least minutes on average from a state: the outcome of each step, or 3 where it is not done.
func (o *optimum) solve(state uint64, w []float64) plan {
	if p, ok := o.memo[state]; ok {
		return p
	}
	opened := map[string]bool{}
	for k := range o.steps {
		if state>>(2*k)&3 != 3 {
			for _, c := range o.covers(&o.steps[k]) {
				opened[c] = true
			}
		}
	}
	best := plan{o.act(w, opened), -1}
	total := 0.0
	for _, x := range w {
		total += x
	}
	next := make([]float64, len(w))
	for k := range o.steps {
		if state>>(2*k)&3 != 3 {
			continue
		}
		t := 0.0
		for g := range w {
			t += w[g] * o.spent[k][g] / total
		}
		turned := 0
		for _, c := range o.covers(&o.steps[k]) {
			turned++
			if !opened[c] {
				t += o.coverMinutes(c)
			}
		}
		if o.steps[k].Do == diagnose.DoTest {
			t += float64(turned)
		}
		for i := range o.like[k] {
			p := 0.0
			for g := range w {
				next[g] = w[g] * o.like[k][i][g]
				p += next[g]
			}
			if p < 0.003*total {
				continue
			}
			if t >= best.minutes {
				break
			}
			t += p / total * o.solve(state&^(3<<(2*k))|uint64(i)<<(2*k), slices.Clone(next)).minutes
		}
		if t < best.minutes {
			best = plan{t, k}
		}
	}
	o.memo[state] = best
	return best
}

// act is the minutes of remedies in order of what they settle a minute.
func (o *optimum) act(w []float64, opened map[string]bool) float64 {
	left, total := 0.0, 0.0
	by := map[string]float64{}
	cost := map[string]float64{}
	for g, x := range o.guess {
		by[x.remedy] += w[g]
		cost[x.remedy] = o.remedyCost(x.t, opened)
		total += w[g]
	}
	left = total
	var names []string
	for n := range by {
		names = append(names, n)
	}
	slices.Sort(names)
	slices.SortStableFunc(names, func(a, b string) int {
		if x, y := by[a]/cost[a], by[b]/cost[b]; x > y {
			return -1
		} else if x < y {
			return 1
		}
		return 0
	})
	t := 0.0
	for _, n := range names {
		t += cost[n] * left / total
		left -= by[n]
	}
	return t
}

func (o *optimum) remedyCost(t *truth, opened map[string]bool) float64 {
	switch {
	case t.kind == "outside":
		return 480
	case t.cause == "tap":
		return 4 + o.p.verify()
	case t.cause == "charge":
		return 10 + o.p.verify()
	case t.cause == "switch":
		return 128 + o.p.verify()
	case t.cause == "cooling":
		return 120
	}
	c := 0.0
	for _, a := range t.at {
		name := a.part
		if len(a.joints) > 0 {
			name = a.look
		}
		x := o.p.access[name]
		c += works[x.Wrong] + o.p.verify()
		if !opened[x.Cover] {
			c += minutes[x.Effort]
		}
	}
	return c
}

// play follows the optimum on the hidden truth, and bills the minutes to the player.
func (o *optimum) play() {
	p := o.p
	state := uint64(1)<<(2*len(o.steps)) - 1
	w := slices.Clone(o.weight)
	for {
		next := o.solve(state, slices.Clone(w))
		if next.step < 0 {
			break
		}
		k := next.step
		c := &o.steps[k]
		at := 1
		if c.Do == diagnose.DoLook {
			if p.see(c.Part, c.For, lookMinutes(c)).Look[0].Saw == diagnose.Yes {
				at = 0
			}
		} else {
			d := p.test(c)
			switch {
			case len(d.Cup) > 0:
				if float64(d.Cup[0].Value) < 0.7*o.usual() {
					at = 0
				}
			case len(d.Precharge) > 0:
				if float64(d.Precharge[0].Value) < 0.8*p.coach.charge {
					at = 0
				}
			case len(d.Level) == 2:
				if d.Level[1].Height.Value-d.Level[0].Height.Value > 1.4e-3 {
					at = 0
				}
			case d.NoStart > 0:
				at = 0
			case len(d.Rest) > 0 && d.Rest[0].Value.Seconds() < 0.8*p.rest:
				at = 1
			default:
				at = 2
			}
		}
		for g := range w {
			w[g] *= o.like[k][at][g]
		}
		state = state&^(3<<(2*k)) | uint64(at)<<(2*k)
	}
	// Remedies in their order until the pump is quiet.
	opened := p.opened
	by, cost, who := map[string]float64{}, map[string]float64{}, map[string]*truth{}
	for g, x := range o.guess {
		by[x.remedy] += w[g]
		cost[x.remedy], who[x.remedy] = o.remedyCost(x.t, opened), x.t
	}
	var names []string
	for n := range by {
		names = append(names, n)
	}
	slices.Sort(names)
	slices.SortStableFunc(names, func(a, b string) int {
		if x, y := by[a]/cost[a], by[b]/cost[b]; x > y {
			return -1
		} else if x < y {
			return 1
		}
		return 0
	})
	for _, n := range names {
		if p.quiet() {
			return
		}
		p.apply(who[n])
	}
	if !p.quiet() {
		p.mend("", diagnose.DoSwap, nil)
	}
}

// apply does the remedy of a guess.
func (p *player) apply(t *truth) {
	switch {
	case t.kind == "outside":
		p.mend("", diagnose.DoSwap, nil)
	case t.cause == "tap":
		for _, name := range p.taps {
			if !p.quiet() && p.mend(name, diagnose.DoCure, nil) {
				return
			}
		}
	case t.cause == "charge":
		p.mend(p.gasAt, diagnose.DoCure, nil)
	case t.cause == "cooling":
		p.mend(p.heater, diagnose.DoCure, nil)
	case t.cause == "switch":
		p.mend("pump", diagnose.DoSwap, nil)
	default:
		for _, a := range t.at {
			if p.mend(a.part, diagnose.DoSwap, a.joints) {
				return
			}
		}
	}
}
