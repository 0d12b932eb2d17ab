// Package cycle simulates one rest of a pump and the run after it: what a stopwatch
// sees of a seep.
//
//	c, err := cycle.First(model, nil, faults, sim.Options{}, time.Hour)
//	fmt.Println(c.Rest, c.Run, c.StartsPerDay())
package cycle

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

// First simulates from a pump stop to the next, beginning with everything
// under pressure at cut-out. A pump that has not started after rest is
// [ErrNoStart], one that has not stopped ten minutes after its start, or that
// runs dry, [ErrNoStop]. The span, the samples and the most steps of the options
// are its own.
func First(m *sim.Model, lineup network.Lineup, faults network.Faults, opts sim.Options, rest time.Duration) (Cycle, error) {
	x, err := Begin(m, lineup, faults, opts, rest)
	if err != nil {
		return Cycle{}, err
	}
	defer x.Close()
	for {
		if done, err := x.Advance(mostSteps); done || err != nil {
			return x.Cycle, err
		}
	}
}

// A Run is a first cycle that its caller simulates in slices. It is for one
// goroutine.
type Run struct {
	Cycle // so far
	rig   *network.Rig
	sim   *sim.Run
	seen  int // events
}

// Begin prepares a cycle to be simulated in slices, as [First] does at once.
func Begin(m *sim.Model, lineup network.Lineup, faults network.Faults, opts sim.Options, rest time.Duration) (*Run, error) {
	opts.Until = rest + longestRun
	opts.Samples = []time.Duration{rest}
	opts.MaxSteps = mostSteps
	run, err := m.Begin(lineup, faults, opts)
	if err != nil {
		return nil, err
	}
	return &Run{Cycle: Cycle{Record: run.Record()}, rig: m.Rig(), sim: run}, nil
}

// Close gives back what the simulation worked with.
func (x *Run) Close() { x.sim.Close() }

// Advance takes so many steps or fewer and reports whether the cycle is complete. What
// has no cycle is [ErrNoStart] or [ErrNoStop].
func (x *Run) Advance(steps int) (done bool, err error) {
	for range steps {
		over, err := x.sim.Advance(1)
		if err != nil {
			return true, err
		}
		if done, err = x.tell(); done || err != nil {
			return true, err
		}
		switch started := x.Pump != ""; {
		case over && started:
			return true, ErrNoStop
		case over || len(x.Record.Samples) > 0 && !started:
			return true, ErrNoStart
		}
	}
	return false, nil
}

// tell takes what happened since it was last asked.
func (x *Run) tell() (done bool, err error) {
	for ; x.seen < len(x.Record.Events); x.seen++ {
		switch e := x.Record.Events[x.seen]; {
		case e.What == sim.PumpStarts && x.Pump == "":
			x.Pump, x.Rest = e.Part, e.At
			if x.Rest <= 0 {
				return true, ErrNoStop
			}
			x.Stored = -storedUnderPressure(x.rig, x.sim.Record().Ledger)
			x.Pumped = -x.Record.Ledger.Parts[x.Pump]
		case e.What == sim.PumpStops && e.Part == x.Pump:
			x.Run = e.At - x.Rest
			x.Pumped += x.sim.Record().Ledger.Parts[x.Pump]
			if !(x.Run > 0) || !(x.Stored > 0) || !(x.Pumped > 0) {
				return true, ErrNoStop
			}
			return true, nil
		case e.What == sim.PumpRunsDry:
			return true, ErrNoStop
		}
	}
	return false, nil
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
