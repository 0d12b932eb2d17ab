package diagnose

import (
	"cmp"
	"math"
	"slices"
)

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
