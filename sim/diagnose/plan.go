package diagnose

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
)

// A planner weighs steps by the minutes to a proved-quiet pump.
type planner struct {
	s       *Session
	points  []point
	weight  []float64
	steps   []step
	like    [][][]float64 // [step][outcome][point]
	spent   [][]float64   // [step][point]
	acts    []act
	needs   []uint64 // by theory: remedies that make an end of it
	callOut float64
	alive   []int       // theories that have points
	looks   []int       // steps that are looks
	see     [][]float64 // [look][theory]: chance that it is seen
	take    []float64   // minutes of each look, beside its cover
	mend    []float64   // by theory: minutes of its own remedies
	scratch []float64
	reach   map[string]float64
}

// An act is a swap or a sure cure, with the watch that follows it.
type act struct {
	remedy
	cost  float64
	cover string
	reach float64
}

// leastBelief is what a theory must have to be planned for.
const leastBelief = 3e-4

// plans prepares the planner, one lineup a slice.
func (s *Session) plans() error {
	s.all, s.allOf = s.worlds()
	s.kept = map[[3]int]*unitCycle{}
	ref := s.reference()
	base := s.rigs[0].views[s.view(s.base)]
	var steps []step
	seen := map[string]bool{}
	watchedBefore := map[int]bool{}
	for _, r := range s.c.Readings {
		if len(r.Rest)+len(r.Every)+len(r.Count)+len(r.Level) > 0 || r.NoStart > 0 {
			watchedBefore[s.view(r.Lineup)] = true
		}
	}
	settled, empty := s.standing()
	var work []func() error
	for _, l := range s.candidates() {
		work = append(work, func() error {
			if s.c.Rig.CheckLineup(l) != nil {
				return nil
			}
			v := s.view(l)
			view := s.rigs[0].views[v]
			st := standing{base: s.base, settled: settled, empty: empty}
			for i := range s.list {
				if s.b.Hypotheses[i].Belief > 0.05 && s.list[i].kind != None {
					s.anchorOne(&s.list[i].theory, v, float64(s.b.Hypotheses[i].Mid))
				}
			}
			st.run, st.beat = s.predictedRun(v)
			if refusals := refuse(view, base, st); len(refusals) > 0 {
				s.b.Refused = append(s.b.Refused, refusals...)
				return nil
			}
			sig := s.signature(v)
			if seen[sig] || watchedBefore[v] {
				return nil
			}
			seen[sig] = true
			steps = append(steps, s.testSteps(v, ref)...)
			return nil
		})
	}
	work = append(work, func() error {
		for i := range s.list {
			if s.list[i].cause == NarrowSwitch && s.b.Hypotheses[i].Belief > 0.01 {
				s.b.Refused = append(s.b.Refused, screwRefusal())
				break
			}
		}
		steps = append(steps, s.storeSteps()...)
		steps = append(steps, s.lookSteps()...)
		steps = append(steps, s.cureSteps(ref)...)
		s.weighSteps(steps, ref)
		return nil
	})
	s.then(work...)
	return nil
}

// reference is the rest to expect as the rig was found, s.
func (s *Session) reference() float64 {
	base := s.view(s.base)
	sum, weight := 0.0, 0.0
	for i := range s.list {
		if s.b.Hypotheses[i].Belief < 0.01 {
			continue
		}
		for _, p := range s.list[i].particles {
			if f := s.forecast(point{i, p}, base); f.starts && f.rest < 86400 {
				b := s.b.Hypotheses[i].Belief * p.share
				sum, weight = sum+b*math.Log(f.rest), weight+b
			}
		}
	}
	if !(weight > 0) {
		return 600
	}
	return math.Exp(sum / weight)
}

// standing is what the last readings say of heater and tanks.
func (s *Session) standing() (settled bool, empty map[string]bool) {
	empty = map[string]bool{}
	for name, v := range s.opts.Sim.Start.Tanks {
		empty[name] = v <= 0
	}
	for _, r := range s.c.Readings {
		if r.Heater != HeaterUnknown {
			settled = r.Heater == HeaterSettled
		}
		for _, l := range r.Level {
			if l.By == ByLamp {
				empty[l.Tank] = l.Lamp <= 0
			}
		}
	}
	return settled, empty
}

// predictedRun is the longest run and the shortest beat that a theory worth a
// twentieth of the belief predicts under a view.
func (s *Session) predictedRun(v int) (run, beat float64) {
	for i := range s.list {
		x := &s.list[i]
		if s.b.Hypotheses[i].Belief < 0.05 || len(x.particles) == 0 {
			continue
		}
		p := x.particles[len(x.particles)/2]
		f := s.forecast(point{i, p}, v)
		if !f.starts {
			continue
		}
		run = max(run, f.run)
		if b := f.rest + f.run; beat == 0 || b < beat {
			beat = b
		}
	}
	return run, beat
}

