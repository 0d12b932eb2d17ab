package diagnose

import (
	"cmp"
	"maps"
	"math"
	"math/bits"
	"slices"
)

// ready gathers what the lookahead needs.
func (pl *planner) ready() {
	pl.curable()
	pl.mend = make([]float64, len(pl.s.list))
	for _, i := range pl.alive {
		pl.mend[i] = pl.costs(pl.needs[i], 1, 1)
	}
	pl.under = make([]covers, len(pl.steps))
	for k := range pl.steps {
		st := &pl.steps[k]
		for _, c := range st.covers {
			pl.under[k] |= pl.coverOf(c)
		}
		if st.Do != DoLook && st.For != Charge || len(st.shows) != 2 {
			continue
		}
		f := find{step: k, under: pl.under[k], often: 1}
		if st.Do == DoLook {
			f.often = max(pl.s.looksLeft(st.Part, st.For), 1)
		}
		for _, i := range pl.alive {
			if pl.s.list[i].kind == None {
				continue
			}
			if p := pl.mean(k, 0, i); p > 2*imagined {
				f.sees = append(f.sees, sight{i, p})
			}
		}
		for i, w := range pl.weight {
			f.take += w * pl.spent[k][i]
		}
		slices.SortStableFunc(f.sees, func(a, b sight) int { return cmp.Compare(pl.mend[a.theory], pl.mend[b.theory]) })
		f.take = max(f.take, 0.1)
		pl.finds = append(pl.finds, f)
	}
}

// costs are the minutes of a set of remedies for so many, of whom so many need them.
func (pl *planner) costs(set uint64, all, right float64) float64 {
	t := 0.0
	for ; set != 0; set &= set - 1 {
		t += pl.acts[bits.TrailingZeros64(set)].minutes(all, right)
	}
	return t
}

// coverOf is a cover as a set of one; of what needs none, or of one too many, the
// empty set.
func (pl *planner) coverOf(cover string) covers {
	if cover == "" {
		return 0
	}
	if b, known := pl.bit[cover]; known {
		return b
	}
	if pl.bit == nil {
		pl.bit = map[string]covers{}
	}
	b := covers(0)
	if n := len(pl.reach); n < bits.UintSize {
		b = 1 << uint(n)
		pl.reach = append(pl.reach, pl.coverReach(cover))
	}
	pl.bit[cover] = b
	return b
}

// opening is the minutes to open what is not open yet.
func (pl *planner) opening(under, open covers) float64 {
	t := 0.0
	for left := under &^ open; left != 0; left &= left - 1 {
		t += pl.reach[bits.TrailingZeros64(uint64(left))]
	}
	return t
}

// at is the scratch of a depth.
func (pl *planner) at(depth int) *scratch {
	for len(pl.free) <= depth {
		n := len(pl.s.list)
		pl.free = append(pl.free, &scratch{make([]float64, len(pl.points)), make([]float64, n), make([]float64, n), make([]float64, len(pl.acts))})
	}
	return pl.free[depth]
}

