package diagnose

import (
	"math"
	"time"

	"quietpump/network"
	"quietpump/sim"
)

// A rehearsal goes on until a pump started so often, or for so long.
const (
	rehearsedStarts = 3
	rehearsedFor    = 30 * time.Minute
	rehearsedSteps  = 4000
	rehearsedWith   = 2 // of what leads
)

// rehearse simulates a lineup before it is advised, with each of what leads, and
// notes the longest run and the shortest beat of any pump, and on the hose the
// highest pressure at a pump's inlet: what leaks back through its head stays there
// where the suction is shut. The closed forms of a
// forecast know one pump, and nothing of what stands open as the rig was found. What does not come
// to its end as a simulation is noted too, and is not advised.
func (s *Session) rehearse(v int, st *standing) []func() error {
	view := s.rigs[0].views[v]
	hose := false
	var inlets []string
	for _, p := range s.c.Rig.Parts() {
		switch p := p.(type) {
		case network.Hookup:
			hose = hose || view.lineup.Of(p) == network.On()
		case network.Pump:
			inlets = append(inlets, p.From)
		}
	}
	if !view.runs && !hose {
		return nil
	}
	until := rehearsedFor
	if !view.runs {
		until = 4 * time.Hour // nothing cycles, and a level is watched for as long
	}
	with := []network.Faults{}
	for i := range s.list {
		if h := &s.b.Hypotheses[i]; h.Belief >= 0.05 && len(h.Faults) > 0 && len(with) < rehearsedWith {
			with = append(with, h.Faults)
		}
	}
	if len(with) == 0 {
		with = append(with, nil)
	}
	var work []func() error
	for _, faults := range with {
		work = append(work, func() error {
			opts := s.opts.Sim
			opts.Until, opts.Samples, opts.MaxSteps = until, []time.Duration{until}, rehearsedSteps
			run, err := s.rigs[0].model.Begin(view.lineup, faults, opts)
			if err != nil {
				st.unrehearsed = true
				return nil
			}
			var follow func() error
			follow = func() error {
				done, err := run.Advance(stepsASlice)
				for _, j := range inlets {
					if p, ok := run.Pressure(j); ok && hose {
						st.inlet = max(st.inlet, p)
					}
				}
				st.unrehearsed = st.unrehearsed || err != nil
				if more := st.hear(run.Events(), run.Time(), run.Chatter() != nil); more && !done && err == nil {
					s.then(follow)
					return nil
				}
				run.Close()
				return nil
			}
			s.then(follow)
			return nil
		})
	}
	return work
}

// hear takes in what happened so far, and says whether to go on.
func (st *standing) hear(events []sim.Event, now float64, chatters bool) (more bool) {
	type pump struct {
		since, before float64
		starts, quick int
		on            bool
	}
	pumps := map[string]*pump{}
	least := 0
	for _, e := range events {
		p := pumps[e.Part]
		if p == nil {
			p = &pump{before: math.Inf(-1)}
			pumps[e.Part] = p
		}
		switch e.What {
		case sim.PumpStarts:
			p.before, p.since, p.on = p.since, e.At, true
			if p.starts++; p.starts > 1 {
				if p.since-p.before < fastestBeat {
					p.quick++
				} else {
					p.quick = 0
				}
			}
			if p.quick >= rehearsedStarts {
				chatters = true
			}
			least = max(least, p.starts)
		case sim.PumpStops:
			st.run, p.on = max(st.run, e.At-p.since), false
		case sim.PumpRunsDry:
			st.run = math.Inf(1)
		}
	}
	for _, p := range pumps {
		if p.on {
			st.run = max(st.run, now-p.since)
		}
	}
	if chatters {
		st.beat = fastestBeat / 2
	}
	return !chatters && !(st.run > mostRun) && least <= rehearsedStarts
}
