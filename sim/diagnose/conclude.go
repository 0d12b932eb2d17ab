package diagnose

import (
	"cmp"
	"math"
	"slices"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/tolerance"
)

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
	var work []func() error
	for _, next := range []func(){s.sizeUp, s.ways, s.findings, s.assume} {
		work = append(work, func() error { next(); return nil })
	}
	s.then(append(work, s.plans)...)
	return nil
}

// noneOfThese weighs what is in no list. Half of it is a seep that no valve stops,
// no look finds and no part that was swapped made an end of; the other half takes each
// reading alone, as the theories together would have it, so that it can explain what
// does not go together.
func (s *Session) noneOfThese() {
	sum := 0.0
	for i := range s.list {
		if s.list[i].kind != Pair && s.list[i].kind != None {
			sum += s.list[i].prior
		}
	}
	like := 1.0
	single := make([]float64, len(s.evs))
	for e := range s.evs {
		for i := range s.list {
			if s.list[i].kind != Pair && s.list[i].kind != None {
				single[e] += s.list[i].prior / sum * s.list[i].single[e]
			}
		}
		if a := s.evs[e].absent; a > 0 {
			single[e] = a
		}
		like *= single[e]
	}
	for i := range s.list {
		if s.list[i].kind == None {
			s.list[i].evidence = (s.list[i].evidence + like) / 2
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
	w := s.rigs[0].middle
	h.Faults = s.faults(&x.theory, float64(h.Mid), w)
	if x.flat {
		h.Faults = nil
	}
	c := s.cycle(&x.theory, w, s.view(s.base))
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
	base := s.view(s.base)
	for i := range s.list {
		x := &s.list[i]
		h := &s.b.Hypotheses[i]
		if x.kind == None || x.dim || h.Belief < 0.002 {
			continue
		}
		for _, p := range x.particles {
			c := s.cycle(&x.theory, s.all[p.world], base)
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
	b.Findings = b.disagreements(s.draws)
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
	n := len(lead.byWorld)
	ln, w := make([]float64, n), make([]float64, n)
	for d, l := range lead.byWorld {
		if c := s.cycle(&lead.theory, s.all[d], base); c.starts && s.all[d].of == 0 {
			ln[d], w[d] = math.Log(c.perSize), l
		}
	}
	share := func(score int) float64 {
		z := make([]float64, n)
		for d := range n {
			if s.all[d].of == 0 {
				z[d] = s.all[d].z[score]
			}
		}
		return correlated(z, ln, w)
	}
	add := func(part, field, value string, score int) {
		s.b.Assumed = append(s.b.Assumed, Assumed{network.Assumption{Part: part, Field: field, Value: value, Source: "common practice, no source"}, share(score), part != ""})
	}
	score := map[[2]string]int{}
	for k, u := range r.unknowns {
		score[[2]string{u.Part, u.Field}] = extras + k
		switch {
		case u.Known == tolerance.Usual:
			add(u.Part, u.Field, usualSpread, extras+k)
		case u.Field == tolerance.Stretch:
			add("", u.Field, newStretch, extras+k)
		}
	}
	for _, a := range r.rig.Assumed() {
		if a.Derived || a.Source == "" {
			continue
		}
		one := Assumed{Assumption: a}
		if k, ok := score[[2]string{a.Part, a.Field}]; ok {
			one.Share = share(k)
		}
		s.b.Assumed = append(s.b.Assumed, one)
	}
	add("", seepKind, anySeep, zSeep)
	add("", cupSpeed, slowCup, zCup)
	if r.air.joint != "" {
		add("", trappedAir, someAir, zAir)
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
