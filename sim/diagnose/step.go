package diagnose

import (
	"fmt"
	"strings"
	"time"
)

// A step is a choice as the planner weighs it.
type step struct {
	Choice
	shows  []string                // words of its outcomes
	chance func(p point) []float64 // of each outcome
	spent  func(p point) float64   // minutes, beside those of covers
	covers []string
	heals  func(t *theory) float64 // chance that it makes an end of a theory
}

// A point is a particle with its theory.
type point struct {
	theory int
	particle
}

// cycleAt and forecast are what a point predicts under a view.
func (s *Session) cycleAt(p point, v int) *unitCycle {
	key := [3]int{p.theory, p.world, v}
	if c, ok := s.kept[key]; ok {
		return c
	}
	t := &s.list[p.theory].theory
	c := s.cycle(t, s.all[p.world], v)
	if _, k := s.remains(t); k >= 0 {
		c = s.halfOf(t, k, s.all[p.world], v)
	}
	s.kept[key] = &c
	return &c
}

func (s *Session) forecast(p point, v int) forecast {
	return s.cycleAt(p, v).at(p.size)
}

// people says a time as people do.
func people(d time.Duration) string {
	switch {
	case d >= 90*time.Minute:
		return fmt.Sprintf("%.2g h", d.Hours())
	case d >= 2*time.Minute:
		return fmt.Sprintf("%.0f min", d.Minutes())
	}
	return fmt.Sprintf("%.0f s", d.Seconds())
}

func and(names []string) string {
	q := make([]string, len(names))
	for i, n := range names {
		q[i] = quoted(n)
	}
	if len(q) > 1 {
		return strings.Join(q[:len(q)-1], ", ") + " and " + q[len(q)-1]
	}
	return strings.Join(q, "")
}
