package main

import (
	"cmp"
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"

	"quietpump/sim/diagnose"
)

// The optimum on small vehicles: the best plan that dynamic programming finds over tests, looks, cures and swaps in any
// order, each look as often as the tool would take it, with every coarse outcome, by chances that the study's own model
// gives. In a state the few steps that tell most a minute are thought of, and every remedy; from a state that is rare the
// way is the one that tells most a minute, until remedies in their order are less. How rare goes by how many states
// there may be. It is what a person could do, and so no less than the true optimum.
type optimum struct {
	p     *player
	steps []diagnose.Choice
	acts  []deed
	kinds []kind
	like  [][][]float64 // [step][outcome][kind]
	spent [][]float64   // [step][kind]
	under []uint64      // covers of a step
	reach []float64     // of a cover, minutes
	bit   map[string]int
	watch float64 // that follows a remedy, minutes
	memo  map[state]plan
	noise [][]float64 // [step][kind]: bits of an outcome that tell nothing
	rare  float64     // chance to come to a state, below which the way that tells most is gone
}

// A kind is the truths that agree with the first reading and that no step of those offered could tell apart.
type kind struct {
	weight float64
	needs  uint32 // deeds that make an end of it
	well   bool   // nothing is wrong
	beyond bool   // a technician's
	t      *truth // one of them
}

// A deed is a swap, a cure that is sure, or one that makes an end of a seep now and then.
type deed struct {
	part   string
	do     diagnose.Doing
	joints []string
	cost   float64 // where it is in vain, the watch included
	under  uint64
	of     uint32  // the sure deeds that this cure may spare; 0: it is sure itself
	every  bool    // every tap is run and closed at once, which is sure where one was not quite shut
	chance float64 // that it takes, where it is the right one
}

// A state is what was seen and done: of each look how often yes and how often no, of each test its outcome and one.
type state struct {
	seen uint64 // four bits a step
	done uint32
	half bool // a remedy changed something and did not make an end of it
}

type plan struct {
	minutes float64
	step    int // below zero: −1 what tail says, −2−k deed k
}

const (
	mostSteps = 16
	guesses   = 700
	mostState = 4000
	rarest    = 0.002
	breadth   = 3     // steps that are thought of in a state: those that tell most a minute
	longest   = 14    // steps on a way that nothing turns off
	aside     = 2     // … and after something did
	faint     = 0.035 // chance to see something below which a look is left
	mostSeen  = 3     // looks at a place
)

// newOptimum prepares it, or returns nil where the vehicle is not small, or its pump was not timed.
func newOptimum(p *player, b *diagnose.Belief) *optimum {
	if math.IsInf(p.rest, 1) {
		return nil
	}
	o := &optimum{p: p, memo: map[state]plan{}, bit: map[string]int{}, watch: p.verify()}
	for _, c := range b.Next {
		if c.Do == diagnose.DoTest || c.Do == diagnose.DoLook {
			o.steps = append(o.steps, c)
		}
	}
	if len(o.steps) > mostSteps || len(o.steps) == 0 {
		return nil
	}
	for k := range o.steps {
		o.under = append(o.under, o.coversOf(&o.steps[k]))
	}
	o.deeds()
	o.guess()
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
	return o
}

func (o *optimum) weights() []float64 {
	w := make([]float64, len(o.kinds))
	for g := range w {
		w[g] = o.kinds[g].weight
	}
	return w
}

// cover is a cover's bit, with the minutes that it takes.
func (o *optimum) cover(name string) uint64 {
	a := o.p.access[name]
	if a.Cover == "" {
		a.Cover = name
	}
	if _, known := o.bit[a.Cover]; !known {
		o.bit[a.Cover] = len(o.reach)
		o.reach = append(o.reach, minutes[a.Effort])
	}
	return 1 << uint(o.bit[a.Cover])
}

func (o *optimum) coversOf(c *diagnose.Choice) uint64 {
	set := uint64(0)
	switch {
	case c.Do == diagnose.DoLook:
		if _, known := o.p.access[c.Part]; known {
			set = o.cover(c.Part)
		}
	case c.For == diagnose.Charge:
		set = o.cover(c.Part)
	default:
		for _, name := range sorted(c.Lineup) {
			if name != "pump" {
				set |= o.cover(name)
			}
		}
	}
	return set
}

