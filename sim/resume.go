package sim

import (
	"errors"
	"maps"
	"math"
	"slices"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/internal/kernel"
)

// Resume begins a simulation from where another stands, at a time zero of its
// own: the water and the pressures, which pumps run and what is left of their
// delays, relief valves that are open, heaters as warm as they are. What a hand
// has moved since is in the lineup, what has gone wrong or been mended in the
// faults; a model of another rig does as well, whose parts are matched by name.
// With all of them as they were it goes on as if nothing had been, but with an
// empty record, so that a simulation without an end needs no memory without one:
//
//	next, err := model.Resume(run, lineup, faults, sim.Options{})
//
// Start may name tanks, which then hold that much, and temperatures; what else it
// has is refused. An accumulator of another size or charge, and whatever else is
// not what it was, stands at the pressure of its place, as if it had been set and
// filled meanwhile. The schedule counts from the new time zero. The run that is
// resumed stays as it is and is closed by its owner.
func (m *Model) Resume(from *Run, lineup network.Lineup, faults network.Faults, opts Options) (*Run, error) {
	if from.work == nil {
		return nil, errors.New("sim: the run to resume has been closed; resume it first, and close it then")
	}
	if len(opts.Start.Pressures) > 0 || len(opts.Start.Pumps) > 0 {
		return nil, errors.New("sim: a resumed simulation starts at the pressures and with the pumps of the one before; name tanks and temperatures only")
	}
	if err := from.enter(); err != nil {
		return nil, err
	}
	told := opts.Start.Tanks
	opts.Start = from.present(m, opts.Start)
	r, err := m.prepare(lineup, faults, opts)
	if err != nil {
		return nil, err
	}
	r.work.Take(from.work, from.storesOf(r, told), from.devicesOf(r, told))
	r.first = slices.Clone(r.work.Volumes())
	if from.model == m {
		r.warned = maps.Clone(from.warned)
		r.fast = from.fast
		r.fast.seen, r.fast.since = 0, from.fast.since-from.work.T()
	}
	return r, nil
}

// present is where the run stands as a start of model m, with what was told of it.
func (r *Run) present(m *Model, told Start) Start {
	s := Start{Tanks: map[string]unit.Volume{}, Pressures: map[string]unit.Pressure{}, Pumps: map[string]bool{}, Temperatures: map[string]unit.Temperature{}}
	w := r.work
	for name, k := range r.low.tanks {
		if _, ok := m.partAt[name]; ok {
			s.Tanks[name] = unit.Volume(math.Max(0, w.Volumes()[k]))
		}
	}
	maps.Copy(s.Tanks, told.Tanks)
	for i, j := range r.model.joints {
		if _, ok := m.jointAt[j.Name]; ok {
			x, _ := w.Head(int32(i))
			s.Pressures[j.Name] = unit.Pressure(math.Max(leastStart, x-r.low.sys.Nodes[i].GZ))
		}
	}
	for _, p := range r.low.pumps {
		name := r.model.parts[p.part].ID()
		if at, ok := m.partAt[name]; ok && m.parts[at].Kind() == "pump" {
			s.Pumps[name] = runs(w.States()[p.device])
		}
	}
	for name := range r.temps {
		if _, ok := m.heater(name); ok {
			s.Temperatures[name] = r.temperature(name)
		}
	}
	for name, T := range r.opts.Start.Temperatures {
		if _, ok := m.heater(name); ok && r.temps[name] == nil {
			s.Temperatures[name] = T
		}
	}
	maps.Copy(s.Temperatures, told.Temperatures)
	return s
}

// leastStart is the least gauge pressure a start is taken at, Pa: no joint of a
// coach keeps a vacuum.
const leastStart = -100e3

// temperature is how warm a heater stands now: on the straight line between the
// temperatures that its schedule has it reach.
func (r *Run) temperature(name string) unit.Temperature {
	t0, T := 0.0, float64(r.opts.startTemperature(name))
	now := r.work.T()
	for i, t := range r.temps[name].t {
		switch to := r.temps[name].temp[i]; {
		case t <= now:
			t0, T = t, to
		default:
			return unit.Temperature(T + (to-T)*(now-t0)/(t-t0))
		}
	}
	return unit.Temperature(T)
}

// storesOf and devicesOf match what run n has to what r has: by part, by joint
// where a store belongs to no part, and by order among those of one name. Tanks
// whose water was told are matched to none.
func (r *Run) storesOf(n *Run, told map[string]unit.Volume) []int32 {
	type key struct {
		part, joint string
		nth         int
	}
	keys := func(r *Run) []key {
		out := make([]key, len(r.low.stores))
		count := map[key]int{}
		for i, st := range r.low.stores {
			k := key{}
			if st.part >= 0 {
				k.part = r.model.parts[st.part].ID()
			} else if st.joint >= 0 {
				k.joint = r.model.joints[st.joint].Name
			}
			k.nth, count[k] = count[k], count[k]+1
			out[i] = k
		}
		return out
	}
	return matched(keys(r), keys(n), func(k key) bool { _, anew := told[k.part]; return !anew || k.part == "" })
}

