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

// leastBelief is what a theory must have to be planned for.
const leastBelief = 3e-4

// actsOf lists the remedies of all theories that are alive.
func (pl *planner) actsOf(ref float64) {
	s := pl.s
	watch := min(max(1.75*ref, 120), 1800) / 60
	pl.needs = make([]uint64, len(s.list))
	at := map[string]int{}
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
			rem = []remedy{{DoSwap, "", "call a technician"}}
		}
		for _, r := range rem {
			key := string(r.do) + r.part + r.what
			k, ok := at[key]
			if !ok {
				if len(pl.acts) == 63 {
					continue
				}
				k = len(pl.acts)
				at[key] = k
				a := s.c.access(r.part)
				one := act{remedy: r, under: pl.coverOf(a.Cover), reach: a.reach()}
				switch {
				case r.part == "" && r.do == DoSwap:
					one.cost, one.reach, one.under = pl.callOut, 0, 0
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
					one.cost, one.reach, one.under = pl.callOut, 0, 0
				}
				pl.acts = append(pl.acts, one)
			}
			pl.needs[i] |= 1 << uint(k)
		}
		if bits.OnesCount64(pl.needs[i]) > 1 {
			pl.paired = append(pl.paired, i)
		}
	}
}

// wasDone says whether a remedy of a theory was tried.
func (s *Session) wasDone(t *theory, r remedy) bool {
	return slices.ContainsFunc(s.c.Done, func(d Done) bool {
		return d.Do == r.do && (d.Do != DoQuiet || d.After == Same) && (d.Part == r.part || d.Part == EveryTap && t.closedWith(EveryTap))
	})
}

// act is the minutes on average when nothing more is tested: remedies in the
// order of what they settle per minute, each followed by its watch. beliefs are
// by theory.
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
	var done uint64
	first = -1
	for done != 1<<uint(len(pl.acts))-1 && left > 1e-6*total {
		best, bestRate, bestCost := -1, -1.0, 0.0
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
			break
		}
		if first < 0 {
			first = best
		}
		a := &pl.acts[best]
		minutes += ((bestCost-a.cost)*left + a.minutes(left, gain[best])) / total
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