// opening is the minutes to open what is not open yet.
func (o *optimum) opening(under, open uint64) float64 {
	t := 0.0
	for left := under &^ open; left != 0; left &= left - 1 {
		t += o.reach[bits.TrailingZeros64(left)]
	}
	return t
}

// deeds lists what could be done about anything in the vehicle.
func (o *optimum) deeds() {
	p := o.p
	add := func(d deed, at string) {
		if at != "" {
			d.under = o.cover(at)
		}
		if d.chance == 0 {
			d.chance = 1
		}
		o.acts = append(o.acts, d)
	}
	for _, a := range p.places {
		at := a.part
		if len(a.joints) > 0 {
			at = a.look
		}
		add(deed{part: a.part, do: diagnose.DoSwap, joints: a.joints, cost: works[p.access[at].Wrong] + o.watch}, at)
		if a.tap || a.part == "fill valve" {
			add(deed{part: a.part, do: diagnose.DoCure, cost: 2 + o.watch, of: 1 << uint(len(o.acts)-1), chance: cures}, at)
		}
	}
	taps := uint32(0)
	for k, d := range o.acts {
		if d.do == diagnose.DoSwap && slices.Contains(p.taps, d.part) {
			taps |= 1 << uint(k)
		}
	}
	add(deed{do: diagnose.DoCure, every: true, cost: 2*float64(len(p.taps)) + o.watch, of: taps, chance: cures}, "")
	add(deed{do: diagnose.DoQuiet, cost: 30}, "")
	if p.gasAt != "" {
		add(deed{part: p.gasAt, do: diagnose.DoCure, cost: 2 + o.watch}, p.gasAt)
	}
}

// needsOf is what makes an end of a truth.
func (o *optimum) needsOf(t *truth) uint32 {
	set := uint32(0)
	for k, d := range o.acts {
		if d.of != 0 && !d.every {
			continue
		}
		bit := uint32(1) << uint(k)
		switch {
		case t.cause == "tap":
			if d.every {
				set |= bit
			}
		case t.cause == "charge":
			if d.part == t.gasAt && d.do == diagnose.DoCure && !d.every {
				set |= bit
			}
		case t.cause == "switch":
			if d.part == "pump" && d.do == diagnose.DoSwap {
				set |= bit
			}
		case t.kind == "suspect" || t.kind == "pair":
			for _, a := range t.at {
				if d.do == diagnose.DoSwap && d.part == a.part && (len(a.joints) == 0 || slices.Equal(d.joints, a.joints)) {
					set |= bit
				}
			}
		}
	}
	return set
}

// guess draws truths that agree with the first reading and gathers them by what the steps show of them.
func (o *optimum) guess() {
	p := o.p
	r := rand.New(rand.NewPCG(4711, 1))
	at := map[string]int{}
	o.like, o.spent = make([][][]float64, len(o.steps)), make([][]float64, len(o.steps))
	for k := range o.steps {
		o.like[k] = make([][]float64, o.outcomes(k))
	}
	for n, tried := 0, 0; n < guesses && tried < 100*guesses; tried++ {
		t := newTruth(r, p.coach)
		rest, _, starts := t.cycle(setting{}, 30*86400)
		if !starts {
			continue
		}
		scale := rest / p.rest
		inside := true
		for i := range t.sizes {
			t.sizes[i] *= scale
			lo, hi := 0.1*mlpm, 1000*mlpm
			switch {
			case t.kind == "healthy":
				lo, hi = 0.01*mlpm, 0.1*mlpm
			case t.kind == "benign" && t.cause != "tap":
				lo, hi = 0.05*mlpm, 5*mlpm
			}
			inside = inside && (t.sizes[i] > lo && t.sizes[i] < hi || t.kind == "pair")
		}
		if !inside {
			continue
		}
		n++
		one := kind{weight: 1.0 / guesses, needs: o.needsOf(t), well: t.kind == "healthy", beyond: t.kind == "outside", t: t}
		key := fmt.Sprint(one.needs, one.well, one.beyond)
		like, spent := make([][]float64, len(o.steps)), make([]float64, len(o.steps))
		for k := range o.steps {
			like[k], spent[k] = o.shows(k, t)
			key += fmt.Sprint(like[k])
		}
		g, known := at[key]
		if !known {
			g = len(o.kinds)
			at[key] = g
			o.kinds = append(o.kinds, kind{needs: one.needs, well: one.well, beyond: one.beyond, t: t})
			for k := range o.steps {
				for i := range like[k] {
					o.like[k][i] = append(o.like[k][i], like[k][i])
				}
				o.spent[k] = append(o.spent[k], 0)
			}
		}
		w := o.kinds[g].weight
		for k := range o.steps {
			o.spent[k][g] = (o.spent[k][g]*w + spent[k]*one.weight) / (w + one.weight)
		}
		o.kinds[g].weight += one.weight
	}
	o.noise = make([][]float64, len(o.steps))
	for k := range o.steps {
		o.noise[k] = make([]float64, len(o.kinds))
		for _, like := range o.like[k] {
			for g, p := range like {
				o.noise[k][g] += entropy(p)
			}
		}
	}
}

