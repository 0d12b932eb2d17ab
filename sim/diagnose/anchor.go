package diagnose

import (
	"errors"
	"math"
	"time"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/cycle"
)

// An anchorKey names what a simulation anchors: a theory under a lineup.
type anchorKey struct {
	theory string
	view   int
}

type simulatedKey struct {
	anchorKey
	size float64
}

// An anchor is what a simulation said beside the quadrature.
type anchor struct {
	rest, run float64 // times the quadrature's
	starts    bool
	told      bool
	longest   float64 // run of any pump, s; infinite where one would not stop or runs dry
}

// cycle is a theory's cycle in a world under view v, set right by its simulation.
func (s *Session) cycle(t *theory, w *world, v int) unitCycle {
	if len(t.leaks) == 0 {
		return unitCycle{restTimes: 1, runTimes: 1}
	}
	c := *s.unanchored(t, w, v)
	if a, ok := s.anchored[anchorKey{t.name, v}]; ok && a.told {
		switch {
		case !a.starts:
			c.starts = false
		case c.starts:
			c.restTimes, c.runTimes = a.rest, a.run
		}
	}
	return c
}

// unanchored is a cycle by the quadrature alone, worked out once.
func (s *Session) unanchored(t *theory, w *world, v int) *unitCycle {
	for len(w.kept) <= v {
		w.kept = append(w.kept, nil)
	}
	for t.id >= len(w.kept[v]) {
		w.kept[v] = append(w.kept[v], nil)
	}
	if c := w.kept[v][t.id]; c != nil && t.id > 0 {
		return c
	}
	r := &s.rigs[w.of]
	view := r.views[v]
	c := cycleOf(view, w, t, t.leaks[0], view.falls(t.leaks[0]), r.pumps)
	if len(t.leaks) == 2 {
		b := cycleOf(view, w, t, t.leaks[1], view.falls(t.leaks[1]), r.pumps)
		c = pairOf(&c, &b, w.shareOfFirst())
	}
	w.kept[v][t.id] = &c
	return &c
}

// anchorReadings simulates a theory under each lineup that was watched.
func (s *Session) anchorReadings(t *theory) {
	seen := map[int]bool{}
	var work []func() error
	for _, e := range s.evs {
		if !seen[e.view] {
			seen[e.view] = true
			work = append(work, func() error { s.anchorOne(t, e.view, s.sizeGuess(t)); return nil })
		}
	}
	s.then(work...)
}

// sizeGuess is a size from the first reading that tells one, in the middle world.
func (s *Session) sizeGuess(t *theory) float64 {
	w := s.rigs[0].middle
	for _, e := range s.evs {
		if e.size == nil {
			continue
		}
		c := s.cycle(t, w, e.view)
		if size, _ := e.size(w, &c); size > 0 {
			return min(max(size, t.low), t.high)
		}
	}
	return math.Sqrt(t.low * t.high)
}

// stepsASlice are how many steps a simulation takes at a time.
const stepsASlice = 12

// anchorOne simulates a theory of a size under a lineup on the middle rig, in slices,
// and keeps what the simulator says beside the quadrature. Causes that are no fault of
// the simulator's stay with the quadrature.
func (s *Session) anchorOne(t *theory, v int, size float64) {
	key := anchorKey{t.name, v}
	if _, done := s.anchored[key]; done || t.flat || !t.twist.simulated() || len(t.leaks) == 0 {
		return
	}
	w := s.rigs[0].middle
	c := s.cycle(t, w, v)
	r := &s.rigs[0]
	view := r.views[v]
	if !c.starts || !view.runs || !view.suction {
		return
	}
	f := c.at(size)
	if math.IsInf(f.run, 1) {
		size /= 4
		f = c.at(size)
	}
	// Few sizes, so that what was simulated once serves again.
	size = math.Exp(math.Round(4*math.Log(size)) / 4)
	f = c.at(size)
	at := simulatedKey{key, size}
	if a, done := s.simulated[at]; done {
		s.anchored[key] = a
		return
	}
	horizon := 10*f.rest + 60
	run, err := cycle.Begin(r.model, view.lineup, s.faults(t, size, w), s.opts.Sim, time.Duration(horizon*float64(time.Second)))
	if err != nil {
		a := anchor{rest: 1, run: 1, starts: true}
		s.anchored[key], s.simulated[at] = a, a
		return
	}
	var follow func() error
	follow = func() error {
		done, err := run.Advance(stepsASlice)
		if !done && err == nil {
			s.then(follow)
			return nil
		}
		run.Close()
		a := anchor{rest: 1, run: 1, starts: true}
		switch {
		case errors.Is(err, cycle.ErrNoStart):
			a.told, a.starts = true, false
		case err == nil:
			a.told = true
			a.rest, a.run = run.Rest/f.rest, run.Run/f.run
			if !(a.run > 0.2 && a.run < 5) {
				a.run = 1
			}
		}
		a.longest = longestRun(run.Record.Events, err)
		s.anchored[key], s.simulated[at] = a, a
		return nil
	}
	s.then(follow)
}

// longestRun is the longest run of any pump among the events of a simulation that
// ended with an error or none, s.
func longestRun(events []sim.Event, end error) float64 {
	longest, since := 0.0, map[string]float64{}
	for _, e := range events {
		switch e.What {
		case sim.PumpStarts:
			since[e.Part] = e.At
		case sim.PumpStops:
			longest = max(longest, e.At-since[e.Part])
			delete(since, e.Part)
		case sim.PumpRunsDry:
			return math.Inf(1)
		}
	}
	for _, at := range since {
		if errors.Is(end, cycle.ErrNoStop) && at > 0 { // one that starts at once tells nothing: nobody waited
			return math.Inf(1)
		}
		longest = max(longest, events[len(events)-1].At-at)
	}
	return longest
}

// simulated says whether what a cause changes of the rig is a fault of the simulator's.
func (t twist) simulated() bool {
	t.charge, t.span, t.slow, t.air = false, false, false, false
	return t == twist{}
}

// faults are a theory of a size as the simulator has it.
func (s *Session) faults(t *theory, size float64, w *world) network.Faults {
	var list network.Faults
	share := 1 / float64(max(len(t.leaks), 1))
	for _, l := range t.leaks {
		seep := l.seep
		seep.Seep = hydraulics.Seep{Ref: unit.Flow(size * share), At: sizeAt, Exp: w.exponent}
		list = append(list, seep)
	}
	list = append(list, w.faults...)
	in, out, _ := w.bandUnder(t)
	for _, p := range s.c.Rig.Parts() {
		switch p := p.(type) {
		case network.Accumulator:
			if t.twist.charge {
				list = append(list, network.LostCharge{Part: p.Name, Precharge: unit.Pressure(0.35 * float64(p.Precharge))})
			}
		case network.Pump:
			if t.twist.slow {
				list = append(list, network.SlowPump{Part: p.Name, Speed: 0.5})
			}
			if t.twist.span {
				list = append(list, network.DriftedSwitch{Part: p.Name, CutIn: unit.Pressure(in), CutOut: unit.Pressure(out)})
			}
		}
	}
	if t.twist.air && len(t.leaks) > 0 {
		list = append(list, network.TrappedAir{Joint: t.leaks[0].joint, Volume: 0.45 * unit.Litre})
	}
	if !s.simulable(list) {
		return nil
	}
	return list
}

func (s *Session) simulable(list network.Faults) bool { return s.c.Rig.CheckFaults(list) == nil }
