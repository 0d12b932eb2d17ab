package repair

import (
	"errors"
	"fmt"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/cycle"
)

// A Job is one part at fault on one rig. Model and Seep must be given.
type Job struct {
	Model  *sim.Model
	Lineup network.Lineup // as the rig is used
	Seep   network.Seep   // what seeps, its flow as fitted to the readings
	// Low to High is the 95 % interval of the seep's flow; zero: its flow itself.
	Low, High unit.Flow
	// LowDrawdown to HighDrawdown is the 95 % interval of the water that storage
	// gives up between cut-out and cut-in; zero: what the model gives up.
	LowDrawdown, HighDrawdown unit.Volume
	// Every is the time from start to start as it was seen, with its 95 % interval;
	// zero: not seen, and what the model makes of the seep.
	Every Range[time.Duration]
	Sim   sim.Options              // water, altitude, levels; span and samples are the job's own
	Reach map[string]time.Duration // what it takes to reach a part or joint; the last ring goes where it is least
}

// A Range is a value with its 95 % interval.
type Range[Q any] struct{ Low, Mid, High Q }

// Errors of this package, beside those of simulating.
var (
	// ErrTight marks a job whose seep lets nothing by.
	ErrTight = errors.New("repair: the seep lets nothing by, so there is nothing to plan; give the flow that was fitted")
	// ErrNoCycle marks a rig whose pump does not rest and run whatever seeps, so
	// that a quiet time proves nothing.
	ErrNoCycle = errors.New("repair: no seep makes the pump rest and run as the valves stand; give it power, and take the hose off")
)

// rig returns the job's rig, or what keeps the job from being one.
func (j Job) rig() (*network.Rig, error) {
	if j.Model == nil {
		return nil, errors.New("repair: the job has no model; compile its rig")
	}
	rig := j.Model.Rig()
	if err := errors.Join(rig.CheckLineup(j.Lineup), rig.CheckFaults(network.Faults{j.Seep})); err != nil {
		return nil, err
	}
	if !(j.Seep.Ref > 0) {
		return nil, ErrTight
	}
	if low, high := j.sizes().Low, j.sizes().High; !(low > 0 && low <= j.Seep.Ref && j.Seep.Ref <= high) {
		return nil, fmt.Errorf("repair: the seep's %v does not lie between %v and %v", j.Seep.Ref, low, high)
	}
	if l, h := j.LowDrawdown, j.HighDrawdown; l < 0 || h < l {
		return nil, fmt.Errorf("repair: a drawdown between %v and %v is none", l, h)
	}
	if e := j.Every; e.Low < 0 || e.Mid < e.Low || e.High < e.Mid {
		return nil, fmt.Errorf("repair: a pump seen to start every %v to %v, %v in the middle, cannot be", e.Low, e.High, e.Mid)
	}
	return rig, nil
}

// sizes is the seep's flow with its interval.
func (j Job) sizes() Range[unit.Flow] {
	r := Range[unit.Flow]{j.Low, j.Seep.Ref, j.High}
	if r.Low == 0 {
		r.Low = r.Mid
	}
	if r.High == 0 {
		r.High = r.Mid
	}
	return r
}

// seeping is the job's seep with another flow.
func (j Job) seeping(q unit.Flow) network.Faults {
	s := j.Seep
	s.Ref = q
	return network.Faults{s}
}

// suspect finds what the seep is in its rig: as the valves stand, else as nobody
// had touched them. Where nothing under pressure reaches it, it is false.
func (j Job) suspect() (network.Suspect, bool) {
	for _, l := range []network.Lineup{j.Lineup, nil} {
		for _, s := range j.Model.Rig().Suspects(l) {
			if s.Seep.Part == j.Seep.Part && s.Seep.Pair == j.Seep.Pair {
				return s, true
			}
			for _, at := range s.At {
				if at == j.Seep.Part {
					return s, true
				}
			}
		}
	}
	return network.Suspect{}, false
}

// ends are the places where the seep's water could be going.
func (j Job) ends() []network.Destination {
	s, _ := j.suspect()
	var list []network.Destination
	for _, p := range j.Model.Rig().EscapePaths(j.Lineup) {
		if p.Suspect.Seep.Part == s.Seep.Part && p.Suspect.Seep.Pair == s.Seep.Pair {
			list = append(list, p.To)
		}
	}
	return list
}

// cycle is a rest and run with a seep of that flow and exponent.
func (j Job) cycle(q unit.Flow, exponent float64) (cycle.Cycle, error) {
	s := j.Seep
	s.Ref, s.Exp = q, exponent
	return cycle.First(j.Model, j.Lineup, network.Faults{s}, j.Sim, longestRest)
}

// longestRest is how long a start is waited for before the seep is taken larger.
const longestRest = 24 * time.Hour