func (r *Run) devicesOf(n *Run, told map[string]unit.Volume) []int32 {
	type key struct {
		name string
		nth  int
	}
	keys := func(list []kernel.Device) []key {
		out := make([]key, len(list))
		count := map[string]int{}
		for i := range list {
			name := list[i].Name
			out[i] = key{name, count[name]}
			count[name]++
		}
		return out
	}
	return matched(keys(r.low.sys.Devices), keys(n.low.sys.Devices), func(k key) bool { _, anew := told[k.name]; return !anew })
}

// matched gives for each key of now its index in was, -1 where it is not there or
// not wanted.
func matched[K comparable](was, now []K, wanted func(K) bool) []int32 {
	at := make(map[K]int32, len(was))
	for i, k := range was {
		at[k] = int32(i)
	}
	out := make([]int32, len(now))
	for i, k := range now {
		out[i] = -1
		if j, ok := at[k]; ok && wanted(k) {
			out[i] = j
		}
	}
	return out
}

// AdvanceTo takes up to the given number of steps towards a time, and ends the
// last of them exactly there. It reports whether the time is reached, or the
// simulation's end before it.
func (r *Run) AdvanceTo(at time.Duration, steps int) (there bool, err error) {
	r.halt = at.Seconds()
	defer func() { r.halt = math.Inf(1) }()
	if err := r.enter(); err != nil {
		return true, err
	}
	for n := 0; n < steps && r.work.T() < r.halt-1e-12 && !r.done; n++ {
		if _, err := r.Advance(1); err != nil {
			return true, err
		}
	}
	return r.done || r.work.T() >= r.halt-1e-12, nil
}

// Time is how far the simulation has come, s.
func (r *Run) Time() float64 { return r.work.T() }

// Now is the state at the present time of the run.
func (r *Run) Now() (Sample, error) {
	if err := r.enter(); err != nil {
		return Sample{}, err
	}
	return r.model.sample(r.low, r.work), nil
}

// Pressure is the gauge pressure at a joint now, as [Sample.Pressure] gives it but
// without the cost of the whole state.
func (r *Run) Pressure(joint string) (p unit.Pressure, ok bool) {
	i, known := r.model.jointAt[joint]
	if !known || r.enter() != nil || !r.work.Defined(i) {
		return 0, false
	}
	x, _ := r.work.Head(i)
	return unit.Pressure(x - r.low.sys.Nodes[i].GZ), true
}

// Running reports whether a pump's motor turns now.
func (r *Run) Running(pump string) bool {
	for _, p := range r.low.pumps {
		if r.model.parts[p.part].ID() == pump {
			return runs(r.work.States()[p.device])
		}
	}
	return false
}

// Events are those of the record so far. They cost nothing to ask for, as the
// ledger of [Run.Record] does.
func (r *Run) Events() []Event { return r.rec.Events }

// Chatter is set once a pump starts and stops so fast that the simulation has ended
// there.
func (r *Run) Chatter() *Chatter { return r.rec.Chatter }

// Add puts the account of what came after to that of what came before. Moved
// counts water that went to and fro each time.
func (l Ledger) Add(after Ledger) Ledger {
	sum := func(a, b map[string]float64) map[string]float64 {
		out := make(map[string]float64, max(len(a), len(b)))
		for k, v := range a {
			out[k] += v
		}
		for k, v := range b {
			out[k] += v
		}
		return out
	}
	return Ledger{
		Parts: sum(l.Parts, after.Parts), Stored: sum(l.Stored, after.Stored), Spilled: sum(l.Spilled, after.Spilled),
		In: l.In + after.In, Out: l.Out + after.Out, Moved: l.Moved + after.Moved,
		Shift: l.Shift + after.Shift, Closure: l.Closure + after.Closure,
	}
}

// errClosed is what a closed run answers.
var errClosed = errors.New("sim: the run has been closed")

// Moved is the water that a part has passed in the record so far, as [Ledger]
// counts it in Parts, without the cost of the whole ledger; ok is false for an
// unknown part and for one without ports.
func (r *Run) Moved(part string) (v unit.Volume, ok bool) {
	i, known := r.model.partAt[part]
	if !known || len(r.low.ports[i]) == 0 {
		return 0, false
	}
	r.work.Flush()
	return unit.Volume(r.moved(i)), true
}