// signature is what a view parts: for each theory whether it acts, whether the
// pump starts, and about how much is stored.
func (s *Session) signature(v int) string {
	w := s.middle(0)
	out := make([]byte, 0, 4*len(s.list))
	for i := range s.list {
		c := s.cycle(&s.list[i].theory, 0, w, v)
		out = append(out, byte('0'+2*int(bool01(c.acts))+int(bool01(c.starts))))
		if c.starts {
			out = append(out, []byte(fmt.Sprintf("%.0f", 10*math.Log(c.drawdown)))...)
		}
		if c.held > 0 {
			out = append(out, 'h')
		}
	}
	return string(out)
}

// weighSteps works out every step's chances, then looks ahead.
func (s *Session) weighSteps(steps []step, ref float64) {
	pl := &planner{s: s, steps: steps, callOut: minutesWrong(CallOut)}
	s.planner = pl
	for i := range s.list {
		if s.b.Hypotheses[i].Belief < leastBelief {
			continue
		}
		pl.alive = append(pl.alive, i)
		b := s.b.Hypotheses[i].Belief
		if s.list[i].kind == None || len(s.list[i].particles) == 0 {
			pl.points = append(pl.points, point{i, particle{0, 0, 1}})
			pl.weight = append(pl.weight, b)
			continue
		}
		for _, p := range s.list[i].particles {
			pl.points = append(pl.points, point{i, p})
			pl.weight = append(pl.weight, b*p.share)
		}
	}
	pl.actsOf(ref)
	var work []func() error
	for k := range steps {
		work = append(work, func() error { pl.tabulate(k); return nil })
	}
	work = append(work, func() error { pl.ready(); s.groups(); pl.rank(); return nil })
	s.then(work...)
}

// tabulate fills in a step's chances at every point. Of none of these every
// outcome is as likely as it is on average.
func (pl *planner) tabulate(k int) {
	s, st := pl.s, &pl.steps[k]
	for len(pl.like) <= k {
		pl.like, pl.spent = append(pl.like, nil), append(pl.spent, nil)
	}
	n := len(st.shows)
	like := make([][]float64, n)
	for o := range like {
		like[o] = make([]float64, len(pl.points))
	}
	spent := make([]float64, len(pl.points))
	mean := make([]float64, n)
	total, meanSpent := 0.0, 0.0
	for i, p := range pl.points {
		if s.list[p.theory].kind == None {
			continue
		}
		spent[i] = st.spent(p)
		var ch []float64
		if st.heals != nil {
			h := st.heals(&s.list[p.theory].theory)
			ch = []float64{h, 1 - h}
		} else {
			ch = st.chance(p)
		}
		for o := range like {
			like[o][i] = ch[o]
			mean[o] += pl.weight[i] * ch[o]
		}
		meanSpent += pl.weight[i] * spent[i]
		total += pl.weight[i]
	}
	for i, p := range pl.points {
		if s.list[p.theory].kind != None {
			continue
		}
		for o := range like {
			like[o][i] = 1 / float64(n)
			if st.heals != nil {
				like[o][i] = float64(o)
			} else if total > 0 {
				like[o][i] = mean[o] / total
			}
		}
		if total > 0 {
			spent[i] = meanSpent / total
		}
	}
	pl.like[k], pl.spent[k] = like, spent
}

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

// advise draws up the choices.
func (pl *planner) advise(totals []float64) {
	s := pl.s
	b := make([]float64, len(s.list))
	pl.beliefs(pl.weight, b)
	covers := s.opened()
	var list []Choice
	now, first := pl.act(b, covers)
	if first >= 0 {
		list = append(list, pl.actChoice(first, now))
	}
	for k := range pl.steps {
		if c, ok := pl.stepChoice(k, totals[k]); ok {
			list = append(list, c)
		}
	}
	slices.SortStableFunc(list, func(a, b Choice) int {
		return cmp.Or(cmp.Compare(a.Total, b.Total), cmp.Compare(a.Words, b.Words))
	})
	if len(list) > shown {
		list = list[:shown]
	}
	for i := range list {
		list[i].Cautions = s.cautions(&list[i])
	}
	s.b.Next = list
	pl.otherwise()
}

func (pl *planner) actChoice(k int, total float64) Choice {
	a := pl.acts[k]
	c := Choice{Do: a.do, Part: a.part, Words: capital(a.what), Minutes: a.cost + a.reach, Total: total, Lineup: pl.s.base}
	right := 0.0
	for _, i := range pl.alive {
		if pl.needs[i] == 1<<uint(k) {
			right += pl.s.b.Hypotheses[i].Belief
		}
	}
	if c.Do == DoQuiet {
		c.Watch = seconds(1800)
	}
	c.Outcomes = []Outcome{{Words: "the pump stays quiet", Chance: right, Then: "done"}, {Words: "it goes on as before", Chance: 1 - right, Then: ""}}
	return c
}

