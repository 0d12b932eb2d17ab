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
	flushed := map[string]bool{}
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
		st := step{}
		st.Do, st.Part, st.Lineup = DoCure, part, s.base
		chance := 0.0
		switch u.Role {
		case network.ToiletValve, network.Tap, network.DrainValve:
			st.Words = "Open " + quoted(part) + " fully for half a minute, then close it properly"
			chance = 0.3
		case network.FillValve, network.OtherValve:
			st.Words = "Open " + quoted(part) + " and let it run at full flow for half a minute, then close it properly"
			chance = 0.3
		default:
			continue
		}
		flushed[part] = true
		st.covers = []string{s.c.access(part).Cover}
		st.shows = []string{"the pump stays quiet", "it goes on as before"}
		st.spent = func(point) float64 { return 2 + watch }
		st.heals = func(o *theory) float64 {
			// Debris is taken as the commonest cause: common practice, no source.
			if o.kind == OneSuspect && o.suspects[0].Seep.Part == part {
				return chance
			}
			if (o.cause == NotQuiteShut || o.cause == HandlesOn) && o.showsAt(part) {
				return 0.9
			}
			return 0
		}
		list = append(list, st)
	}
	return list
}
