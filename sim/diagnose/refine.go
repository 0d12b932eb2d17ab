package diagnose

import (
	"slices"
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