func (pl *planner) stepChoice(k int, total float64) (Choice, bool) {
	s, st := pl.s, &pl.steps[k]
	c := st.Choice
	c.Total = total
	sum := 0.0
	for i, w := range pl.weight {
		sum += w
		c.Minutes += w * pl.spent[k][i]
	}
	c.Minutes /= sum
	opened := s.opened()
	for _, cover := range st.covers {
		if !opened[cover] {
			c.Minutes += pl.coverReach(cover)
		}
	}
	b := make([]float64, len(s.list))
	pl.beliefs(pl.weight, b)
	c.Bits = entropy(b)
	for o, words := range st.shows {
		clear(b)
		p := 0.0
		for i, w := range pl.weight {
			x := w * pl.like[k][o][i]
			b[pl.points[i].theory] += x
			p += x
		}
		c.Bits -= p / sum * entropy(b)
		lead := 0
		for i := range b {
			if b[i] > b[lead] {
				lead = i
			}
		}
		then := s.list[lead].name
		if st.heals != nil && o == 0 {
			then = "done"
		}
		c.Outcomes = append(c.Outcomes, Outcome{words, p / sum, then})
	}
	slices.SortStableFunc(c.Outcomes, func(a, b Outcome) int { return cmp.Compare(b.Chance, a.Chance) })
	return c, !math.IsInf(total, 1) && !math.IsNaN(total)
}

// entropy of beliefs that need not add up to 1, bits.
func entropy(b []float64) float64 {
	sum, h := 0.0, 0.0
	for _, x := range b {
		sum += x
	}
	for _, x := range b {
		if x > 0 {
			h -= x / sum * math.Log2(x/sum)
		}
	}
	return h
}

// otherwise says how the advice changes when the odds of kinds are halved or doubled.
func (pl *planner) otherwise() {
	s := pl.s
	if len(s.b.Next) == 0 {
		return
	}
	advice := s.b.Next[0].Words
	lead := s.list[0]
	for _, by := range []float64{0.5, 2} {
		w := slices.Clone(pl.weight)
		for i, p := range pl.points {
			if s.list[p.theory].name == lead.name {
				w[i] *= by
			}
		}
		covers := s.opened()
		list := make([]int, len(pl.steps))
		for k := range list {
			list[k] = k
		}
		b := make([]float64, len(s.list))
		pl.beliefs(w, b)
		best, first := pl.act(b, covers)
		words := ""
		if first >= 0 {
			words = capital(pl.acts[first].what)
		}
		for _, k := range list {
			t := 0.0
			if j := slices.Index(pl.looks, k); j >= 0 {
				t = pl.search(b, covers, j)
			} else {
				t = pl.through(k, w, 1, covers, nil, best)
			}
			if t < best {
				best, words = t, pl.steps[k].Words
			}
		}
		if words != advice {
			how := "half"
			if by > 1 {
				how = "twice"
			}
			s.b.Otherwise = append(s.b.Otherwise, fmt.Sprintf("Were %s %s as likely to begin with, the next step would be: %s", lead.name, how, words))
		}
	}
}

func capital(text string) string {
	for i, r := range text {
		if i == 0 {
			return string(r-('a'-'A')*rune(bool01(r >= 'a' && r <= 'z'))) + text[1:]
		}
	}
	return text
}

// groups gathers the theories that no step at hand can part: no outcome of any
// differs by more than a tenth.
func (s *Session) groups() {
	pl := s.planner
	alive := pl.alive
	dist := func(a, b int) float64 {
		most := 0.0
		for k := range pl.steps {
			if pl.steps[k].heals != nil {
				continue
			}
			d := 0.0
			for o := range pl.steps[k].shows {
				d += math.Abs(pl.mean(k, o, a) - pl.mean(k, o, b))
			}
			most = max(most, d/2)
		}
		return most
	}
	taken := map[int]bool{}
	for _, a := range alive {
		if taken[a] || s.list[a].kind == None {
			continue
		}
		taken[a] = true
		g := Group{Names: []string{s.list[a].name}, Belief: s.b.Hypotheses[a].Belief}
		for _, b := range alive {
			if taken[b] || s.list[b].kind == None || dist(a, b) > 0.1 {
				continue
			}
			taken[b] = true
			g.Names = append(g.Names, s.list[b].name)
			g.Belief += s.b.Hypotheses[b].Belief
		}
		s.b.Groups = append(s.b.Groups, g)
	}
	slices.SortStableFunc(s.b.Groups, func(a, b Group) int {
		return cmp.Or(cmp.Compare(b.Belief, a.Belief), cmp.Compare(a.Names[0], b.Names[0]))
	})
}

// mean is the chance of an outcome of a step under a theory.
func (pl *planner) mean(k, o, theory int) float64 {
	sum, n := 0.0, 0.0
	for i, p := range pl.points {
		if p.theory == theory {
			sum, n = sum+pl.like[k][o][i], n+1
		}
	}
	return sum / max(n, 1)
}

// Chance says a belief as people say it: "about 7 in 10".
func Chance(x float64) string {
	switch {
	case x >= 0.985:
		return "almost certain"
	case x >= 0.95:
		return "more than 19 in 20"
	case x >= 0.05:
		return fmt.Sprintf("about %.0f in 10", max(math.Round(10*x), 1))
	case x >= 0.005:
		return fmt.Sprintf("about %.0f in 100", math.Round(100*x))
	}
	return "hardly likely"
}
