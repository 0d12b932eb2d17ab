package main

import (
	"cmp"
	"math"
	"slices"

	"quietpump/sim/diagnose"
)

// A state is what was seen and done: of each look how often yes and how often no, of each test its outcome and one.
type state struct {
	seen uint64 // four bits a step
	done uint32
	half uint32 // deeds that changed something and did not make an end of it
}

// A plan is what to do in a state and what it takes on average.
type plan struct {
	minutes float64
	step    int // below zero: −1 what tail says, −2−k deed k
}

const (
	mostState = 12000
	rarest    = 2e-4
	breadth   = 3     // steps that are thought of in a state: those that tell most a minute
	longest   = 14    // steps on a way that nothing turns off
	aside     = 2     // … and after something did
	faint     = 0.035 // chance to see something below which a look is left
	mostSeen  = 3     // looks at a place
)

// plan works the plan out: again and again, each time down to states half as likely, until there are too many.
func (o *optimum) plan() {
	last := o.memo
	for o.rare = 1; o.rare > rarest; o.rare /= 2 {
		o.memo = map[state]plan{}
		o.solve(state{}, 0, o.weights())
		if len(o.memo) >= mostState { // too many: the last that was complete
			o.memo = last
			break
		}
		last = o.memo
	}
	o.rare = 0
}

// take lends room for the weights of the kinds, until give.
func (o *optimum) take() []float64 {
	if n := len(o.room); n > 0 {
		w := o.room[n-1]
		o.room = o.room[:n-1]
		return w
	}
	return make([]float64, len(o.kinds))
}

func (o *optimum) give(w []float64) { o.room = append(o.room, w) }

// solve returns the least minutes on average from a state that kinds of weights w come to.
func (o *optimum) solve(s state, open uint64, w []float64) plan {
	if p, ok := o.memo[s]; ok {
		return p
	}
	total := sum(w)
	t, _ := o.tail(s, open, w, longest)
	best := plan{t, -1}
	if total >= o.rare && len(o.memo) < mostState {
		for _, k := range o.telling(s, open, w, total, breadth) {
			t := o.step(k, s, open, w, total, best.minutes, func(_ int, to state, open uint64, next []float64) float64 {
				return o.solve(to, open, next).minutes
			})
			if t < best.minutes {
				best = plan{t, k}
			}
		}
		for _, k := range o.hopeful(s, open, w, total) {
			if t := o.deed(k, s, open, w, total, best.minutes); t < best.minutes {
				best = plan{t, -2 - k}
			}
		}
	}
	o.memo[s] = best
	return best
}

// tail is the minutes on average along the one way that tells most a minute, as far as it is less than remedies in
// their order, and its first step; −1: remedies.
func (o *optimum) tail(s state, open uint64, w []float64, length int) (minutes float64, first int) {
	best := o.inOrder(s, open, w)
	total := sum(w)
	if length == 0 || total == 0 {
		return best, -1
	}
	list := o.telling(s, open, w, total, 1)
	if len(list) == 0 {
		return best, -1
	}
	k := list[0]
	t := o.step(k, s, open, w, total, best, func(turn int, to state, open uint64, next []float64) float64 {
		left := length - 1
		if turn > 0 {
			left = min(left, aside)
		}
		m, _ := o.tail(to, open, next, left)
		return m
	})
	if t < best {
		return t, k
	}
	return best, -1
}

// telling lists the few steps that tell most a minute.
func (o *optimum) telling(s state, open uint64, w []float64, total float64, few int) []int {
	list := make([]int, 0, few+1)
	var rates [mostSteps]float64
	for k := range o.steps {
		if _, ok := o.after(k, 0, s); !ok {
			continue
		}
		t, bits := 0.0, 0.0
		spent, noise := o.spent[k], o.noise[k]
		for g, x := range w {
			t += x * spent[g]
			bits -= x * noise[g]
		}
		bits /= total
		for _, like := range o.like[k] {
			bits += entropy(dot(w, like) / total)
		}
		rates[k] = bits / (t/total + o.opening(o.under[k], open))
		at := len(list)
		for at > 0 && rates[k] > rates[list[at-1]] {
			at--
		}
		if at < few {
			list = slices.Insert(list, at, k)
			list = list[:min(len(list), few)]
		}
	}
	return list
}