// outcomes of a step: of a stopwatch no start, sooner, about as before; of all else seen or not.
func (o *optimum) outcomes(k int) int {
	if o.steps[k].Do == diagnose.DoTest && o.steps[k].For == diagnose.AtPumps && !o.p.settingOf(o.steps[k].Lineup).hose {
		return 3
	}
	return 2
}

// shows is the chance of each outcome of a step under a truth, in quarters but for looks, and its minutes.
func (o *optimum) shows(k int, t *truth) ([]float64, float64) {
	c := &o.steps[k]
	s := o.p.settingOf(c.Lineup)
	yes := func(p float64) []float64 {
		p = 0.02 + 0.96*math.Round(4*p)/4
		return []float64{p, 1 - p}
	}
	switch {
	case c.Do == diagnose.DoLook:
		see := t.sees(c.Part, c.For)
		return []float64{see, 1 - see}, lookMinutes(c)
	case c.For == diagnose.ACup:
		return yes(0.5 * math.Erfc(math.Log(0.92*t.drawdown()/(0.7*o.usual()))/0.12/math.Sqrt2)), 4
	case c.For == diagnose.Charge:
		return yes(0.5 * math.Erfc((t.charge-0.8*t.coach.charge)/(2*psi)/math.Sqrt2)), 5
	}
	turned := float64(len(c.Lineup))
	if _, pump := c.Lineup["pump"]; pump {
		turned--
	}
	if s.hose {
		gain := t.tankGain(s) * c.Watch.Seconds() / t.area
		return yes(0.5 * math.Erfc(-(gain-1.4e-3)/0.7e-3/math.Sqrt2)), turned + 5 + c.Watch.Minutes()
	}
	rest, _, starts := t.cycle(s, c.Watch.Seconds())
	at := 0
	if starts && rest < 0.8*o.p.rest {
		at = 1
	} else if starts {
		at = 2
	}
	p := []float64{0.01, 0.01, 0.01}
	p[at] = 0.98
	return p, turned + 1 + (math.Min(rest, c.Watch.Seconds())+5)/60
}

// usual is the drawdown of the coach as its owner told it.
func (o *optimum) usual() float64 {
	c := o.p.coach
	t := truth{coach: c, in: c.in, out: c.out, charge: c.charge, gas: c.gas, stretch: c.mainStretch, hotStretch: c.hotStretch}
	if t.gas == 0 {
		return math.Sqrt(2.3 * 59e-12)
	}
	return t.drawdown()
}

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
	t := o.step(list[0], s, open, w, total, best, func(turn int, to state, open uint64, next []float64) float64 {
		left := length - 1
		if turn > 0 {
			left = min(left, aside)
		}
		m, _ := o.tail(to, open, next, left)
		return m
	})
	if t < best {
		return t, list[0]
	}
	return best, -1
}

// telling lists the few steps that tell most a minute.
func (o *optimum) telling(s state, open uint64, w []float64, total float64, few int) []int {
	var list []int
	rate := make([]float64, len(o.steps))
	for k := range o.steps {
		if _, ok := o.after(k, 0, s); !ok {
			continue
		}
		t, bits := 0.0, 0.0
		for g, x := range w {
			t += x * o.spent[k][g]
			bits -= x / total * o.noise[k][g]
		}
		for _, like := range o.like[k] {
			p := 0.0
			for g, x := range w {
				p += x * like[g]
			}
			bits += entropy(p / total)
		}
		rate[k] = bits / (t/total + o.opening(o.under[k], open))
		list = append(list, k)
	}
	slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(rate[b], rate[a]) })
	return list[:min(len(list), few)]
}

