package diagnose

import (
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

// A fate is the chances of what was gone by a reading: of a pair the first half, the
// second, and all of it, which is all there is of other theories.
type fate struct{ first, second, all float64 }

// fateOf is what was gone of a theory by a reading, by what was done before it.
func (s *Session) fateOf(t *theory, reading int) fate {
	left := func(o *theory) float64 {
		l := 1.0
		for _, d := range s.c.Done {
			if d.Before <= reading && d.After != Same && o.mendedBy(d) {
				l *= o.survives(d)
			}
		}
		return l
	}
	if len(t.halves) == 2 {
		a, b := left(t.halves[0]), left(t.halves[1])
		return fate{(1 - a) * b, a * (1 - b), (1 - a) * (1 - b)}
	}
	return fate{all: 1 - left(t)}
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
