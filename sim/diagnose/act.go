package diagnose

import (
	"math"
	"math/bits"
	"slices"
)

// An act is a swap or a sure cure, with the watch that follows it.
type act struct {
	remedy
	cost  float64
	reach float64
	under covers
	cure  cure
}

// A cure is what may spare a swap where it is tried first: minutes, and the chance that it
// takes where the part is at fault. The zero one is none.
type cure struct{ take, chance float64 }

// minutes are those of a remedy for so many, of whom so many have what it makes an end of: by
// its cure first where that spares more than it takes.
func (a *act) minutes(all, right float64) float64 {
	return all*a.cost - max(right*a.cure.chance*a.cost-all*a.cure.take, 0)
}

// technician is the first of the acts: calling one, who makes an end of anything. Where the dearest of the others is his
// to do as well, he has to search before it, for as long as a nuisance takes.
const technician = 0

// leastBelief is what a theory must have to be planned for.
const leastBelief = 3e-4

// actsOf lists the remedies of all theories that are alive.
func (pl *planner) actsOf(ref float64) {
	s := pl.s
	watch := min(max(1.75*ref, 120), 1800) / 60
	pl.needs = make([]uint64, len(s.list))
	call := remedy{DoSwap, "", "call a technician"}
	at := map[string]int{call.key(): technician}
	pl.acts = []act{{remedy: call, cost: pl.callOut}}
	for _, i := range pl.alive {
		x := &s.list[i]
		rem := x.remedy
		switch x.kind {
		case None:
			rem = nil
		case Healthy:
			rem = []remedy{{DoQuiet, "", "watch a quiet pump for as long as proves it"}}
		}
		// What was done once is not done again: of a pair the other half is left, of all else it
		// is a technician's.
		rem = slices.DeleteFunc(slices.Clone(rem), func(r remedy) bool { return s.wasDone(&x.theory, r) })
		if len(rem) == 0 {
			rem = []remedy{call}
		}
		for _, r := range rem {
			k, ok := at[r.key()]
			if !ok {
				if len(pl.acts) == 63 {
					continue
				}
				k = len(pl.acts)
				at[r.key()] = k
				a := s.c.access(r.part)
				one := act{remedy: r, under: pl.coverOf(a.Cover), reach: a.reach()}
				switch {
				case r.do == DoQuiet:
					one.cost, one.reach, one.under = 30, 0, 0
				case r.do == DoCure && x.cause == Cooling:
					one.cost, one.reach, one.under = 120, 0, 0
				case r.do == DoCure:
					one.cost = 5 + watch
				default:
					one.cost = a.work() + watch
				}
				if math.IsInf(one.reach, 1) { // nobody can reach it: a technician
					one.cost, one.reach, one.under = minutesWrong(CallOut), 0, 0
				}
				pl.acts = append(pl.acts, one)
				pl.callOut = max(pl.callOut, one.cost+one.reach+minutesWrong(Nuisance)*bool01(one.cost >= minutesWrong(CallOut)))
			}
			pl.needs[i] |= 1 << uint(k)
		}
		if bits.OnesCount64(pl.needs[i]) > 1 {
			pl.paired = append(pl.paired, i)
		}
	}
	pl.acts[technician].cost = pl.callOut
}

// key is equal for what is one piece of work: a part is swapped whole, whatever was wrong with it, a pump with its switch.
func (r remedy) key() string {
	if r.do == DoSwap {
		return string(r.do) + r.part
	}
	return string(r.do) + r.part + r.what
}

// wasDone says whether a remedy of a theory was tried.
func (s *Session) wasDone(t *theory, r remedy) bool {
	return slices.ContainsFunc(s.c.Done, func(d Done) bool {
		return d.Do == r.do && (d.Do != DoQuiet || d.After == Same) && (d.Part == r.part || d.Part == EveryTap && t.closedWith(EveryTap))
	})
}

// act is the minutes on average when nothing more is tested: remedies in the
// order of what they settle per minute, each followed by its watch, until a
// technician is less than what is left of them. beliefs are by theory.
func (pl *planner) act(belief []float64, open covers, room *scratch) (minutes float64, first int) {
	// Of a theory with two remedies each may be half of the way.
	left, gain := 0.0, room.gain
	clear(gain)
	pairs := false
	for _, i := range pl.alive {
		left += belief[i]
		n := pl.needs[i]
		if n&(n-1) == 0 {
			gain[bits.TrailingZeros64(n)&63] += belief[i]
		} else {
			pairs = true
		}
	}
	total := left
	if !(total > 0) {
		return 0, -1
	}
	done := uint64(1) << technician
	spent, began := 0.0, technician
	minutes, first = pl.callOut, technician
	for left > 1e-6*total {
		best, bestRate, bestCost := -1, 0.0, 0.0
		for k := range pl.acts {
			bit := uint64(1) << uint(k)
			if done&bit != 0 {
				continue
			}
			hope := 0.0
			if pairs {
				for _, i := range pl.paired {
					if pl.needs[i]&bit != 0 && pl.needs[i]&^done != bit {
						hope += belief[i] / 2
					}
				}
			}
			a := &pl.acts[k]
			cost := a.cost
			if a.under&^open != 0 {
				cost += a.reach
			}
			if rate := (gain[k] + hope) / cost; rate > bestRate {
				best, bestRate, bestCost = k, rate, cost
			}
		}
		if best < 0 {
			return minutes, first
		}
		if began == technician {
			began = best
		}
		a := &pl.acts[best]
		spent += ((bestCost-a.cost)*left + a.minutes(left, gain[best])) / total
		left -= gain[best]
		done |= 1 << uint(best)
		open |= a.under
		if pairs {
			for _, i := range pl.paired {
				if n := pl.needs[i] &^ done; n != 0 && n&(n-1) == 0 && pl.needs[i]>>uint(best)&1 == 1 {
					gain[bits.TrailingZeros64(n)] += belief[i]
				}
			}
		}
		if t := spent + pl.callOut*max(left, 0)/total; t < minutes {
			minutes, first = t, began
		}
	}
	return minutes, first
}

// curable finds the cure of each swap.
func (pl *planner) curable() {
	for k := range pl.steps {
		if pl.steps[k].heals == nil || pl.steps[k].Part == EveryTap {
			continue
		}
		for i, p := range pl.points {
			n := pl.needs[p.theory]
			if n == 0 || n&(n-1) != 0 {
				continue
			}
			a := &pl.acts[bits.TrailingZeros64(n)]
			if h := pl.like[k][0][i]; a.do == DoSwap && h > a.cure.chance {
				a.cure = cure{pl.spent[k][i], h}
			}
		}
	}
}
