package diagnose

// weighAll plans the weighing of every theory.
func (s *Session) weighAll() error {
	var work []func() error
	for i := range s.list {
		if s.list[i].dim {
			continue
		}
		work = append(work, s.weighOne(&s.list[i])...)
	}
	work = append(work, s.weighed)
	s.then(work...)
	return nil
}

// weighedAtOnce is how many worlds a theory is weighed on in a slice.
const weighedAtOnce = 24

// weighOne plans the weighing of a theory on the worlds that it was not weighed on.
func (s *Session) weighOne(x *weighed) []func() error {
	fates := s.fates(&x.theory)
	var work []func() error
	for n := len(x.byWorld); n < len(s.all); {
		n = min(n+weighedAtOnce, len(s.all))
		work = append(work, func() error {
			x.weigh(s.weigher, s.all[:n], fates, func(d int) []unitCycle { return s.cycles(&x.theory, s.all[d]) })
			return nil
		})
	}
	return work
}

// cycles are a theory's cycles in a world under each view that was watched, valid
// until the next call.
func (s *Session) cycles(t *theory, w *world) []unitCycle {
	g := s.weigher
	if g.cyc == nil {
		g.cyc = make([]unitCycle, len(g.told))
	}
	for v, told := range g.told {
		if told {
			g.cyc[v] = s.cycle(t, w, v)
		}
	}
	if len(t.halves) == 2 && len(s.c.Done) > 0 {
		for k := range g.half {
			if g.half[k] == nil {
				g.half[k] = make([]unitCycle, len(g.told))
			}
			for v, told := range g.told {
				if told {
					g.half[k][v] = s.halfOf(t, k, w, v)
				}
			}
		}
	}
	return g.cyc
}

// weighed draws the theories' beliefs together, takes more draws where too few
// speak, and looks for pairs.
func (s *Session) weighed() error {
	total := make([]float64, len(s.all))
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
	if s.b.Effective < enough && len(s.all) < mostDraws {
		work := s.draw(fewDraws)
		for range mostDraws/fewDraws - 2 {
			work = append(work, func() error { s.then(s.draw(fewDraws)...); return nil })
		}
		s.then(append(work, s.weighAll)...)
		return nil
	}
	var work []func() error
	for i := range s.list {
		work = append(work, func() error { s.list[i].settle(); return nil })
	}
	s.then(append(work, s.findPairs, s.conclude)...)
	return nil
}
