package diagnose

import (
	"cmp"
	"math"
	"slices"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"time"
)

// weighAll plans the weighing of every theory.
func (s *Session) weighAll() error {
	var work []func() error
	for i := range s.list {
		if s.list[i].kind == None || s.list[i].dim {
			continue
		}
		work = append(work, func() error { s.weighOne(&s.list[i]); return nil })
	}
	work = append(work, s.weighed)
	s.then(work...)
	return nil
}

func (s *Session) weighOne(x *weighed) {
	worlds, of := s.worlds()
	views := len(s.lineups)
	x.weigh(worlds, s.evs, s.mendedAll(&x.theory), func(d int) []unitCycle {
		cyc := make([]unitCycle, views)
		for v := range views {
			if s.watched(v) {
				cyc[v] = s.cycle(&x.theory, of[d], worlds[d], v)
			}
		}
		return cyc
	})
}

func (s *Session) mendedAll(t *theory) []float64 {
	m := make([]float64, len(s.evs))
	for i := range m {
		m[i] = s.mended(t, s.evs[i].reading)
		// What the heater was known to do rules the causes out that need another.
		switch h := s.c.Readings[s.evs[i].reading].Heater; {
		case h == HeaterUnknown:
		case t.cause == Cooling && h != HeaterCooling, t.cause == Warming && h != HeaterWarming:
			m[i] = 1
		}
	}
	return m
}

// watched says whether a reading was taken under a view.
func (s *Session) watched(v int) bool {
	return slices.ContainsFunc(s.evs, func(e evidence) bool { return e.view == v })
}

// weighed draws the theories' beliefs together, takes more draws where too few
// speak, and looks for pairs.
func (s *Session) weighed() error {
	worlds, _ := s.worlds()
	total := make([]float64, len(worlds))
	sum := 0.0
	for i := range s.list {
		sum += s.list[i].prior * s.list[i].evidence
	}
	for i := range s.list {
		x := &s.list[i]
		// What hardly counts is not weighed again on more draws.
		if x.dim = x.dim || x.prior*x.evidence < leastBelief/3*sum; x.dim {
			continue
		}
		for d, l := range x.byWorld {
			total[d] += x.prior * l
		}
	}
	s.b.Effective = effective(total)
	if s.b.Effective < enough && len(worlds) < mostDraws {
		s.then(append(s.draw(min(4*len(worlds), mostDraws)), s.weighAll)...)
		return nil
	}
	s.then(s.findPairs, s.conclude)
	return nil
}

// leastPair is the share of the belief from which a pair is listed.
const leastPair = 0.01

// mostPairs are weighed on more than a few worlds.
const mostPairs = 16

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
	worlds, of := s.worlds()
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
				name: a.name + " and " + b.name, kind: Pair,
				suspects: []network.Suspect{a.suspects[0], b.suspects[0]}, leaks: []leak{a.leaks[0], b.leaks[0]},
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
	var whose []int
	var odds []float64 // how much oftener each was picked than by chance
	at, next := 0.0, 0
	for d, w := range by {
		at += w / sum
		for next < few && at >= (float64(next)+0.5)/few {
			some, whose = append(some, worlds[d]), append(whose, of[d])
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
		x.weigh(w, s.evs, s.mendedAll(&x.theory), func(d int) []unitCycle {
			cyc := make([]unitCycle, len(s.lineups))
			for v := range cyc {
				if s.watched(v) {
					cyc[v] = s.cycle(&x.theory, whose[r[d]], w[d], v)
				}
			}
			return cyc
		})
		evidence := 0.0
		for d, l := range x.byWorld {
			evidence += l / odds[r[d]] / float64(len(w))
		}
		return x.prior * evidence
	}
	first := make([]float64, len(cand))
	var work []func() error
	for i := range cand {
		work = append(work, func() error { first[i] = try(&cand[i], few/4); return nil })
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
				if try(x, 1) > leastPair*total {
					s.weighOne(x)
					if x.prior*x.evidence > leastPair*total {
						s.list = append(s.list, *x)
					}
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

func union[T comparable](a, b []T) []T {
	out := slices.Clone(a)
	for _, x := range b {
		if !slices.Contains(out, x) {
			out = append(out, x)
		}
	}
	return out
}

// conclude draws up the belief.
func (s *Session) conclude() error {
	s.noneOfThese()
	posterior := s.posterior(func(x *weighed) float64 { return x.prior })
	if posterior == nil {
		return errTooFew
	}
	order := make([]int, len(s.list))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(posterior[b], posterior[a]), byName(s.list[a].theory, s.list[b].theory))
	})
	list := make([]weighed, len(order))
	b := s.b
	b.Hypotheses = nil
	for k, i := range order {
		list[k] = s.list[i]
		b.Hypotheses = append(b.Hypotheses, s.hypothesis(&list[k], posterior[i]))
	}
	s.list = list
	s.sizeUp()
	s.findings()
	s.assume()
	s.then(s.plans)
	return nil
}

