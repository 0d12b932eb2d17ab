package diagnose

import (
	"math"
	"slices"

	"quietpump/network"
)

// mostLooks is how often one place is looked at for one thing, and mostInDoubt how
// often where what was seen and what was not hold the balance.
const (
	mostLooks   = 3
	mostInDoubt = 6
)

// looksLeft is how many more times one place is worth a look for one thing.
func (s *Session) looksLeft(at string, what For) int {
	yes, no := 0, 0
	for _, r := range s.c.Readings {
		for _, l := range r.Look {
			if l.At == at && l.For == what {
				yes, no = yes+int(bool01(l.Saw == Yes)), no+int(bool01(l.Saw == No))
			}
		}
	}
	// What was not seen may have been missed, and what was seen may have been
	// something else.
	if most := mostLooks; yes+no < most {
		return most - yes - no
	}
	if d := yes - no; yes > 0 && no > 0 && -1 <= d && d <= 1 && yes+no < mostInDoubt {
		return 1
	}
	return 0
}

// lookSteps are the things that one can go and see.
func (s *Session) lookSteps() []step {
	var list []step
	if s.opts.NoLooks {
		return nil
	}
	done := map[string]bool{}
	base := s.view(s.base)
	look := func(at string, what For, words string, minutes float64, cover string) {
		if done[string(what)+at] || math.IsInf(minutes, 1) {
			return
		}
		done[string(what)+at] = true
		if s.looksLeft(at, what) == 0 {
			return
		}
		st := step{}
		st.Do, st.Part, st.For, st.Words, st.Lineup = DoLook, at, what, words, s.base
		if cover != "" {
			st.covers = []string{cover}
		}
		st.shows = []string{"seen", "not seen"}
		st.spent = func(point) float64 { return minutes }
		st.chance = func(p point) []float64 {
			f := s.forecast(p, base)
			left, _ := s.remains(&s.list[p.theory].theory)
			x := left.shows(at, what, &f)
			return []float64{x, 1 - x}
		}
		list = append(list, st)
	}
	round := false
	for i := range s.list {
		round = round || s.list[i].cause == NotQuiteShut || s.list[i].cause == HandlesOn
	}
	if round {
		look(EveryTap, LeftOn, "Go round every tap, the toilet's pedal and the outside shower: is each one shut properly, handles and not the head alone?", 3, "")
	}
	for i := range s.list {
		t := &s.list[i].theory
		if t.kind != OneSuspect {
			continue
		}
		u := t.suspects[0]
		part := u.Seep.Part
		a := s.c.access(part)
		switch u.Role {
		case network.WeepConnections:
			at := u.Place
			if at == "" {
				at = u.At[0]
			}
			a = s.c.access(at)
			if a.Effort != Cant {
				look(at, Drip, "Look with a lamp and a dry tissue for a wet connection in the "+at, 2, a.Cover)
			}
		case network.PumpHeadValves, network.FillValve, network.OtherValve:
			if slices.Contains(t.ends, network.ToFreshTank) {
				at := s.spot(t)
				a = s.c.access(at)
				if a.Effort != Cant {
					look(at, Drip, s.backWords(at), 4, a.Cover)
				}
			} else if a.Effort != Cant {
				look(part, Drip, "Look for a drip behind "+quoted(part), 2, a.Cover)
			}
		default:
			if a.Effort != Cant {
				look(part, Drip, "Look for a drip at "+quoted(part)+" and feel it with a dry tissue", 1.5, a.Cover)
			}
		}
	}
	for _, o := range s.c.Others {
		if o.Where != "" && s.c.access(o.Where).Effort != Cant {
			st := step{}
			st.Do, st.Part, st.For, st.Lineup = DoLook, o.Where, LeftOn, s.base
			st.Words = "Go and look at " + quoted(o.Where) + ": " + o.Words + "?"
			st.covers = []string{s.c.access(o.Where).Cover}
			st.shows = []string{"yes", "no"}
			st.spent = func(point) float64 { return 3 }
			st.chance = func(p point) []float64 {
				if s.rigs[s.all[p.world].of].rig == o.Rig {
					return []float64{1 - missed, missed}
				}
				return []float64{imagined, 1 - imagined}
			}
			list = append(list, st)
		}
	}
	return list
}

// spot is the place where a theory's water could be seen best on its way back.
func (s *Session) spot(t *theory) string {
	for _, at := range t.comesOut {
		if p, ok := s.c.Rig.Part(at); ok && p.Kind() == "strainer" {
			return at
		}
	}
	if len(t.comesOut) > 0 {
		return t.comesOut[len(t.comesOut)-1]
	}
	return t.suspects[0].Seep.Part
}

// backWords say how to see water that comes back to the tank.
func (s *Session) backWords(at string) string {
	p, ok := s.c.Rig.Part(at)
	if ok {
		switch p.(type) {
		case network.Strainer:
			return "Pump off, lines under pressure, suction shut or tank low: open " + quoted(at) + " and look whether water comes back through the pump"
		case network.Pump:
			return "Pump off, lines under pressure, tank low: loosen the suction hose at " + quoted(at) + " over a cloth and look whether water comes back"
		case network.Selector:
			if !s.suctionSide(at) {
				break
			}
			return "Pump off, lines under pressure: set " + quoted(at) + " to pick-up, hold the pick-up hose in a cup, and look whether water comes back"
		}
	}
	return "Lines under pressure: look where water would run into the tank, at the end of " + quoted(at)
}

// suctionSide says whether a selector chooses what the pump draws from.
func (s *Session) suctionSide(name string) bool {
	v := newView(s.c.Rig, s.base)
	p, _ := s.c.Rig.Part(name)
	return v.runs && slices.ContainsFunc(p.Joints(), func(j string) bool { return v.section(j) == v.section(v.pump.From) })
}
