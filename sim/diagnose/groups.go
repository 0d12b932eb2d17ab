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
	parted := func(a, b int) bool {
		for k := range pl.steps {
			if pl.steps[k].heals != nil {
				continue
			}
			d := 0.0
			for o := range pl.steps[k].shows {
				d += math.Abs(pl.mean(k, o, a) - pl.mean(k, o, b))
			}
			if d/2 > 0.1 {
				return true
			}
		}
		return false
	}
	taken := map[int]bool{}
	for _, a := range alive {
		if taken[a] || s.list[a].kind == None {
			continue
		}
		taken[a] = true
		g := Group{Names: []string{s.list[a].name}, Belief: s.b.Hypotheses[a].Belief}
		for _, b := range alive {
			if taken[b] || s.list[b].kind == None || parted(a, b) {
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
	sum := 0.0
	of := pl.of[theory]
	for _, chance := range pl.like[k][o][of[0]:of[1]] {
		sum += chance
	}
	return sum / max(float64(of[1]-of[0]), 1)
}
