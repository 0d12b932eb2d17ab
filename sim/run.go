package sim

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"quietpump/network"
	"quietpump/sim/internal/kernel"
)

// Errors of this package.
var (
	// ErrNoConvergence marks a system whose balance could not be met.
	ErrNoConvergence = kernel.ErrNoConvergence
	// ErrTooLong marks a simulation that took more steps than Options.MaxSteps.
	ErrTooLong = errors.New("too many steps")
)

// A Run is a simulation under way, advanced in slices by its caller. It is for
// one goroutine.
type Run struct {
	model  *Model
	faults network.Faults
	opts   Options
	rec    *Record
	work   *kernel.Work
	low    *lowered
	cache  map[string]*lowered
	lineup network.Lineup
	heat   map[string]kernel.Ramp
	temps  map[string]*reach
	first  []float64 // volumes at the start
	knots  []knot
	knot   int
	sample int
	stops  []float64 // asked-for times and temperature knots, ascending
	stop   int
	until  float64
	halt   float64 // where the slice ends
	out    []kernel.Emission
	done   bool
	booked bool // the ledger is that of the end
	warned map[string]bool
	fast   fastStarts
	leaper leaper
}

// Simulate computes a simulation from start to end, or until ctx is done; then
// it returns what there is with the context's error.
func (m *Model) Simulate(ctx context.Context, lineup network.Lineup, faults network.Faults, opts Options) (*Record, error) {
	r, err := m.Begin(lineup, faults, opts)
	if err != nil {
		return nil, err
	}
	defer r.Close()
	for {
		done, err := r.Advance(256)
		if err != nil || done {
			return r.Record(), err
		}
		if err := ctx.Err(); err != nil {
			return r.Record(), fmt.Errorf("sim: stopped at %.6g s: %w", r.work.T(), err)
		}
	}
}

// Begin prepares a simulation to be advanced in slices.
func (m *Model) Begin(lineup network.Lineup, faults network.Faults, opts Options) (*Run, error) {
	r, err := m.prepare(lineup, faults, opts)
	if err != nil {
		return nil, err
	}
	r.first = slices.Clone(r.work.Volumes())
	return r, nil
}

// prepare checks what was asked for and puts the workspace at its start.
func (m *Model) prepare(lineup network.Lineup, faults network.Faults, opts Options) (*Run, error) {
	if err := m.checkOptions(lineup, faults, &opts); err != nil {
		return nil, err
	}
	r := &Run{
		model: m, faults: faults, opts: opts, lineup: cloneLineup(lineup),
		cache: map[string]*lowered{}, warned: map[string]bool{}, halt: math.Inf(1),
	}
	r.until = opts.Until.Seconds()
	r.schedule()
	r.low = m.begun(r)
	r.work = works.Get().(*kernel.Work)
	tol := kernel.Default
	if opts.Tolerance == Fine {
		tol = kernel.Fine
	}
	r.work.Without = kernel.Layers(opts.Without &^ Leaping)
	r.work.Begin(r.low.sys, tol, 0, r.low.heads)
	r.rec = &Record{model: m, tol: tol}
	r.fast.model = m
	r.leaper = leaper{off: opts.Without&Leaping != 0 || opts.Creep || len(r.heat) > 0, device: -1}
	return r, nil
}

// Close gives the run's workspace back; the record stays.
func (r *Run) Close() {
	if r.work != nil {
		r.finish()
		works.Put(r.work)
		r.work = nil
	}
}

// Record returns what has been simulated so far.
func (r *Run) Record() *Record {
	if r.work != nil {
		r.finish()
	}
	return r.rec
}

// finish brings the record's sums up to the present.
func (r *Run) finish() {
	e := r.work.Effort
	r.rec.Effort = Effort{e.Steps, e.Refused, e.Glides, r.rec.Effort.Leapt, e.Newton, e.Restarts, e.Factorisations, e.Events, e.Plans}
	r.rec.Until = r.work.T()
	if !r.booked {
		r.rec.Ledger = r.close()
		r.booked = r.done
	}
}

