package diagnose

import (
	"cmp"
	"maps"
	"math"
	"slices"
)

// ready gathers what search needs.
func (pl *planner) ready() {
	pl.mend = make([]float64, len(pl.s.list))
	pl.scratch = make([]float64, len(pl.s.list))
	for _, i := range pl.alive {
		for k := range pl.acts {
			if pl.needs[i]>>uint(k)&1 == 1 {
				pl.mend[i] += pl.acts[k].cost
			}
		}
	}
	for k := range pl.steps {
		// A tyre gauge finds a lost charge as a look finds a drip.
		if pl.steps[k].Do != DoLook && pl.steps[k].For != Charge || len(pl.steps[k].shows) != 2 {
			continue
		}
		see := make([]float64, len(pl.s.list))
		for _, i := range pl.alive {
			if pl.s.list[i].kind != None {
				see[i] = pl.mean(k, 0, i)
				if see[i] <= 2*imagined {
					see[i] = 0
				}
			}
		}
		spent := 0.0
		for i, w := range pl.weight {
			spent += w * pl.spent[k][i]
		}
		pl.looks, pl.see, pl.take = append(pl.looks, k), append(pl.see, see), append(pl.take, max(spent, 0.1))
	}
}

// search is the minutes on average when one look after another is taken, in the
// order of what they find per minute, each find is mended, and what no look found
// is left to act. It stands for all that is further ahead than the lookahead. The
// look numbered first comes first, of −1 none.
func (pl *planner) search(belief []float64, covers map[string]bool, first int) float64 {
	left := pl.scratch
	copy(left, belief)
	total := 0.0
	for _, i := range pl.alive {
		total += belief[i]
	}
	if !(total > 0) {
		return 0
	}
	var done, under uint64
	rest, minutes := total, 0.0
	for n := range pl.looks {
		best, bestRate, bestCost := -1, 0.0, 0.0
		for j, k := range pl.looks {
			if j > 63 || done>>uint(j)&1 == 1 {
				continue
			}
			found := 0.0
			for _, i := range pl.alive {
				found += left[i] * pl.see[j][i]
			}
			cost := pl.take[j]
			for _, c := range pl.steps[k].covers {
				if !covers[c] && under>>uint(j)&1 == 0 {
					cost += pl.coverReach(c)
				}
			}
			rate := found / cost
			if n == 0 && j == first {
				rate = math.Inf(1)
			}
			if rate > bestRate {
				best, bestRate, bestCost = j, rate, cost
			}
		}
		if best < 0 || bestRate*bestCost < 0.003*total {
			break
		}
		done |= 1 << uint(best)
		for j, k := range pl.looks { // what lies under the same cover is open now
			for _, c := range pl.steps[k].covers {
				if j < 64 && slices.Contains(pl.steps[pl.looks[best]].covers, c) {
					under |= 1 << uint(j)
				}
			}
		}
		minutes += bestCost * rest / total
		for _, i := range pl.alive {
			if f := left[i] * pl.see[best][i]; f > 0 {
				minutes += f / total * pl.mend[i]
				left[i] -= f
				rest -= f
			}
		}
	}
	if rest > 1e-6*total {
		residual := slices.Clone(left)
		m, _ := pl.act(residual, covers)
		minutes += m * rest / total
	}
	return minutes
}

// beliefs by theory of point weights.
func (pl *planner) beliefs(w []float64, into []float64) {
	clear(into)
	for i, p := range pl.points {
		into[p.theory] += w[i]
	}
}

// value is the least minutes on average from weights w, which need not add up to
// 1, looking so many steps ahead among the steps of list.
func (pl *planner) value(w []float64, depth int, covers map[string]bool, list []int) (float64, int) {
	b := make([]float64, len(pl.s.list))
	pl.beliefs(w, b)
	best, _ := pl.act(b, covers)
	best = min(best, pl.search(b, covers, -1))
	choice := -1
	if depth == 0 {
		return best, choice
	}
	for _, k := range list {
		if t := pl.through(k, w, depth, covers, list, best); t < best {
			best, choice = t, k
		}
	}
	return best, choice
}

