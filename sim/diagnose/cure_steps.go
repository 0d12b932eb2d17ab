package diagnose

import (
	"quietpump/network"
)

// cureSteps are what may make an end of it without a new part.
func (s *Session) cureSteps(ref float64) []step {
	var list []step
	watch := min(max(1.75*ref, 120), 1800) / 60
	done := map[string]bool{}
	for _, d := range s.c.Done {
		if d.Do == DoCure {
			done[d.Part] = true
		}
	}
	cure := func(part, words string, covers []string, minutes float64, heals func(o *theory) float64) {
		st := step{}
		st.Do, st.Part, st.Lineup, st.Words = DoCure, part, s.base, words
		st.covers = covers
		st.shows = []string{"the pump stays quiet", "it goes on as before"}
		st.spent = func(point) float64 { return minutes + watch }
		st.heals = heals
		list = append(list, st)
	}
	flushed := map[string]bool{}
	round, taps := []string(nil), 0
	for i := range s.list {
		t := &s.list[i].theory
		if t.kind != OneSuspect {
			continue
		}
		u := t.suspects[0]
		part := u.Seep.Part
		if done[part] || flushed[part] || s.c.access(part).Effort == Cant {
			continue
		}
		words := "Open " + quoted(part) + " fully for half a minute, then close it properly"
		switch u.Role {
		case network.ToiletValve, network.Tap:
			if done[EveryTap] {
				continue
			}
			round = append(round, s.c.access(part).Cover)
			taps++
		case network.DrainValve:
		case network.FillValve, network.OtherValve:
			words = "Open " + quoted(part) + " and let it run at full flow for half a minute, then close it properly"
		default:
			continue
		}
		flushed[part] = true
		cure(part, words, []string{s.c.access(part).Cover}, 2, func(o *theory) float64 {
			if o.kind == OneSuspect && o.suspects[0].Seep.Part == part {
				return 1 - survivesCure
			}
			if o.closedWith(part) {
				return 1 - survivesSwap
			}
			return 0
		})
	}
	if taps > 1 {
		cure(EveryTap, "Open every tap and the toilet fully for half a minute, then close each properly, handles and not the head alone", round, 2*float64(taps), func(o *theory) float64 {
			switch {
			case o.kind == OneSuspect && flushed[o.suspects[0].Seep.Part] && o.isTap():
				return 1 - survivesCure
			case o.closedWith(EveryTap):
				return 1 - survivesSwap
			}
			return 0
		})
	}
	return list
}

// isTap says whether a theory is one tap or the toilet's valve that seeps.
func (t *theory) isTap() bool {
	return t.kind == OneSuspect && (t.suspects[0].Role == network.Tap || t.suspects[0].Role == network.ToiletValve)
}

// closedWith says whether a theory is something left on that is closed with a part, or with all of them.
func (t *theory) closedWith(part string) bool {
	return (t.cause == NotQuiteShut || t.cause == HandlesOn) && (part == EveryTap || t.showsAt(part))
}
