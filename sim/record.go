package sim

import (
	"bytes"
	"errors"
	"fmt"
	"sort"
	"time"

	"quietpump/sim/internal/kernel"
)

// A Record is what a simulation returns. It holds the state at every step, so
// that any time of it can be looked at.
type Record struct {
	Until    float64   // s simulated
	Events   []Event   // in order of time, and of part name at one instant
	Samples  []Sample  // at the times that were asked for
	Ledger   Ledger    // where the water went
	Warnings []Warning // what a person should know of the rig or the result
	Chatter  *Chatter  // set where a pump starts and stops so fast that the simulation ended there
	Effort   Effort    // what it cost

	model    *Model
	tol      kernel.Tolerances
	t        []float64 // start of each step, then the end, s
	vol      []float64 // water by store at each of t
	strain   []float64 // creep terms at each of t
	segments []segment
	modes    []uint8 // device states of each segment
	leaps    []leap
	opened   *Record // a cycle of a leap, simulated to be looked at
}

// segment is a stretch of steps in one mode.
type segment struct {
	first int32 // its first step
	low   *lowered
}

// Effort counts what a simulation cost. It depends on the rig and the options
// alone, not on what a machine has cached.
type Effort struct {
	Steps          int `json:"steps"`          // refused ones and those that located an event included
	Refused        int `json:"refused"`        // steps that were taken again, shorter
	Glides         int `json:"glides"`         // steps taken by the tangent of one before
	Leapt          int `json:"leapt"`          // pump cycles that leaps passed, without a step
	Newton         int `json:"newton"`         // Newton iterations
	Restarts       int `json:"restarts"`       // solves of an instant begun again from a common start
	Factorisations int `json:"factorisations"` // of the Jacobian
	Events         int `json:"events"`         // changes that were told
	Modes          int `json:"modes"`          // modes entered
}

// A Warning is something a person should know. Warnings are data: they do not
// stop a simulation.
type Warning struct {
	At   float64 `json:"at_s"` // first time, s
	Part string  `json:"part"` // part or joint
	What string  `json:"what"`
}

// Chatter is a pump that starts and stops so fast that it harms itself.
type Chatter struct {
	Part    string  `json:"part"`
	Rate    float64 `json:"rate_hz"` // starts per second, over the fastest twenty
	Cause   string  `json:"cause"`
	Stopped bool    `json:"stopped"` // the simulation was ended there
}

// Starts returns the times at which a part starts, s; any pump's for the empty
// name.
func (r *Record) Starts(pump string) []float64 { return r.times(pump, PumpStarts) }

// Stops returns the times at which a pump stops, s; any pump's for the empty
// name.
func (r *Record) Stops(pump string) []float64 { return r.times(pump, PumpStops) }

func (r *Record) times(part string, what What) []float64 {
	var out []float64
	for _, e := range r.Events {
		if e.What == what && (part == "" || e.Part == part) {
			out = append(out, e.At)
		}
	}
	return out
}

// At returns the state at a time of the simulation. The step that holds the time
// is taken again up to there, so the state is as exact as the simulation.
// Not for use by several goroutines on one Record at a time.
func (r *Record) At(at time.Duration) (Sample, error) {
	t := at.Seconds()
	if t < 0 || t > r.Until+1e-9 {
		return Sample{}, fmt.Errorf("sim: %v is outside the simulated %.6g s", at, r.Until)
	}
	if len(r.t) == 0 {
		return Sample{}, errors.New("sim: the simulation ended before its first instant was settled; there is nothing to look at")
	}
	k := sort.SearchFloat64s(r.t, t)
	if k == len(r.t) || r.t[k] > t {
		k--
	}
	// At an instant with several steps, the last is what it settled to.
	for k+1 < len(r.t) && r.t[k+1] <= t {
		k++
	}
	k = max(k, 0)
	if l := r.leapFrom(k); l != nil && t < l.end {
		if err := r.open(l, t); err != nil {
			return Sample{}, fmt.Errorf("sim: looking at %v: %w", at, err)
		}
		return r.opened.At(at)
	}
	w := works.Get().(*kernel.Work)
	defer works.Put(w)
	r.stand(w, k)
	if err := w.Peek(t - r.t[k]); err != nil {
		return Sample{}, fmt.Errorf("sim: looking at %v: %w", at, err)
	}
	return r.model.sample(r.segmentOf(k).low, w), nil
}

// stand puts a workspace where the record was at step k.
func (r *Record) stand(w *kernel.Work, k int) {
	low, m := r.segmentOf(k).low, r.modeOf(k)
	nd, ns := len(low.sys.Devices), len(low.sys.Stores)
	w.Begin(low.sys, r.tol, r.t[k], low.heads)
	nc := len(w.Strains())
	w.Restore(low.sys, r.t[k], r.vol[k*ns:(k+1)*ns], r.strain[k*nc:(k+1)*nc], r.modes[m*nd:(m+1)*nd])
}

// keep writes the present state into the record, and reports whether it is a mode just entered.
func (r *Record) keep(low *lowered, w *kernel.Work) (entered bool) {
	nd := len(low.sys.Devices)
	n := len(r.segments)
	if n == 0 || r.segments[n-1].low != low || !bytes.Equal(r.modes[(n-1)*nd:n*nd], w.States()) {
		r.segments = append(r.segments, segment{int32(len(r.t)), low})
		r.modes = append(r.modes, w.States()...)
		entered = true
	}
	r.t = append(r.t, w.T())
	r.vol = append(r.vol, w.Volumes()...)
	r.strain = append(r.strain, w.Strains()...)
	return entered
}

func (r *Record) modeOf(step int) int {
	return sort.Search(len(r.segments), func(i int) bool { return int(r.segments[i].first) > step }) - 1
}

func (r *Record) segmentOf(step int) *segment { return &r.segments[r.modeOf(step)] }
