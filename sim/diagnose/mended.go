package diagnose

import (
	"math"
	"slices"

	"quietpump/network"
)

// doneWeights takes into account what happened after what was done: a part that
// was swapped or cured and left the trouble as it was is hardly at fault.
func (s *Session) doneWeights() {
	for _, d := range s.c.Done {
		for i := range s.list {
			x := &s.list[i]
			switch {
			case d.Do == DoQuiet && d.After == Same: // a hold test that the pump did not pass
				if x.kind == Healthy {
					x.prior *= survivesSwap
				}
			case !x.mendedBy(d):
			case d.After == Same:
				x.prior *= x.survives(d)
			case d.After == Quiet && d.Before == len(s.c.Readings):
				x.prior /= survivesSwap
			}
		}
	}
}

// halves is what is left of a pair's prior after what was done: all of it unless
// both halves were swapped and nothing changed.
func (s *Session) halves(a, b *theory) float64 {
	left := [2]float64{1, 1}
	for _, d := range s.c.Done {
		for k, t := range [...]*theory{a, b} {
			if d.Do == DoSwap && d.After == Same && t.mendedBy(d) {
				left[k] = survivesSwap
			}
		}
	}
	return max(left[0], left[1])
}

// What is left of a fault after a swap, and after a cure: a new part that is bad
// too, a cure that did not take, debris being the commonest cause. Common practice,
// no source.
const (
	survivesSwap = 0.03
	survivesCure = 0.7
)

func (t *theory) mendedBy(d Done) bool {
	if d.Do == DoCure && d.Part == EveryTap {
		return t.isTap() || t.closedWith(EveryTap)
	}
	return slices.ContainsFunc(t.remedy, func(r remedy) bool {
		return r.part == d.Part && d.Part != "" && (r.do == d.Do || t.kind == OneSuspect && t.suspects[0].Role != network.WeepConnections)
	})
}

func (t *theory) survives(d Done) float64 {
	if d.Do == DoCure && t.kind == OneSuspect {
		return survivesCure
	}
	return survivesSwap
}

// A fate is one way that it may have gone with a theory: what was done took or not, and from then on
// for good. All readings are of the same one.
type fate struct {
	share float64
	gone  []gone // by piece of evidence
}

// What was gone of a theory by a reading: nothing, the first half of a pair, the second, all of it.
// Of one that is no pair it is all or nothing.
type gone uint8

const (
	firstGone gone = 1 << iota
	secondGone
	nothingGone gone = 0
	allGone          = firstGone | secondGone
)

// A healing is the chance that what was done made an end of something before so many readings.
type healing struct {
	before int
	chance float64
}

// healings are when it may have ended; the last of them is that it goes on.
func (s *Session) healings(t *theory) []healing {
	left := 1.0
	var list []healing
	for _, d := range s.c.Done {
		if d.After != Same && t.mendedBy(d) {
			stays := left * t.survives(d)
			list = append(list, healing{d.Before, left - stays})
			left = stays
		}
	}
	return append(list, healing{math.MaxInt, left})
}

// fates are all the ways that it may have gone with a theory.
func (s *Session) fates(t *theory) []fate {
	var list []fate
	add := func(share float64, of func(reading int) gone) {
		f := fate{share, make([]gone, len(s.evs))}
		for i := range f.gone {
			f.gone[i] = of(s.evs[i].reading)
			// What the heater was known to do rules the causes out that need another.
			switch h := s.c.Readings[s.evs[i].reading].Heater; {
			case h == HeaterUnknown:
			case t.cause == Cooling && h != HeaterCooling, t.cause == Warming && h != HeaterWarming:
				f.gone[i] = allGone
			}
		}
		for i := range list {
			if slices.Equal(list[i].gone, f.gone) {
				list[i].share += share
				return
			}
		}
		list = append(list, f)
	}
	if len(t.halves) != 2 {
		for _, h := range s.healings(t) {
			add(h.chance, func(reading int) gone {
				if reading >= h.before {
					return allGone
				}
				return nothingGone
			})
		}
		return list
	}
	for _, a := range s.healings(t.halves[0]) {
		for _, b := range s.healings(t.halves[1]) {
			add(a.chance*b.chance, func(reading int) gone {
				g := nothingGone
				if reading >= a.before {
					g |= firstGone
				}
				if reading >= b.before {
					g |= secondGone
				}
				return g
			})
		}
	}
	return list
}

// remains is what is left of a pair after all that was done: the half that was not
// swapped, and its number; else the theory itself and −1.
func (s *Session) remains(t *theory) (*theory, int) {
	if len(t.halves) != 2 {
		return t, -1
	}
	var swapped [2]bool
	for _, d := range s.c.Done {
		for k, o := range t.halves {
			swapped[k] = swapped[k] || d.Do == DoSwap && o.mendedBy(d)
		}
	}
	switch swapped {
	case [2]bool{true, false}:
		return t.halves[1], 1
	case [2]bool{false, true}:
		return t.halves[0], 0
	}
	return t, -1
}

// halfOf is the cycle of a pair of which one half is left, by the size of both.
func (s *Session) halfOf(t *theory, k int, w *world, v int) unitCycle {
	c := s.cycle(t.halves[k], w, v)
	if k == 0 {
		return c.scaled(w.shareOfFirst())
	}
	return c.scaled(1 - w.shareOfFirst())
}
