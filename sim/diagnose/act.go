package diagnose

import (
	"math"
	"slices"
)

// An act is a swap or a sure cure, with the watch that follows it.
type act struct {
	remedy
	cost  float64
	cover string
	reach float64
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
			rem = []remedy{{DoSwap, "", "call a technician"}}
		case Healthy:
			rem = []remedy{{DoQuiet, "", "watch a quiet pump for as long as proves it"}}
		}
		for _, r := range rem {
			if x.kind == Pair && slices.ContainsFunc(s.c.Done, func(d Done) bool { return d.Do == DoSwap && d.Part == r.part }) {
				continue // that half is done
			}
			key := string(r.do) + r.part + r.what
			k, ok := at[key]
			if !ok {
				if len(pl.acts) == 63 {
					continue
				}
				k = len(pl.acts)
				at[key] = k
				a := s.c.access(r.part)
				one := act{remedy: r, cover: a.Cover, reach: a.reach()}
				switch {
				case x.kind == None:
					one.cost, one.reach, one.cover = pl.callOut, 0, ""
				case r.do == DoQuiet:
					one.cost, one.reach, one.cover = 30, 0, ""
				case r.do == DoCure && x.cause == Cooling:
					one.cost, one.reach, one.cover = 120, 0, ""
				case r.do == DoCure:
					one.cost = 5 + watch
				default:
					one.cost = a.work() + watch
				}
				if math.IsInf(one.reach, 1) { // nobody can reach it: a technician
					one.cost, one.reach = pl.callOut, 0
				}
				pl.acts = append(pl.acts, one)
			}
			pl.needs[i] |= 1 << uint(k)
		}
	}
}

// act is the minutes on average when nothing more is tested: remedies in the
// order of what they settle per minute, each followed by its watch. beliefs are
// by theory and add up to total.
func (pl *planner) act(belief []float64, covers map[string]bool) (minutes float64, first int) {
	left := 0.0
	for _, i := range pl.alive {
		left += belief[i]
	}
	total := left
	if !(total > 0) {
		return 0, -1
	}
	var done uint64
	first = -1
	var opened [64]bool
	for done != 1<<uint(len(pl.acts))-1 && left > 1e-6*total {
		best, bestRate, bestGain, bestCost := -1, -1.0, 0.0, 0.0
		for k := range pl.acts {
			bit := uint64(1) << uint(k)
			if done&bit != 0 {
				continue
			}
			gain, hope := 0.0, 0.0
			for _, i := range pl.alive {
				if pl.needs[i]&bit != 0 && pl.needs[i]&^done != 0 {
					if pl.needs[i]&^(done|bit) == 0 {
						gain += belief[i]
					} else {
						hope += belief[i] / 2 // half of a pair
					}
				}
			}
			a := &pl.acts[k]
			cost := a.cost
			if a.cover == "" || !covers[a.cover] {
				shared := false
				for j := range pl.acts {
					shared = shared || opened[j] && pl.acts[j].cover == a.cover
				}
				if !shared {
					cost += a.reach
				}
			}
			if rate := (gain + hope) / cost; rate > bestRate {
				best, bestRate, bestGain, bestCost = k, rate, gain, cost
			}
		}
		if best < 0 {
			break
		}
		if first < 0 {
			first = best
		}
		minutes += bestCost * left / total
		left -= bestGain
		done |= 1 << uint(best)
		opened[best] = true
	}
	return minutes, first
}
