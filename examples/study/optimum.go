package main

import (
	"math"
	"math/bits"

	"quietpump/sim/diagnose"
)

// The optimum on small vehicles: the plan with the fewest minutes on average that dynamic programming finds over the
// steps and remedies that the tool offers, in any order.
//
// It lives in the same world as who follows the advice. It is told the same first reading and no more: what it thinks
// of are truths drawn as the hidden one was, that agree with that reading. A step and a remedy take the same minutes, a
// look misses and is fooled as often and may be taken three times, a cure takes as seldom, and it ends as that does,
// when the pump is quiet or a technician has come. Two things it has better: it knows the true odds of every fault,
// where the tool has three bands, and it is not surprised, as it plans in the very model that the readings come from.
// One thing it has worse: of a time, a cup, a charge and a level it hears only the coarse outcome, not the number.
//
// So it is the least over coarse outcomes, from above: in a state the few steps that tell most a minute are thought of
// and the few remedies that settle most, and from a state rarer than rare the way is one path. Where nobody can look
// that is complete and the figure is the true minimum of its kind. With looks there are too many states, and with four
// times as many it would come down by one or two in a hundred.
type optimum struct {
	p       *player
	steps   []diagnose.Choice
	acts    []deed
	guesses []guess
	kinds   []kind
	classes []class
	touched [][]int       // [act]: classes that it may end or halve
	like    [][][]float64 // [step][outcome][kind]
	spent   [][]float64   // [step][kind]
	noise   [][]float64   // [step][kind]: bits of an outcome that tell nothing
	under   []uint64      // covers of a step
	reach   []float64     // of a cover, minutes
	bit     map[string]int
	watch   float64 // that follows a remedy, minutes
	rare    float64 // chance to come to a state, below which the way that tells most is gone
	memo    map[state]plan
	sums    []float64   // by class, of order
	room    [][]float64 // of take
}

const mostSteps = 16

// newOptimum prepares it, or returns nil where its pump was not timed or it has too many steps.
func newOptimum(p *player, b *diagnose.Belief) *optimum {
	if math.IsInf(p.rest, 1) {
		return nil
	}
	o := &optimum{p: p, memo: map[state]plan{}, bit: map[string]int{}, watch: p.verify()}
	for _, c := range b.Next {
		if c.Do == diagnose.DoTest || c.Do == diagnose.DoLook {
			o.steps = append(o.steps, c)
		}
	}
	if len(o.steps) > mostSteps || len(o.steps) == 0 {
		return nil
	}
	for k := range o.steps {
		o.under = append(o.under, o.coversOf(&o.steps[k]))
	}
	o.deeds()
	o.guess()
	o.gather()
	o.plan()
	return o
}

func (o *optimum) weights() []float64 {
	w := make([]float64, len(o.kinds))
	for g := range w {
		w[g] = o.kinds[g].weight
	}
	return w
}

// cover is a cover's bit, with the minutes that it takes.
func (o *optimum) cover(name string) uint64 {
	a := o.p.access[name]
	if a.Cover == "" {
		a.Cover = name
	}
	if _, known := o.bit[a.Cover]; !known {
		o.bit[a.Cover] = len(o.reach)
		o.reach = append(o.reach, minutes[a.Effort])
	}
	return 1 << uint(o.bit[a.Cover])
}

func (o *optimum) coversOf(c *diagnose.Choice) uint64 {
	set := uint64(0)
	switch {
	case c.Do == diagnose.DoLook:
		if _, known := o.p.access[c.Part]; known {
			set = o.cover(c.Part)
		}
	case c.For == diagnose.Charge:
		set = o.cover(c.Part)
	default:
		for _, name := range sorted(c.Lineup) {
			if name != "pump" {
				set |= o.cover(name)
			}
		}
	}
	return set
}

// opening is the minutes to open what is not open yet.
func (o *optimum) opening(under, open uint64) float64 {
	t := 0.0
	for left := under &^ open; left != 0; left &= left - 1 {
		t += o.reach[bits.TrailingZeros64(left)]
	}
	return t
}

// expected is the minutes that the plan takes on average.
func (o *optimum) expected() float64 { return o.memo[state{}].minutes }

// play has a player follow the plan on a hidden truth.
func (o *optimum) play(p *player) {
	w := o.weights()
	s, open := state{}, uint64(0)
	for {
		next, planned := o.memo[s]
		if !planned || next.step == -1 {
			_, next.step = o.tail(s, open, w, longest)
		}
		switch {
		case next.step >= 0:
			k := next.step
			at := o.see(p, k)
			for g := range w {
				w[g] *= o.like[k][at][g]
			}
			s, _ = o.after(k, at, s)
			open |= o.under[k]
		case next.step == -1:
			o.order(s, open, o.byClass(w), func(k int, _ float64) bool { return !o.do(p, k) })
			if !p.quiet() {
				o.do(p, -1)
			}
			return
		default:
			k := -2 - next.step
			before, _, _ := p.left().cycle(setting{}, night)
			if o.do(p, k) {
				return
			}
			now, _, _ := p.left().cycle(setting{}, night)
			same, half := make([]float64, len(w)), make([]float64, len(w))
			o.apply(k, s, w, same, half)
			s.done |= 1 << uint(k)
			w = same
			if now > 1.02*before {
				w, s = half, o.halved(k, s)
			}
			open |= o.acts[k].under
		}
		if sum(w) == 0 { // nothing that was thought of
			o.do(p, -1)
			return
		}
	}
}

// see takes a step and says its outcome.
func (o *optimum) see(p *player, k int) int {
	c := &o.steps[k]
	yes := false
	if c.Do == diagnose.DoLook {
		yes = p.see(c.Part, c.For, lookMinutes(c)).Look[0].Saw == diagnose.Yes
	} else {
		d := p.test(c)
		switch {
		case len(d.Cup) > 0:
			yes = float64(d.Cup[0].Value) < 0.7*o.usual()
		case len(d.Precharge) > 0:
			yes = float64(d.Precharge[0].Value) < 0.8*p.coach.charge
		case len(d.Level) == 2:
			yes = d.Level[1].Height.Value-d.Level[0].Height.Value > 1.4e-3
		case d.NoStart > 0:
			yes = true
		case len(d.Rest) > 0 && d.Rest[0].Value.Seconds() < 0.8*o.p.rest:
			return 1
		default:
			return 2
		}
	}
	if yes {
		return 0
	}
	return 1
}

// do does a deed on the hidden truth, −1 the technician, and says whether the pump is quiet.
func (o *optimum) do(p *player, k int) bool {
	if k < 0 {
		return p.mend("", diagnose.DoSwap, nil)
	}
	d := &o.acts[k]
	switch {
	case d.do == diagnose.DoQuiet:
		return p.hold()
	case d.every:
		return p.mend(diagnose.EveryTap, diagnose.DoCure, nil)
	}
	return p.mend(d.part, d.do, d.joints)
}
