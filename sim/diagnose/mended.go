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
// too, a cure that did not take. Common practice, no source.
const (
	survivesSwap = 0.03
	survivesCure = 0.7
)

func (t *theory) mendedBy(d Done) bool {
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

// mended is the chance that a theory's fault was gone by a reading.
func (s *Session) mended(t *theory, reading int) float64 {
	left := 1.0
	for _, d := range s.c.Done {
		if d.Before <= reading && d.After != Same && t.mendedBy(d) && len(t.leaks) < 2 {
			left *= t.survives(d)
		}
	}
	return 1 - left
}