// search is the minutes on average when one look after another is taken, in the
// order of what they find per minute, each find is mended, and what no look found
// is left to act. It stands for all that is further ahead than the lookahead.
func (pl *planner) search(belief []float64, open covers, room *scratch) float64 {
	left := room.left
	total := 0.0
	for _, i := range pl.alive {
		left[i] = belief[i]
		total += belief[i]
	}
	if !(total > 0) {
		return 0
	}
	var taken [64]int8
	rest, minutes := total, 0.0
	for {
		best, bestRate, bestFound, bestCost := -1, 0.0, 0.0, 0.0
		for j := range min(len(pl.finds), len(taken)) {
			f := &pl.finds[j]
			if int(taken[j]) >= f.often {
				continue
			}
			found := 0.0
			for _, s := range f.sees {
				found += left[s.theory] * s.chance
			}
			cost := f.take + pl.opening(f.under, open)
			if rate := found / cost; rate > bestRate {
				best, bestRate, bestFound, bestCost = j, rate, found, cost
			}
		}
		if best < 0 || bestFound < 0.003*total {
			break
		}
		f := &pl.finds[best]
		taken[best]++
		open |= f.under
		minutes += bestCost * rest / total
		// What one look could have seen is mended in turn, the cheapest first.
		done, still := uint64(0), bestFound
		for _, s := range f.sees {
			found := left[s.theory] * s.chance
			minutes += pl.costs(pl.needs[s.theory]&^done, still, found) / total
			done |= pl.needs[s.theory]
			left[s.theory] -= found
			rest -= found
			still -= found
		}
	}
	if rest > 1e-6*total {
		m, _ := pl.act(left, open, room)
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
// 1, looking so many steps ahead.
func (pl *planner) value(w []float64, depth int, open covers) float64 {
	room := pl.at(depth)
	pl.beliefs(w, room.belief)
	best, first := pl.act(room.belief, open, room)
	best = min(best, pl.search(room.belief, open, room))
	if depth == 0 {
		return best
	}
	for k := range pl.steps {
		if pl.worth(k, w) {
			best = min(best, pl.through(k, w, depth, open, best))
		}
	}
	if first >= 0 {
		best = min(best, pl.trying(first, w, depth, open, best))
	}
	return best
}

// trying is the minutes on average when remedy k is tried from weights w, and what
// it leaves is told more of.
func (pl *planner) trying(k int, w []float64, depth int, open covers, limit float64) float64 {
	a := &pl.acts[k]
	t := a.cost
	if a.under&^open != 0 {
		t += a.reach
	}
	if t >= limit || k == technician {
		return t
	}
	next := pl.at(depth).next
	total, left := 0.0, 0.0
	for i, x := range w {
		next[i] = x
		total += x
		if pl.needs[pl.points[i].theory] == 1<<uint(k) {
			next[i] *= survivesSwap
		}
		left += next[i]
	}
	if left < 1e-3*total {
		return t
	}
	return t + left/total*pl.value(next, depth-1, open|a.under)
}

// worth says whether step k is worth a thought from weights w.
func (pl *planner) worth(k int, w []float64) bool {
	if pl.steps[k].Do != DoLook {
		return true
	}
	total, seen := 0.0, 0.0
	for i, l := range pl.like[k][0] {
		total += w[i]
		seen += w[i] * l
	}
	return seen >= worthALook*total
}

// worthALook is the chance to see something, most of it fancy, below which nobody
// is sent to look yet: steps that hardly matter now tie with those that do.
const worthALook = 0.035

// through is the minutes on average when step k is taken from weights w. It may
// stop early above limit.
func (pl *planner) through(k int, w []float64, depth int, open covers, limit float64) float64 {
	st := &pl.steps[k]
	total := 0.0
	t := 0.0
	for i, x := range w {
		total += x
		t += x * pl.spent[k][i]
	}
	if !(total > 0) {
		return math.Inf(1)
	}
	t = t/total + pl.opening(pl.under[k], open)
	if t >= limit {
		return t
	}
	open |= pl.under[k]
	next := pl.at(depth).next
	for o := range st.shows {
		p := 0.0
		for i, l := range pl.like[k][o] {
			next[i] = w[i] * l
			p += next[i]
		}
		if p < 1e-6*total || st.heals != nil && o == 0 {
			continue
		}
		t += p / total * pl.value(next, depth-1, open)
		if t >= limit {
			return t
		}
	}
	return t
}

// coverReach is the minutes to open a cover: the most that anything under it needs.
func (pl *planner) coverReach(cover string) float64 {
	c := &pl.s.c
	most := 0.0
	for _, name := range slices.Sorted(maps.Keys(c.Access)) {
		if a := c.access(name); a.Cover == cover && a.Effort != Cant {
			most = max(most, a.reach())
		}
	}
	if most == 0 {
		most = c.access(cover).reach()
	}
	return most
}

// How far is looked ahead: two steps from the most promising ones, one from all.
const (
	promising = 8
	shown     = 40
)

// rank weighs every step by what comes of each outcome, the most promising ones two
// steps ahead.
func (pl *planner) rank() {
	open := pl.opened()
	totals := make([]float64, len(pl.steps))
	order := make([]int, len(pl.steps))
	var work []func() error
	for k := range pl.steps {
		order[k] = k
		work = append(work, func() error {
			totals[k] = pl.through(k, pl.weight, 1, open, math.Inf(1))
			return nil
		})
	}
	work = append(work, func() error {
		least := math.Inf(1)
		for k, t := range totals {
			if pl.worth(k, pl.weight) {
				least = min(least, t)
			}
		}
		for k := range totals {
			if !pl.worth(k, pl.weight) && !math.IsInf(least, 1) {
				totals[k] = max(totals[k], least) + 1
			}
		}
		slices.SortStableFunc(order, func(a, b int) int {
			return cmp.Or(cmp.Compare(totals[a], totals[b]), cmp.Compare(pl.steps[a].Words, pl.steps[b].Words))
		})
		var deep []func() error
		for _, k := range order[:min(promising, len(order))] {
			if !pl.worth(k, pl.weight) {
				continue
			}
			deep = append(deep, func() error {
				totals[k] = min(totals[k], pl.through(k, pl.weight, 2, open, math.Inf(1)))
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
func (pl *planner) opened() covers {
	s := pl.s
	m := covers(0)
	for _, d := range s.c.Done {
		if d.Part != "" {
			m |= pl.coverOf(s.c.access(d.Part).Cover)
		}
	}
	for _, r := range s.c.Readings {
		for _, l := range r.Look {
			m |= pl.coverOf(s.c.access(l.At).Cover)
		}
		for name := range r.Lineup {
			p, ok := s.c.Rig.Part(name)
			if ok && p.Kind() != "pump" && r.Lineup.Of(p) != s.base.Of(p) {
				m |= pl.coverOf(s.c.access(name).Cover)
			}
		}
	}
	return m
}
