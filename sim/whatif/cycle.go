package whatif

import (
	"errors"
	"maps"
	"slices"
	"time"

	"quietpump/network"
	"quietpump/sim"
)

// A Cycle is one rest of a pump and the run after it, simulated.
type Cycle struct {
	Pump   string
	Rest   float64     // s, from a pump stop to the next start
	Run    float64     // s, from that start to the stop
	Stored float64     // water that storage under pressure gave up in the rest, m³
	Pumped float64     // water that the pump delivered in the run, m³
	Record *sim.Record // the simulation, from the first stop to the second
}

// StartsPerDay is how often the pump starts in 24 h that go on like this.
func (c Cycle) StartsPerDay() float64 {
	return (24 * time.Hour).Seconds() / (c.Rest + c.Run)
}

// Why a simulation has no cycle.
var (
	ErrNoStart = errors.New("the pump does not start")
	ErrNoStop  = errors.New("the pump does not stop once it has started")
)

const (
	longestRun = 10 * time.Minute // how long a run is waited for
	mostSteps  = 20_000           // ends a simulation that gets nowhere; a cycle takes some fifty
)

// FirstCycle simulates from a pump stop to the next, beginning with everything
// under pressure at cut-out. A pump that has not started after rest is
// [ErrNoStart], one that has not stopped ten minutes after its start, or that
// runs dry, [ErrNoStop]. The span, the samples and the most steps of the options
// are its own.
func FirstCycle(m *sim.Model, lineup network.Lineup, faults network.Faults, opts sim.Options, rest time.Duration) (Cycle, error) {
	opts.Until = rest + longestRun
	opts.Samples = []time.Duration{rest}
	opts.MaxSteps = mostSteps
	run, err := m.Begin(lineup, faults, opts)
	if err != nil {
		return Cycle{}, err
	}
	defer run.Close()
	rec := run.Record()
	c := Cycle{Record: rec}
	started, seen := false, 0
	for {
		done, err := run.Advance(1)
		if err != nil {
			return c, err
		}
		for ; seen < len(rec.Events); seen++ {
			switch e := rec.Events[seen]; {
			case e.What == sim.PumpStarts && !started:
				started, c.Pump, c.Rest = true, e.Part, e.At
				if c.Rest <= 0 {
					return c, ErrNoStop
				}
				c.Stored = -storedUnderPressure(m.Rig(), run.Record().Ledger)
				c.Pumped = -rec.Ledger.Parts[c.Pump]
			case e.What == sim.PumpStops && started && e.Part == c.Pump:
				c.Run = e.At - c.Rest
				c.Pumped += run.Record().Ledger.Parts[c.Pump]
				if !(c.Run > 0) || !(c.Stored > 0) || !(c.Pumped > 0) {
					return c, ErrNoStop
				}
				return c, nil
			case e.What == sim.PumpRunsDry:
				return c, ErrNoStop
			}
		}
		switch {
		case done && started:
			return c, ErrNoStop
		case done || len(rec.Samples) > 0 && !started:
			return c, ErrNoStart
		}
	}
}

// storedUnderPressure is what the stores under pressure hold more than at the
// start, m³, summed in order of name so that it is the same to the last bit each
// time.
func storedUnderPressure(rig *network.Rig, l sim.Ledger) float64 {
	sum := 0.0
	for _, name := range slices.Sorted(maps.Keys(l.Stored)) {
		if p, ok := rig.Part(name); ok && (p.Kind() == "tank" || p.Kind() == "waste tank") {
			continue
		}
		sum += l.Stored[name]
	}
	return sum
}