func entropy(p float64) float64 {
	if p <= 0 {
		return 0
	}
	return -p * math.Log2(p)
}

func sum(w []float64) float64 {
	t := 0.0
	for _, x := range w {
		t += x
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
	if _, ok := o.after(k, 0, s); !ok {
		return math.Inf(1)
	}
	t := 0.0
	for g, x := range w {
		t += x * o.spent[k][g]
	}
	t = t/total + o.opening(o.under[k], open)
	if t >= limit {
		return t
	}
	list := make([][]float64, len(o.like[k]))
	share := make([]float64, len(list))
	most := 0
	for i := range list {
		list[i] = make([]float64, len(w))
		for g, x := range w {
			list[i][g] = x * o.like[k][i][g]
		}
		if share[i] = sum(list[i]); share[i] > share[most] {
			most = i
		}
	}
	if o.steps[k].Do == diagnose.DoLook && share[0] < faint*total {
		return math.Inf(1)
	}
	for turn := range list {
		i := (most + turn) % len(list)
		if share[i] < 1e-6*total {
			continue
		}
		to, _ := o.after(k, i, s)
		if t += share[i] / total * then(turn, to, open|o.under[k], list[i]); t >= limit {
			return t
		}
	}
	return t
}

// hopeful lists the few deeds that make an end of most a minute.
func (o *optimum) hopeful(s state, open uint64, w []float64, total float64) []int {
	var list []int
	rate := make([]float64, len(o.acts))
	for k := range o.acts {
		d := &o.acts[k]
		if s.done>>uint(k)&1 == 1 || d.of != 0 && d.of&^s.done == 0 {
			continue
		}
		_, _, vain, hit := o.apply(k, s, w)
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
	same, half, t, _ := o.apply(k, s, w)
	t = t/total + o.opening(d.under, open)
	s.done |= 1 << uint(k)
	if p := sum(same); p > 1e-6*total && t < limit {
		t += p / total * o.solve(s, open|d.under, same).minutes
	}
	if p := sum(half); p > 1e-6*total && t < limit {
		s.half = true
		if d.of != 0 {
			s.done |= d.of // that part is well now
		}
		t += p / total * o.solve(s, open|d.under, half).minutes
	}
	return t
}

// apply does a deed: what is as before, what has changed and goes on, the minutes in vain times their weights, and how
// much was hit.
func (o *optimum) apply(k int, s state, w []float64) (same, half []float64, vain, hit float64) {
	d := &o.acts[k]
	same, half = make([]float64, len(w)), make([]float64, len(w))
	for g, x := range w {
		a := &o.kinds[g]
		own := uint32(1) << uint(k)
		chance := 1.0
		if d.of != 0 && a.needs&own == 0 {
			own, chance = d.of, d.chance
		}
		switch {
		case a.well && d.do == diagnose.DoQuiet:
			hit += x
		case a.well: // quiet it is, whatever was done
			vain += x * (d.cost - o.watch)
		case a.needs&own&^s.done == 0:
			vain += x * d.cost
			same[g] = x
		case a.needs&^(s.done|own) == 0:
			hit += x * chance
			vain += x * (1 - chance) * d.cost
			same[g] = x * (1 - chance)
		default:
			hit += x * chance / 2
			vain += x * (1 - chance) * d.cost
			same[g], half[g] = x*(1-chance), x*chance
		}
	}
	return same, half, vain, hit
}

// inOrder is the minutes on average when remedies are tried in the order of what they settle a minute, and a technician is called
// in the end.
func (o *optimum) inOrder(s state, open uint64, w []float64) float64 {
	total, t := sum(w), 0.0
	if total == 0 {
		return 0
	}
	o.order(s, open, w, func(k int, left, vain, opening float64) bool {
		t += vain + opening*left
		return true
	})
	return t / total
}

// order goes through the remedies in their order, −1 for the technician, until it is told to stop.
func (o *optimum) order(s state, open uint64, w []float64, visit func(k int, left, vain, opening float64) bool) {
	w = slices.Clone(w)
	for {
		best, rate := -1, 0.0
		for k := range o.acts {
			d := &o.acts[k]
			if s.done>>uint(k)&1 == 1 || d.of != 0 && !d.every {
				continue
			}
			hit, left := 0.0, 0.0
			for g, x := range w {
				left += x
				a := &o.kinds[g]
				if n := a.needs &^ s.done; n>>uint(k)&1 == 1 {
					hit += x / float64(bits.OnesCount32(n))
				} else if n&d.of != 0 && n&^d.of == 0 {
					hit += x * d.chance
				} else if a.well && d.do == diagnose.DoQuiet {
					hit += x
				}
			}
			if left == 0 {
				return
			}
			miss := d.cost*(left-hit) + o.opening(d.under, open)*left
			if hit > 0 && hit/miss > rate {
				best, rate = k, hit/miss
			}
		}
		left, well := 0.0, 0.0
		for g, x := range w {
			left += x
			if o.kinds[g].beyond || o.kinds[g].well {
				well += x
			}
		}
		if best < 0 || well/(480*(left-well)+1e-12) > rate {
			visit(-1, left, 480*(left-well), 0)
			return
		}
		d := &o.acts[best]
		same, half, vain, _ := o.apply(best, s, w)
		if !visit(best, left, vain, o.opening(d.under, open)) {
			return
		}
		for g := range w {
			w[g] = same[g] + half[g]
		}
		open |= d.under
		s.done |= 1 << uint(best)
	}
}

// play follows the optimum on the hidden truth, and bills the minutes to the player.
func (o *optimum) play() {
	p := o.p
	w := o.weights()
	s, open := state{}, uint64(0)
	for {
		next, planned := o.memo[s]
		if !planned || next.step == -1 {
			_, next.step = o.tail(s, open, w, longest)
		}
		switch {
		case next.step >= 0:
			k := next.step
			at := o.see(k)
			w = slices.Clone(w)
			for g := range w {
				w[g] *= o.like[k][at][g]
			}
			s, _ = o.after(k, at, s)
			open |= o.under[k]
		case next.step == -1:
			o.order(s, open, w, func(k int, _, _, _ float64) bool { return !o.do(k) })
			if !p.quiet() {
				p.mend("", diagnose.DoSwap, nil)
			}
			return
		default:
			k := -2 - next.step
			before, _, _ := p.left().cycle(setting{}, night)
			if o.do(k) {
				return
			}
			now, _, _ := p.left().cycle(setting{}, night)
			same, half, _, _ := o.apply(k, s, w)
			s.done |= 1 << uint(k)
			w = same
			if now > 1.02*before {
				w, s.half = half, true
				s.done |= o.acts[k].of
			}
			open |= o.acts[k].under
		}
		if sum(w) == 0 { // nothing that was thought of
			p.mend("", diagnose.DoSwap, nil)
			return
		}
	}
}

// see takes a step and says its outcome.
func (o *optimum) see(k int) int {
	p, c := o.p, &o.steps[k]
	yes := false
	if c.Do == diagnose.DoLook {
		yes = p.see(c.Part, c.For, lookMinutes(c)).Look[0].Saw == diagnose.Yes
	} else {
		d := p.test(c)
		switch {
		case len(d.Cup) > 0:
			yes = float64(d.Cup[0].Value) < 0.7*o.usual()
		case len(d.Precharge) > 0:
			yes = float64(d.Precharge[0].Value) < 0.8*p.coach.charge
		case len(d.Level) == 2:
			yes = d.Level[1].Height.Value-d.Level[0].Height.Value > 1.4e-3
		case d.NoStart > 0:
			yes = true
		case len(d.Rest) > 0 && d.Rest[0].Value.Seconds() < 0.8*p.rest:
			return 1
		default:
			return 2
		}
	}
	if yes {
		return 0
	}
	return 1
}

// do does a deed on the hidden truth, −1 the technician, and says whether the pump is quiet.
func (o *optimum) do(k int) bool {
	p := o.p
	if k < 0 {
		return p.mend("", diagnose.DoSwap, nil)
	}
	d := &o.acts[k]
	switch {
	case d.do == diagnose.DoQuiet:
		return p.hold()
	case d.every:
		return p.mend(diagnose.EveryTap, diagnose.DoCure, nil)
	}
	return p.mend(d.part, d.do, d.joints)
}