// through is the minutes on average when step k is taken from weights w. It may
// stop early above limit.
func (pl *planner) through(k int, w []float64, depth int, covers map[string]bool, list []int, limit float64) float64 {
	st := &pl.steps[k]
	total := 0.0
	t := 0.0
	for i := range w {
		total += w[i]
		t += w[i] * pl.spent[k][i]
	}
	if !(total > 0) {
		return math.Inf(1)
	}
	t /= total
	now := covers
	for _, c := range st.covers {
		if !now[c] {
			a := pl.coverReach(c)
			t += a
			if len(st.covers) > 0 {
				now = maps.Clone(now)
				now[c] = true
			}
		}
	}
	if t >= limit {
		return t
	}
	rest := list
	if depth > 1 {
		rest = slices.DeleteFunc(slices.Clone(list), func(j int) bool { return j == k })
	}
	next := make([]float64, len(w))
	for o := range st.shows {
		p := 0.0
		for i := range w {
			next[i] = w[i] * pl.like[k][o][i]
			p += next[i]
		}
		if p < 1e-9*total || st.heals != nil && o == 0 {
			continue
		}
		v, _ := pl.value(next, depth-1, now, rest)
		t += p / total * v
		if t >= limit {
			return t
		}
	}
	return t
}

// coverReach is the minutes to open a cover: the most that anything under it needs.
func (pl *planner) coverReach(cover string) float64 {
	c := &pl.s.c
	if a, ok := pl.reach[cover]; ok {
		return a
	}
	most := 0.0
	for _, name := range slices.Sorted(maps.Keys(c.Access)) {
		if a := c.access(name); a.Cover == cover && a.Effort != Cant {
			most = max(most, a.reach())
		}
	}
	if most == 0 {
		most = c.access(cover).reach()
	}
	if pl.reach == nil {
		pl.reach = map[string]float64{}
	}
	pl.reach[cover] = most
	return most
}

// How far is looked ahead: two steps over the most promising ones.
const (
	promising = 6
	shown     = 40
)

// rank weighs every step: looks as the first of a sequence of looks, all else by
// what comes of each outcome, the most promising ones two steps ahead.
func (pl *planner) rank() {
	covers := pl.s.opened()
	var tests []int
	totals := make([]float64, len(pl.steps))
	var work []func() error
	b := make([]float64, len(pl.s.list))
	pl.beliefs(pl.weight, b)
	for k := range pl.steps {
		if j := slices.Index(pl.looks, k); j >= 0 {
			work = append(work, func() error { totals[k] = pl.search(b, covers, j); return nil })
			continue
		}
		tests = append(tests, k)
		work = append(work, func() error {
			totals[k] = pl.through(k, pl.weight, 1, covers, nil, math.Inf(1))
			return nil
		})
	}
	work = append(work, func() error {
		slices.SortStableFunc(tests, func(a, b int) int {
			return cmp.Or(cmp.Compare(totals[a], totals[b]), cmp.Compare(pl.steps[a].Words, pl.steps[b].Words))
		})
		near := tests[:min(promising, len(tests))]
		var deep []func() error
		for _, k := range near {
			deep = append(deep, func() error {
				totals[k] = min(totals[k], pl.through(k, pl.weight, 2, covers, near, math.Inf(1)))
				return nil
			})
		}
		deep = append(deep, func() error { pl.advise(totals); return nil })
		pl.s.then(deep...)
		return nil
	})
	pl.s.then(work...)
}

// opened are the covers that were opened already: of what was swapped or cured,
// looked at or turned.
func (s *Session) opened() map[string]bool {
	m := map[string]bool{}
	for _, d := range s.c.Done {
		if d.Part != "" {
			m[s.c.access(d.Part).Cover] = true
		}
	}
	for _, r := range s.c.Readings {
		for _, l := range r.Look {
			m[s.c.access(l.At).Cover] = true
		}
		for name := range r.Lineup {
			p, ok := s.c.Rig.Part(name)
			if ok && p.Kind() != "pump" && r.Lineup.Of(p) != s.base.Of(p) {
				m[s.c.access(name).Cover] = true
			}
		}
	}
	return m
}
