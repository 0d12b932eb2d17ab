package diagnose

import (
	"fmt"
	"math"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// A planner weighs steps by the minutes to a proved-quiet pump.
type planner struct {
	s       *Session
	points  []point  // those of a theory in a row
	of      [][2]int // by theory: its first point, and the one after its last
	weight  []float64
	steps   []step
	like    [][][]float64 // [step][outcome][point]
	spent   [][]float64   // [step][point]
	under   []covers      // by step
	acts    []act
	needs   []uint64 // by theory: remedies that make an end of it
	callOut float64
	alive   []int     // theories that have points
	paired  []int     // those that need more than one remedy
	finds   []find    // what finds one thing at a time
	mend    []float64 // by theory: minutes of its own remedies
	bit     map[string]covers
	reach   []float64 // by cover: minutes to open it
	free    []*scratch
}

// Covers are a set of them.
type covers uint64

// A find is a step that shows one theory or another: a look, or a tyre gauge that
// finds a lost charge.
type find struct {
	step  int
	under covers
	take  float64 // minutes, beside its cover
	often int     // how many times it may still be taken
	sees  []sight
}

// A sight is the chance that a find shows a theory.
type sight struct {
	theory int
	chance float64
}

// A scratch is room to work in at one depth of the lookahead.
type scratch struct {
	next, belief, left []float64
	gain               []float64
}

// plans prepares the planner, one lineup a slice.
func (s *Session) plans() error {
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
	asFound := true // the rig may be watched as it was found
	var work []func() error
	for _, l := range s.candidates() {
		work = append(work, func() error {
			if s.c.Rig.CheckLineup(l) != nil {
				return nil
			}
			v := s.view(l)
			view := s.rigs[0].views[v]
			var anchors []func() error
			for i := range s.list {
				if s.b.Hypotheses[i].Belief > 0.05 && s.list[i].kind != None {
					anchors = append(anchors, func() error { s.anchorOne(&s.list[i].theory, v, float64(s.b.Hypotheses[i].Mid)); return nil })
				}
			}
			s.then(append(anchors, func() error {
				st := standing{base: s.base, settled: settled, empty: empty, holds: s.holds(), drawn: float64(s.b.Size.Mid) * watchFor(ref)}
				st.run, st.beat = s.predictedRun(v)
				if s.refused(view, base, st) {
					asFound = asFound && view != base
					return nil
				}
				sig := s.signature(v)
				if v != s.view(s.base) && (seen[sig] || watchedBefore[v]) {
					return nil
				}
				s.then(append(s.rehearse(v, &st), func() error {
					switch {
					case s.refused(view, base, st):
						asFound = asFound && view != base
					case !seen[sig] && !watchedBefore[v]:
						seen[sig] = true
						steps = append(steps, s.testSteps(v, ref)...)
					}
					return nil
				})...)
				return nil
			})...)
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
		steps = append(steps, s.storeSteps(asFound)...)
		steps = append(steps, s.lookSteps()...)
		steps = append(steps, s.cureSteps(ref)...)
		s.weighSteps(steps, ref)
		return nil
	})
	s.then(work...)
	return nil
}

// holds is the water in each tank as far as anybody told, or half of it, m³.
func (s *Session) holds() map[string]float64 {
	holds := map[string]float64{}
	for _, p := range s.c.Rig.Parts() {
		if t, ok := p.(network.Tank); ok {
			holds[t.Name] = float64(t.Capacity) / 2
			if v, told := s.opts.Sim.Start.Tanks[t.Name]; told {
				holds[t.Name] = float64(v)
			}
		}
	}
	for _, r := range s.c.Readings {
		for _, l := range r.Level {
			if p, ok := s.c.Rig.Part(l.Tank); ok && l.By == ByLamp {
				if t, ok := p.(network.Tank); ok {
					holds[t.Name] = l.Lamp * float64(t.Capacity)
				}
			}
		}
	}
	return holds
}

// refused notes why a lineup is never advised, if there is anything.
func (s *Session) refused(v, base *view, st standing) bool {
	list := refuse(v, base, st)
	s.b.Refused = append(s.b.Refused, list...)
	return len(list) > 0
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
	return s.c.standing(s.opts.Sim.Start.Tanks)
}

// standing is what the last readings say of heater and tanks.
func (c *Case) standing(tanks map[string]unit.Volume) (settled bool, empty map[string]bool) {
	empty = map[string]bool{}
	for name, v := range tanks {
		empty[name] = v <= 0
	}
	for _, r := range c.Readings {
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
		run = max(run, s.anchored[anchorKey{x.name, v}].longest)
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
	w := s.rigs[0].middle
	out := make([]byte, 0, 4*len(s.list))
	for i := range s.list {
		c := s.cycle(&s.list[i].theory, w, v)
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
	pl := &planner{s: s, steps: steps, callOut: minutesWrong(CallOut), of: make([][2]int, len(s.list))}
	s.planner = pl
	for i := range s.list {
		if s.b.Hypotheses[i].Belief < leastBelief {
			continue
		}
		pl.alive = append(pl.alive, i)
		b := s.b.Hypotheses[i].Belief
		first := len(pl.points)
		if len(s.list[i].particles) == 0 {
			pl.points = append(pl.points, point{i, particle{0, 0, 1}})
			pl.weight = append(pl.weight, b)
		}
		for _, p := range s.list[i].particles {
			pl.points = append(pl.points, point{i, p})
			pl.weight = append(pl.weight, b*p.share)
		}
		pl.of[i] = [2]int{first, len(pl.points)}
	}
	pl.actsOf(ref)
	var work []func() error
	for k := range steps {
		work = append(work, func() error { pl.tabulate(k); return nil })
	}
	for _, next := range []func(){pl.ready, s.groups, pl.rank} {
		work = append(work, func() error { next(); return nil })
	}
	s.then(work...)
}

// tabulate fills in a step's chances at every point.
func (pl *planner) tabulate(k int) {
	s, st := pl.s, &pl.steps[k]
	for len(pl.like) <= k {
		pl.like, pl.spent = append(pl.like, nil), append(pl.spent, nil)
	}
	like := make([][]float64, len(st.shows))
	for o := range like {
		like[o] = make([]float64, len(pl.points))
	}
	spent := make([]float64, len(pl.points))
	for i, p := range pl.points {
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
		}
	}
	pl.like[k], pl.spent[k] = like, spent
}