// Advance takes up to the given number of steps, about 10 µs each on a small
// coach, and reports whether the simulation has reached its end.
func (r *Run) Advance(steps int) (done bool, err error) {
	for n := 0; n < steps && !r.done; n++ {
		if err := r.step(); err != nil {
			if errors.Is(err, kernel.ErrChatter) {
				r.chatters()
				r.done = true
				break
			}
			r.done = true
			return true, fmt.Errorf("sim: rig %q: %w", r.model.rig.Name(), err)
		}
	}
	return r.done, nil
}

// step moves on by one step, and does what is due at its end.
func (r *Run) step() error {
	w := r.work
	err := r.enter()
	if err != nil {
		return err
	}
	if w.T() >= r.until {
		r.done = true
		return nil
	}
	if w.Effort.Steps > r.opts.MaxSteps {
		return fmt.Errorf("%w: %d by %.6g s; raise MaxSteps or simulate less", ErrTooLong, w.Effort.Steps, w.T())
	}
	limit := math.Min(r.until, r.halt)
	if r.knot < len(r.knots) {
		limit = math.Min(limit, r.knots[r.knot].at)
	}
	if r.stop < len(r.stops) {
		limit = math.Min(limit, r.stops[r.stop])
	}
	r.out, err = w.Advance(limit, r.out[:0])
	r.tell(r.out)
	if err != nil {
		return err
	}
	r.keep()
	if w.T() >= limit-1e-9 {
		if err = r.due(); err != nil {
			return err
		}
	}
	if r.fast.over(r.rec.Events) {
		r.chatters()
		r.done = true
	}
	return r.leap()
}

// enter settles the first instant, and the one where a leap came down.
func (r *Run) enter() error {
	if r.work == nil {
		return errClosed
	}
	var err error
	r.out, err = r.work.Enter(r.out[:0]) // nothing where a mode is entered
	r.tell(r.out)
	if err != nil || len(r.rec.t) > 0 {
		return err
	}
	r.keep()
	return r.due()
}

// due does what the clock asks for now: changes first, then samples.
func (r *Run) due() error {
	w := r.work
	for r.knot < len(r.knots) && r.knots[r.knot].at <= w.T()+1e-9 {
		k := &r.knots[r.knot]
		r.knot++
		r.rec.Events = append(r.rec.Events, Event{w.T(), k.name, Scheduled})
		if k.heat {
			w.Turn()
		} else {
			for name, s := range k.set {
				r.lineup[name] = s
			}
			r.low = r.lowered(k)
			w.Retool(r.low.sys)
		}
		var err error
		r.out, err = w.Enter(r.out[:0])
		r.tell(r.out)
		if err != nil {
			return err
		}
		r.keep()
	}
	for r.stop < len(r.stops) && r.stops[r.stop] <= w.T()+1e-9 {
		r.stop++
	}
	for r.sample < len(r.opts.Samples) && r.opts.Samples[r.sample].Seconds() <= w.T()+1e-9 {
		r.rec.Samples = append(r.rec.Samples, r.model.sample(r.low, w))
		r.sample++
	}
	return nil
}

// keep writes the present state into the record.
func (r *Run) keep() {
	if r.rec.keep(r.low, r.work) {
		r.look()
	}
}

// tell writes events into the record, those of one instant in order of name.
func (r *Run) tell(out []kernel.Emission) {
	for _, e := range out {
		r.rec.Events = append(r.rec.Events, Event{e.T, r.low.sys.Devices[e.Device].Name, emitted[e.Is]})
	}
}

// lowered returns the system of the present lineup, made once.
func (r *Run) lowered(k *knot) *lowered {
	stroking := map[string]bool{}
	if k != nil {
		for _, s := range k.stroke {
			stroking[s] = true
		}
	}
	key := r.lineup.String()
	for _, s := range sortedKeys(stroking) {
		key += "\x00" + s
	}
	if low, ok := r.cache[key]; ok {
		return low
	}
	low := r.model.lower(r.lineup, r.faults, &r.opts, stroking, r.heat)
	r.cache[key] = low
	return low
}

func cloneLineup(l network.Lineup) network.Lineup {
	c := make(network.Lineup, len(l))
	for k, v := range l {
		c[k] = v
	}
	return c
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
