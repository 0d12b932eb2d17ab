package diagnose

import (
	"errors"
	"maps"
	"slices"
	"time"

	"quietpump/network"
	"quietpump/sim"
)

// A cycle is one rest and the run after it, simulated.
type cycle struct {
	pump   string
	rest   float64 // s
	run    float64 // s
	stored float64 // water that storage gave up in the rest, m³
	pumped float64 // water that the pump delivered in the run, m³
}

// Why a simulation has no cycle.
var (
	errNoStart = errors.New("the pump does not start")
	errNoStop  = errors.New("the pump does not stop")
)

// longestRun is how long a run is waited for.
const longestRun = 10 * time.Minute

// mostSteps ends a simulation that gets nowhere. A cycle takes some fifty.
const mostSteps = 20_000

// oneCycle simulates from a pump stop to the next, with everything under pressure
// at cut-out. A pump that has not started after rest is errNoStart, one that has
// not stopped by longestRun later errNoStop.
func oneCycle(m *sim.Model, lineup network.Lineup, faults network.Faults, opts sim.Options, rest time.Duration) (cycle, error) {
	opts.Until = rest + longestRun
	opts.Samples = []time.Duration{rest}
	opts.MaxSteps = mostSteps
	run, err := m.Begin(lineup, faults, opts)
	if err != nil {
		return cycle{}, err
	}
	defer run.Close()
	rec := run.Record()
	var c cycle
	started, seen := false, 0
	for {
		done, err := run.Advance(1)
		if err != nil {
			return c, err
		}
		for ; seen < len(rec.Events); seen++ {
			switch e := rec.Events[seen]; {
			case e.What == sim.PumpStarts && !started:
				started, c.pump, c.rest = true, e.Part, e.At
				if c.rest <= 0 {
					return c, errNoStop
				}
				c.stored = -storedBy(m.Rig(), run.Record().Ledger)
				c.pumped = -rec.Ledger.Parts[c.pump]
			case e.What == sim.PumpStops && started && e.Part == c.pump:
				c.run = e.At - c.rest
				c.pumped += run.Record().Ledger.Parts[c.pump]
				if !(c.run > 0) || !(c.stored > 0) || !(c.pumped > 0) {
					return c, errNoStop
				}
				return c, nil
			case e.What == sim.PumpRunsDry:
				return c, errNoStop
			}
		}
		switch {
		case done && started:
			return c, errNoStop
		case done || len(rec.Samples) > 0 && !started:
			return c, errNoStart
		}
	}
}

// storedBy is what the stores under pressure hold more than at the start, summed in
// order of name so that it is the same to the last bit each time.
func storedBy(rig *network.Rig, l sim.Ledger) float64 {
	sum := 0.0
	for _, name := range slices.Sorted(maps.Keys(l.Stored)) {
		if p, ok := rig.Part(name); ok && (p.Kind() == "tank" || p.Kind() == "waste tank") {
			continue
		}
		sum += l.Stored[name]
	}
	return sum
}
