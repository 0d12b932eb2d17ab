package main

import (
	"math/bits"
	"slices"

	"quietpump/sim/diagnose"
)

// A deed is a swap, a cure that is sure, or one that makes an end of a seep now and then.
type deed struct {
	part   string
	do     diagnose.Doing
	joints []string
	cost   float64 // on what is not at fault, the watch included
	under  uint64
	of     uint32  // the sure deeds that this cure may spare; 0: it is sure itself
	every  bool    // every tap is run and closed at once, which is sure where one was not quite shut
	chance float64 // that it takes, where it is the right one
}

// technician is what calling one costs who did not need to, minutes.
const technician = 480.0

// deeds lists what could be done about anything in the vehicle.
func (o *optimum) deeds() {
	p := o.p
	add := func(d deed, at ...string) {
		for _, name := range at {
			d.under |= o.cover(name)
		}
		if d.chance == 0 {
			d.chance = 1
		}
		o.acts = append(o.acts, d)
	}
	for _, a := range p.places {
		at := a.part
		if len(a.joints) > 0 {
			at = a.look
		}
		add(deed{part: a.part, do: diagnose.DoSwap, joints: a.joints, cost: works[p.access[at].Wrong] + o.watch}, at)
		if a.tap || a.part == "fill valve" {
			add(deed{part: a.part, do: diagnose.DoCure, cost: 2 + o.watch, of: 1 << uint(len(o.acts)-1), chance: cures}, at)
		}
	}
	taps := uint32(0)
	for k, d := range o.acts {
		if d.do == diagnose.DoSwap && slices.Contains(p.taps, d.part) {
			taps |= 1 << uint(k)
		}
	}
	add(deed{do: diagnose.DoCure, every: true, cost: 2*float64(len(p.taps)) + o.watch, of: taps, chance: cures}, p.taps...)
	add(deed{do: diagnose.DoQuiet, cost: 30})
	if p.gasAt != "" {
		add(deed{part: p.gasAt, do: diagnose.DoCure, cost: 2 + o.watch}, p.gasAt)
	}
}

// needsOf is what makes an end of a truth.
func (o *optimum) needsOf(t *truth) uint32 {
	set := uint32(0)
	for k, d := range o.acts {
		if d.of != 0 && !d.every {
			continue
		}
		bit := uint32(1) << uint(k)
		switch {
		case t.cause == "tap":
			if d.every {
				set |= bit
			}
		case t.cause == "charge":
			if d.part == t.gasAt && d.do == diagnose.DoCure && !d.every {
				set |= bit
			}
		case t.cause == "switch":
			if d.part == "pump" && d.do == diagnose.DoSwap {
				set |= bit
			}
		case t.kind == "suspect" || t.kind == "pair":
			for _, a := range t.at {
				if d.do == diagnose.DoSwap && d.part == a.part && (len(a.joints) == 0 || slices.Equal(d.joints, a.joints)) {
					set |= bit
				}
			}
		}
	}
	return set
}

// strikes is the chance that deed k takes on what needs so much and had so much done, and whether that makes an end of it.
func (o *optimum) strikes(k int, needs, done uint32) (chance float64, ends bool) {
	d := &o.acts[k]
	own, chance := uint32(1)<<uint(k), 1.0
	if d.of != 0 && needs&own == 0 {
		own, chance = d.of, d.chance
	}
	if needs&own&^done == 0 {
		return 0, false
	}
	return chance, needs&^(done|own) == 0
}

// apply does a deed: what is as before, what has changed and goes on, the minutes on what is not at fault times their weights, and how
// much was hit.
func (o *optimum) apply(k int, s state, w, same, half []float64) (vain, hit float64) {
	d := &o.acts[k]
	clear(same)
	clear(half)
	for g, x := range w {
		if x == 0 {
			continue
		}
		a := &o.kinds[g]
		if a.well {
			if d.do == diagnose.DoQuiet {
				hit += x
			} else { // quiet it is, whatever was done
				vain += x * (d.cost - o.watch)
			}
			continue
		}
		chance, ends := o.strikes(k, a.needs, s.done)
		if chance == 0 {
			vain += x * d.cost
		}
		same[g] = x * (1 - chance)
		if ends {
			hit += x * chance
		} else {
			hit += x * chance / 2
			half[g] = x * chance
		}
	}
	return vain, hit
}

// inOrder is the minutes on average when remedies are tried in the order of what they settle a minute, and a technician
// is called in the end.
func (o *optimum) inOrder(s state, open uint64, w []float64) float64 {
	total := o.byClass(w)
	if total == 0 {
		return 0
	}
	t := 0.0
	o.order(s, open, total, func(_ int, minutes float64) bool { t += minutes; return true })
	return t / total
}

// byClass sums weights by class.
func (o *optimum) byClass(w []float64) float64 {
	if o.sums == nil {
		o.sums = make([]float64, len(o.classes))
	}
	clear(o.sums)
	total := 0.0
	for g, x := range w {
		o.sums[o.kinds[g].class] += x
		total += x
	}
	return total
}

// order goes through the remedies in their order from the sums of the classes, −1 for the technician, until it is told
// to stop; minutes are times weights.
func (o *optimum) order(s state, open uint64, left float64, visit func(k int, minutes float64) bool) {
	sums, done := o.sums, s.done
	well, beyond := 0.0, 0.0
	for c, x := range sums {
		if o.classes[c].well {
			well += x
		}
		if o.classes[c].beyond {
			beyond += x
		}
	}
	for left > 1e-12 {
		best, rate := -1, 0.0
		for k := range o.acts {
			d := &o.acts[k]
			if done>>uint(k)&1 == 1 || d.of != 0 && !d.every {
				continue
			}
			hit := 0.0
			for _, c := range o.touched[k] {
				n := o.classes[c].needs &^ done
				if n>>uint(k)&1 == 1 {
					hit += sums[c] / float64(bits.OnesCount32(n))
				} else if n&d.of != 0 && n&^d.of == 0 {
					hit += sums[c] * d.chance
				}
			}
			if d.do == diagnose.DoQuiet {
				hit += well
			}
			if hit > 0 {
				if r := hit / (d.cost*(left-hit) + o.opening(d.under, open)*left); r > rate {
					best, rate = k, r
				}
			}
		}
		if best < 0 || beyond/(technician*(left-beyond)+1e-12) > rate {
			visit(-1, technician*(left-beyond))
			return
		}
		d := &o.acts[best]
		right, gone := 0.0, well
		for _, c := range o.touched[best] {
			chance, ends := o.strikes(best, o.classes[c].needs, done)
			if chance > 0 {
				right += sums[c]
			}
			if ends {
				gone += sums[c] * chance
				sums[c] *= 1 - chance
			}
		}
		minutes := o.opening(d.under, open)*left + d.cost*(left-well-right)
		if d.do != diagnose.DoQuiet {
			minutes += well * (d.cost - o.watch)
		}
		if !visit(best, minutes) {
			return
		}
		for c := range sums {
			if o.classes[c].well {
				sums[c] = 0
			}
		}
		left -= gone
		well = 0
		open |= d.under
		done |= 1 << uint(best)
	}
}
