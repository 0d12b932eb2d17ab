// Package live simulates a rig while somebody watches: under a clock that can run
// from life's own pace to six hundred times it, and with hands that turn valves,
// open taps and break parts meanwhile.
//
//	l, err := live.New(rig, nil, nil, sim.Options{})
//	l.SetRate(60)                                   // a minute a second
//	l.Advance(now, 3*time.Millisecond)              // each frame
//	l.Turn(network.Lineup{"galley tap": network.Open(1)})
//
// It is the library's own simulation, brought exactly to the time that is shown.
// Where a machine cannot follow, the clock goes slower and says so; nothing is
// passed over. A change goes on from where the rig stands.
package live

import (
	"math"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// The rates the clock can run at, simulated seconds a second.
const (
	Slowest = 1
	Fastest = 600
)

// A Live is a rig that is being simulated while it is watched. It is for one
// goroutine.
type Live struct {
	rig    *network.Rig
	model  *sim.Model
	lineup network.Lineup
	faults network.Faults
	opts   sim.Options
	pump   network.Pump // the one whose switch the gauge stands by; zero: the rig has none
	gauge  string       // joint

	run     *sim.Run
	base    float64    // s simulated before the run's time zero
	steps   int        // taken in the run
	seen    int        // events of the run that have been told
	before  sim.Ledger // of the runs before
	drawn   float64    // in those, where a hand had opened, m³
	kept    float64    // and taken up by the pressurised lines
	gross   gross
	spilled float64 // before the beginning, m³
	sample  sim.Sample
	halted  string // why it does not go on; "": it does

	clock  time.Time // of the last Advance
	ticked bool
	rate   float64 // asked for
	pace   float64 // at which it runs: glides to the rate, and below it where the machine cannot follow
	slow   bool

	roll    Roll
	events  []Event
	first   int // number of the first of events
	meter   meter
	battery battery
}

// An Event is something that happened to a part.
type Event struct {
	At   float64 // s since the beginning
	Part string
	What sim.What
}

// New begins to simulate a rig; a nil lineup is the rig's own, and no faults are
// none. The options' span and samples are not used: there is no end. The error is
// that of [sim.Compile] or of [sim.Model.Begin].
func New(rig *network.Rig, lineup network.Lineup, faults network.Faults, o sim.Options) (*Live, error) {
	m, err := sim.Compile(rig)
	if err != nil {
		return nil, err
	}
	o.Until, o.Samples = noEnd, nil
	l := &Live{rig: rig, model: m, lineup: clone(lineup), faults: append(network.Faults(nil), faults...), opts: o, rate: Slowest, pace: Slowest}
	l.watch()
	if l.run, err = m.Begin(lineup, faults, o); err != nil {
		return nil, err
	}
	if err := l.look(); err != nil {
		l.run.Close()
		return nil, err
	}
	l.changed()
	return l, nil
}

// noEnd is longer than anybody watches; the record is begun anew long before.
const noEnd = 10000 * time.Hour

// Close gives back what the simulation holds. The Live is of no use afterwards.
func (l *Live) Close() { l.run.Close() }

// watch chooses the pump that starts first, and its switch's joint for the gauge.
func (l *Live) watch() {
	l.pump, l.gauge = network.Pump{}, ""
	for _, p := range l.rig.Parts() {
		if p, ok := p.(network.Pump); ok && (l.pump.Name == "" || startsAt(p) > startsAt(l.pump)) {
			l.pump, l.gauge = p, p.Sense
		}
	}
	for _, p := range l.rig.Parts() {
		if f, ok := p.(network.Fixture); ok && l.gauge == "" {
			l.gauge = f.At
		}
	}
	if j := l.rig.Joints(); l.gauge == "" && len(j) > 0 {
		l.gauge = j[0].Name
	}
	l.battery.of(l.rig)
	l.gross.of(l.rig)
}

func startsAt(p network.Pump) unit.Pressure {
	if p.Hold != nil {
		return p.Hold.Start
	}
	return p.CutIn
}

// Advance brings the simulation to the clock time now, computing for no longer
// than about the budget, none or less being no limit, and reports whether time
// goes on. After a pause of more than a quarter of a second, a tab put away for
// one, it goes on from where it was left. What goes wrong does not end it: see
// [Live.Halted].
func (l *Live) Advance(now time.Time, budget time.Duration) (busy bool) {
	const longest = 0.25
	dt := now.Sub(l.clock).Seconds()
	if !l.ticked || dt < 0 {
		dt = 0
	}
	dt = math.Min(dt, longest)
	l.clock, l.ticked = now, true
	if l.halted != "" {
		return false
	}
	if dt == 0 {
		return true
	}
	l.glide(dt)
	to := l.Time() + l.pace*dt
	there := l.goTo(to, budget)
	l.slow = !there || l.pace < 0.9*l.rate && l.slow
	if !there { // slower at once, and no slower than it turned out to be able to
		got := math.Max((l.Time()-(to-l.pace*dt))/dt, 0)
		l.pace = math.Max(0.9*got, 1e-3)
	}
	if l.halted == "" {
		if err := l.look(); err != nil {
			l.halt(err)
		}
	}
	l.restart()
	return l.halted == ""
}

// Pass lets so many simulated seconds go by at once, however long that takes to
// compute. It does nothing with a number that is not above zero, or while time stands
// still.
func (l *Live) Pass(s float64) {
	if l.halted != "" || !(s > 0) {
		return
	}
	l.goTo(l.Time()+s, 0)
	if l.halted == "" {
		if err := l.look(); err != nil {
			l.halt(err)
		}
	}
	l.restart()
}

// glide moves the pace to the rate: most of the way in a fifth of a second, or,
// where the machine could not follow, more warily.
func (l *Live) glide(dt float64) {
	tau := 0.1
	if l.slow && l.pace < l.rate {
		tau = 2
	}
	f := 1 - math.Exp(-dt/tau)
	l.pace *= math.Exp(f * math.Log(l.rate/l.pace))
	if math.Abs(l.pace/l.rate-1) < 1e-3 {
		l.pace = l.rate
	}
}

// goTo simulates to a time, and reports whether the budget sufficed.
func (l *Live) goTo(to float64, budget time.Duration) bool {
	began := time.Now()
	at := time.Duration(math.Round((to - l.base) * 1e9))
	for n := 1; ; n++ {
		there, err := l.run.AdvanceTo(at, 1)
		l.steps++
		l.take()
		if err != nil {
			l.halt(err)
			return true
		}
		if c := l.run.Chatter(); c != nil {
			l.halted = chatters(c)
			return true
		}
		if there {
			return true
		}
		if budget > 0 && n%4 == 0 && time.Since(began) > budget {
			return false
		}
	}
}

// take notes what the last step brought.
func (l *Live) take() {
	t := l.Time()
	p, ok := l.run.Pressure(l.gauge)
	for list := l.run.Events(); l.seen < len(list); l.seen++ {
		e := list[l.seen]
		at := l.base + e.At
		switch {
		case e.What == sim.PumpStarts || e.What == sim.PumpStops:
			l.roll.corner(at, l.threshold(e))
			l.roll.switched(e.Part, at, e.What == sim.PumpStarts)
			if e.Part == l.pump.Name {
				l.meter.switched(at, e.What == sim.PumpStarts, l.moved(), l.battery.drawn)
			}
		case e.What == sim.Scheduled:
			l.changed()
		}
		l.tell(Event{at, e.Part, e.What})
	}
	l.roll.add(t, p, ok)
	l.battery.step(t, l.run)
	l.gross.step(l.run)
}

// threshold is the pressure at which a plain switch moves; NaN of another.
func (l *Live) threshold(e sim.Event) float64 {
	p := l.pump
	if e.Part != p.Name || p.Hold != nil || p.Delay > 0 {
		return math.NaN()
	}
	starts, stops := l.Switch()
	if e.What == sim.PumpStarts {
		return float64(starts)
	}
	return float64(stops)
}

// eventsKept is how many events are kept to be asked for.
const eventsKept = 512

func (l *Live) tell(e Event) {
	if len(l.events) == 2*eventsKept {
		n := copy(l.events, l.events[eventsKept:])
		l.events, l.first = l.events[:n], l.first+eventsKept
	}
	l.events = append(l.events, e)
}

// moved is the water that the watched pump has passed in the present run, m³.
func (l *Live) moved() float64 {
	v, _ := l.run.Moved(l.pump.Name)
	return float64(v)
}

func (l *Live) look() error {
	s, err := l.run.Now()
	if err != nil {
		return err
	}
	l.sample = s
	if l.roll.empty() {
		p, ok := l.run.Pressure(l.gauge)
		l.roll.add(l.Time(), p, ok)
		for _, p := range l.rig.Parts() {
			if p.Kind() == "pump" && l.run.Running(p.ID()) {
				l.roll.switched(p.ID(), l.Time(), true)
			}
		}
	}
	return nil
}

// Time is the simulated time that is shown, s since the beginning.
func (l *Live) Time() float64 { return l.base + l.run.Time() }

// SetRate asks for a rate, simulated seconds a second, to which the clock glides. One
// below [Slowest] or above [Fastest] is taken for that; NaN changes nothing.
func (l *Live) SetRate(x float64) {
	if !math.IsNaN(x) {
		l.rate = math.Min(math.Max(x, Slowest), Fastest)
	}
}

// Rate is the rate that was asked for, simulated seconds a second.
func (l *Live) Rate() float64 { return l.rate }

// Pace is the rate at which the clock runs now: on its way to [Live.Rate], below it
// where the machine cannot follow, and zero where time stands still.
func (l *Live) Pace() float64 {
	if l.halted != "" {
		return 0
	}
	return l.pace
}

// Slow reports whether the clock runs below its rate because the machine cannot
// follow.
func (l *Live) Slow() bool { return l.slow }

// Halted says in a sentence for the reader why time does not go on; "" while it does.
// A change by hand sets it going again.
func (l *Live) Halted() string { return l.halted }

// Rig is the rig that is simulated.
func (l *Live) Rig() *network.Rig { return l.rig }

// Model is the compiled rig that the simulation runs on.
func (l *Live) Model() *sim.Model { return l.model }

// Lineup is how the valves stand; it is not to be changed but by [Live.Turn].
func (l *Live) Lineup() network.Lineup { return l.lineup }

// Faults are what is wrong with the rig; they are not to be changed but by
// [Live.Break].
func (l *Live) Faults() network.Faults { return l.faults }

// Sample is the state at the time that is shown. The pointer stays the same, and what
// it points to is renewed as time goes on.
func (l *Live) Sample() *sim.Sample { return &l.sample }

// Pump is the pump that starts first, by whose switch the gauge stands; ok is false
// for a rig without a pump.
func (l *Live) Pump() (p network.Pump, ok bool) { return l.pump, l.pump.Name != "" }

// Switch is where the pump of [Live.Pump] starts and stops, with what its switch has
// drifted; zero without a pump.
func (l *Live) Switch() (starts, stops unit.Pressure) {
	starts, stops = l.pump.CutIn, l.pump.CutOut
	if h := l.pump.Hold; h != nil {
		return h.Start, h.Set
	}
	for _, f := range l.faults {
		if d, ok := f.(network.DriftedSwitch); ok && d.Part == l.pump.Name {
			if d.CutIn != 0 {
				starts = d.CutIn
			}
			if d.CutOut != 0 {
				stops = d.CutOut
			}
		}
	}
	return starts, stops
}

// Gauge is the joint at which the pressure of the roll is read: where the pump's
// switch feels it, or in a rig without a pump the first tap, or the first joint.
func (l *Live) Gauge() string { return l.gauge }

// Running reports whether the motor of the pump of that name turns; of what is no pump
// it is false.
func (l *Live) Running(pump string) bool { return l.run.Running(pump) }

// Events are those from number since on, counted from 0, and the number to ask for
// next. The last few hundred are kept; the list is good until time goes on.
func (l *Live) Events(since int) (list []Event, next int) {
	return l.events[min(max(since-l.first, 0), len(l.events)):], l.first + len(l.events)
}

// Roll is the history of the pressure at the gauge.
func (l *Live) Roll() *Roll { return &l.roll }

// Charge is what the pumps have drawn from the battery since the beginning; ok is
// false of a rig without a pump, and where a pump's curve does not tell its current.
func (l *Live) Charge() (q unit.Charge, ok bool) {
	return unit.Charge(l.battery.drawn), l.battery.known
}

func clone(l network.Lineup) network.Lineup {
	c := make(network.Lineup, len(l))
	for k, v := range l {
		c[k] = v
	}
	return c
}