// noneOfThese weighs what is in no list: each reading alone, as the theories
// together would have it, so that it can explain what does not go together.
func (s *Session) noneOfThese() {
	sum := 0.0
	for i := range s.list {
		if s.list[i].single != nil && s.list[i].kind != Pair {
			sum += s.list[i].prior
		}
	}
	like := 1.0
	single := make([]float64, len(s.evs))
	for e := range s.evs {
		for i := range s.list {
			if s.list[i].single != nil && s.list[i].kind != Pair {
				single[e] += s.list[i].prior / sum * s.list[i].single[e]
			}
		}
		like *= single[e]
	}
	for i := range s.list {
		if s.list[i].kind == None {
			s.list[i].evidence = like
		}
	}
}

// posterior shares out belief under a prior; nil where nothing is possible.
func (s *Session) posterior(prior func(*weighed) float64) []float64 {
	p := make([]float64, len(s.list))
	sum := 0.0
	for i := range s.list {
		p[i] = prior(&s.list[i]) * s.list[i].evidence
		sum += p[i]
	}
	if !(sum > 0) || math.IsInf(sum, 1) {
		return nil
	}
	for i := range p {
		p[i] /= sum
	}
	return p
}

// hypothesis tells of a theory.
func (s *Session) hypothesis(x *weighed, belief float64) Hypothesis {
	h := Hypothesis{Name: x.name, Kind: x.kind, Cause: x.cause, Suspects: x.suspects, Ends: x.ends, Prior: x.prior, Belief: belief}
	for _, u := range x.suspects {
		h.Parts = append(h.Parts, u.Seep.Part)
	}
	if len(h.Parts) == 0 {
		for _, r := range x.remedy {
			if r.part != "" {
				h.Parts = append(h.Parts, r.part)
			}
		}
	}
	if len(x.sizes) == 0 || x.kind == None {
		return h
	}
	h.Low, h.Mid, h.High = ordered(x.sizes, x.weights)
	w := s.middle(0)
	h.Faults = s.faults(&x.theory, float64(h.Mid), w)
	if x.flat {
		h.Faults = nil
	}
	c := s.cycle(&x.theory, 0, w, s.view(s.base))
	if f := c.at(float64(h.Mid)); f.starts {
		h.Rest = seconds(f.rest)
		h.Run = seconds(f.run)
	}
	// The reading that it fits worst: far below what the others make of it.
	worst := 0.03
	for e := range s.evs {
		most := s.evs[e].met
		for i := range s.list {
			if s.evs[e].met == 0 && s.list[i].kind != None {
				most = max(most, s.list[i].fits[e])
			}
		}
		if most > 0 && x.fits[e]/most < worst {
			worst = x.fits[e] / most
			h.Worst = s.evs[e].what
		}
	}
	return h
}

func seconds(x float64) time.Duration {
	if math.IsInf(x, 1) || x > 1e9 {
		return 0
	}
	return time.Duration(x * float64(time.Second))
}

// sizeUp draws up the size of what gets away, over all theories that have one.
func (s *Session) sizeUp() {
	var ln, weights []float64
	var down, downWeights []float64
	worlds, of := s.worlds()
	base := s.view(s.base)
	for i := range s.list {
		x := &s.list[i]
		h := &s.b.Hypotheses[i]
		if x.kind == None || x.dim || h.Belief < 0.002 {
			continue
		}
		for _, p := range x.particles {
			c := s.cycle(&x.theory, of[p.world], worlds[p.world], base)
			ln, weights = append(ln, math.Log(p.size)), append(weights, h.Belief*p.share)
			if c.starts {
				down, downWeights = append(down, c.drawdown), append(downWeights, h.Belief*p.share)
			}
		}
	}
	if len(ln) == 0 {
		return
	}
	size := &s.b.Size
	size.At, size.Effective = sizeAt, s.b.Effective
	size.Low, size.Mid, size.High = interval(ln, weights)
	if len(down) > 0 {
		low, _, high := quantiles(down, downWeights)
		size.LowDrawdown, size.HighDrawdown = unit.Volume(low), unit.Volume(high)
	}
}