func sum(w []float64) float64 {
	t := 0.0
	for _, x := range w {
		t += x
	}
	return t
}

func dot(a, b []float64) float64 {
	t := 0.0
	for i, x := range a {
		t += x * b[i]
	}
	return t
}

// after is the state that an outcome of a step leads to; ok is false where it is taken no more.
func (o *optimum) after(k, outcome int, s state) (next state, ok bool) {
	at := s.seen >> uint(4*k) & 15
	if o.steps[k].Do == diagnose.DoLook {
		if int(at>>2+at&3) >= mostSeen {
			return s, false
		}
		at += [2]uint64{4, 1}[outcome]
	} else {
		if at != 0 {
			return s, false
		}
		at = uint64(outcome + 1)
	}
	s.seen = s.seen&^(15<<uint(4*k)) | at<<uint(4*k)
	return s, true
}

// step is the minutes on average when step k is taken and then gives those of each outcome, the likeliest of which is
// turn 0. It may stop early above limit.
func (o *optimum) step(k int, s state, open uint64, w []float64, total, limit float64, then func(turn int, to state, open uint64, next []float64) float64) float64 {
	t := dot(w, o.spent[k])/total + o.opening(o.under[k], open)
	if t >= limit {
		return t
	}
	var share [3]float64
	list := o.like[k]
	most := 0
	for i := range list {
		if share[i] = dot(w, list[i]); share[i] > share[most] {
			most = i
		}
	}
	if o.steps[k].Do == diagnose.DoLook && share[0] < faint*total {
		return math.Inf(1)
	}
	next := o.take()
	defer o.give(next)
	for turn := range list {
		i := (most + turn) % len(list)
		if share[i] < 1e-6*total {
			continue
		}
		for g, x := range w {
			next[g] = x * list[i][g]
		}
		to, _ := o.after(k, i, s)
		if t += share[i] / total * then(turn, to, open|o.under[k], next); t >= limit {
			return t
		}
	}
	return t
}

// hopeful lists the few deeds that make an end of most a minute.
func (o *optimum) hopeful(s state, open uint64, w []float64, total float64) []int {
	var list []int
	rate := make([]float64, len(o.acts))
	same, half := o.take(), o.take()
	defer o.give(same)
	defer o.give(half)
	for k := range o.acts {
		d := &o.acts[k]
		if s.done>>uint(k)&1 == 1 || d.of != 0 && d.of&^s.done == 0 {
			continue
		}
		vain, hit := o.apply(k, s, w, same, half)
		if hit < 0.1*total {
			continue
		}
		rate[k] = hit / (vain + o.opening(d.under, open)*total)
		list = append(list, k)
	}
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(rate[b], rate[a]) })
	return list[:min(len(list), breadth)]
}

// deed is the minutes on average when deed k is done and more is told after it.
func (o *optimum) deed(k int, s state, open uint64, w []float64, total, limit float64) float64 {
	d := &o.acts[k]
	same, half := o.take(), o.take()
	defer o.give(same)
	defer o.give(half)
	vain, _ := o.apply(k, s, w, same, half)
	t := vain/total + o.opening(d.under, open)
	s.done |= 1 << uint(k)
	if p := sum(same); p > 1e-6*total && t < limit {
		t += p / total * o.solve(s, open|d.under, same).minutes
	}
	if p := sum(half); p > 1e-6*total && t < limit {
		t += p / total * o.solve(o.halved(k, s), open|d.under, half).minutes
	}
	return t
}

// halved is the state after deed k was half of the way.
func (o *optimum) halved(k int, s state) state {
	s.half |= 1 << uint(k)
	s.done |= o.acts[k].of // that part is well now
	return s
}
