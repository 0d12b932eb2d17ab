package diagnose

import (
	"cmp"
	"slices"

	"quietpump/network"
)

// leastPair is the share of the belief from which a pair is listed.
const leastPair = 0.01

// mostPairs are weighed on more than a few worlds.
const mostPairs = 16

// halved reports whether what was done may have made an end of one half of a pair.
func (s *Session) halved(x *theory) bool {
	return slices.ContainsFunc(s.c.Done, func(d Done) bool {
		return d.After != Same && x.halves[0].mendedBy(d) != x.halves[1].mendedBy(d)
	})
}

// findPairs weighs pairs of suspects by the section-level quadrature on few
// worlds, and keeps those with at least 1 % of the belief.
func (s *Session) findPairs() error {
	var single []*weighed
	for i := range s.list {
		if s.list[i].kind == OneSuspect {
			single = append(single, &s.list[i])
		}
	}
	if len(single) < 2 || len(s.evs) == 0 {
		return nil
	}
	slices.SortFunc(single, func(a, b *weighed) int { return cmp.Compare(a.name, b.name) })
	worlds := s.all
	norm := 0.0
	for i := range single {
		for j := range i {
			norm += single[i].before * single[j].before
		}
	}
	var cand []weighed
	for i, b := range single {
		for _, a := range single[:i] {
			cand = append(cand, weighed{theory: theory{
				id: s.id(a.name + " and " + b.name), name: a.name + " and " + b.name, kind: Pair,
				suspects: []network.Suspect{a.suspects[0], b.suspects[0]}, leaks: []leak{a.leaks[0], b.leaks[0]}, halves: []*theory{&a.theory, &b.theory},
				prior: priorPairs * a.before * b.before / norm * s.halves(&a.theory, &b.theory), low: a.low, high: a.high,
				remedy: append(slices.Clone(a.remedy), b.remedy...), ends: union(a.ends, b.ends), comesOut: union(a.comesOut, b.comesOut),
			}})
		}
	}
	// The worlds to try pairs on are those that the readings speak for.
	by := make([]float64, len(worlds))
	total := 0.0
	for i := range s.list {
		total += s.list[i].prior * s.list[i].evidence
		for d, l := range s.list[i].byWorld {
			if !s.list[i].dim {
				by[d] += s.list[i].prior * l
			}
		}
	}
	sum := 0.0
	for _, w := range by {
		sum += w
	}
	if !(sum > 0) {
		return nil
	}
	const few = 20
	var some []*world
	var odds []float64 // how much oftener each was picked than by chance
	at, next := 0.0, 0
	for d, w := range by {
		at += w / sum
		for next < few && at >= (float64(next)+0.5)/few {
			some = append(some, worlds[d])
			odds = append(odds, w/sum*float64(len(worlds)))
			next++
		}
	}
	// First on a few of the worlds, to see which are worth the rest.
	try := func(x *weighed, step int) float64 {
		var w []*world
		var r []int
		for d := step / 2; d < len(some); d += step {
			w, r = append(w, some[d]), append(r, d)
		}
		tried := weighed{theory: x.theory}
		tried.weigh(s.weigher, w, s.fates(&x.theory), func(d int) []unitCycle { return s.cycles(&x.theory, w[d]) })
		evidence := 0.0
		for d, l := range tried.byWorld {
			evidence += l / odds[r[d]] / float64(len(w))
		}
		return x.prior * evidence
	}
	first := make([]float64, len(cand))
	var work []func() error
	for i := range cand {
		work = append(work, func() error {
			if first[i] = try(&cand[i], few/4); s.halved(&cand[i].theory) {
				// How the flow is shared out was told by what was seen before and after: few worlds have it so.
				first[i] = max(first[i], 0.1*leastPair*total)
			}
			return nil
		})
	}
	work = append(work, func() error {
		order := make([]int, len(cand))
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(a, b int) int {
			return cmp.Or(cmp.Compare(first[b], first[a]), cmp.Compare(cand[a].name, cand[b].name))
		})
		var rest []func() error
		for _, i := range order[:min(mostPairs, len(order))] {
			if first[i] < 0.1*leastPair*total {
				break
			}
			rest = append(rest, func() error {
				x := &cand[i]
				if s.halved(&x.theory) || try(x, 1) > leastPair*total {
					s.then(
						func() error { s.anchorReadings(&x.theory); return nil },
						func() error {
							s.then(append(s.weighOne(x), func() error { s.listPair(x, leastPair*total); return nil })...)
							return nil
						},
					)
				}
				return nil
			})
		}
		s.then(rest...)
		return nil
	})
	s.then(work...)
	return nil
}

// listPair lists a pair that was weighed, unless it is less than least.
func (s *Session) listPair(x *weighed, least float64) {
	if x.prior*x.evidence > least {
		x.settle()
		s.list = append(s.list, *x)
	}
}

func union[T comparable](a, b []T) []T {
	out := slices.Clone(a)
	for _, x := range b {
		if !slices.Contains(out, x) {
			out = append(out, x)
		}
	}
	return out
}