// findings tells what a person should hear beside the size.
func (s *Session) findings() {
	b := s.b
	ways := s.ways()
	b.Findings = disagreements(&b.Size, ways)
	cup := false
	for _, r := range s.c.Readings {
		cup = cup || len(r.Cup) > 0
	}
	add := func(f Finding) {
		if !slices.Contains(b.Findings, f) {
			b.Findings = append(b.Findings, f)
		}
	}
	for i := range b.Hypotheses {
		if b.Hypotheses[i].Belief < 0.5 {
			continue
		}
		switch b.Hypotheses[i].Cause {
		case LostAir, NarrowSwitch, LostCushion:
			add(LessStored)
		case AirInLines:
			add(MoreStored)
		case PumpSlow:
			add(SlowPump)
		}
	}
	if b.Effective < enough/2 && len(s.evs) > 0 && len(b.Findings) == 0 {
		add(EdgeOfDraws)
	}
	switch {
	case cup:
	case !storesGas(s.c.Rig, s.base):
		add(StorageUnknown)
	case b.Size.High > 2*b.Size.Low && len(s.evs) > 0 && len(b.Findings) == 0:
		add(WideSize)
	}
}

// assume lists what was not told, by its share in the doubt of the size: the
// squared correlation of its score with the size that the readings give, over
// the worlds.
func (s *Session) assume() {
	if len(s.list) == 0 || len(s.list[0].particles) == 0 {
		return
	}
	r := &s.rigs[0]
	lead := &s.list[0]
	base := s.view(s.base)
	n := len(r.worlds)
	ln, w := make([]float64, n), make([]float64, n)
	for d := range n {
		c := s.cycle(&lead.theory, 0, r.worlds[d], base)
		if c.starts && d < len(lead.byWorld) {
			ln[d], w[d] = math.Log(c.perSize), lead.byWorld[d]
		}
	}
	share := func(k int) float64 {
		z := make([]float64, n)
		for d := range n {
			z[d] = r.z[d][extras+k]
		}
		return correlated(z, ln, w)
	}
	for _, a := range r.rig.Assumed() {
		if a.Derived || a.Source == "" {
			continue
		}
		one := Assumed{Assumption: a}
		for k := range r.knobs {
			if r.knobs[k].part == a.Part && r.knobs[k].field == a.Field {
				one.Share = share(k)
			}
		}
		s.b.Assumed = append(s.b.Assumed, one)
	}
	for k, knob := range r.knobs {
		if knob.value != "" {
			s.b.Assumed = append(s.b.Assumed, Assumed{network.Assumption{Part: knob.part, Field: knob.field, Value: knob.value, Source: "common practice, no source"}, share(k), knob.part != ""})
		}
	}
	slices.SortStableFunc(s.b.Assumed, func(a, b Assumed) int {
		return cmp.Or(cmp.Compare(b.Share, a.Share), cmp.Compare(a.Part, b.Part), cmp.Compare(a.Field, b.Field))
	})
}

// correlated is the squared correlation of x and y under weights, 0 where there is none.
func correlated(x, y, w []float64) float64 {
	var sw, sx, sy float64
	for i := range x {
		sw, sx, sy = sw+w[i], sx+w[i]*x[i], sy+w[i]*y[i]
	}
	if !(sw > 0) {
		return 0
	}
	var xx, yy, xy float64
	for i := range x {
		a, b := x[i]-sx/sw, y[i]-sy/sw
		xx, yy, xy = xx+w[i]*a*a, yy+w[i]*b*b, xy+w[i]*a*b
	}
	if !(xx > 0 && yy > 0) {
		return 0
	}
	return xy * xy / (xx * yy)
}

// ordered is the median of sizes given by their logarithms in ascending order, with
// the 95 % interval about it.
func ordered(ln, weights []float64) (low, mid, high unit.Flow) {
	total, sum := 0.0, 0.0
	for _, w := range weights {
		total += w
	}
	var q [3]unit.Flow
	k := 0
	for i, p := range [3]float64{0.025, 0.5, 0.975} {
		for ; k < len(ln)-1 && sum+weights[k] < p*total; k++ {
			sum += weights[k]
		}
		q[i] = unit.Flow(math.Exp(ln[k]))
	}
	return q[0], q[1], q[2]
}
