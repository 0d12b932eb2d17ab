package live

import (
	"math"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// A Habit is what the watched pump has been doing since the last change, over its
// last whole cycles: from the end of one run to the end of the next.
type Habit struct {
	Cycles int         // whole ones, six at most; where there is none, the fields from Rest to Charge are zero
	Rest   float64     // s between runs, mean
	Run    float64     // s of a run, mean
	Starts float64     // a day, at this rate
	Water  unit.Volume // that the pump delivers in a day, net, at this rate
	Charge unit.Charge // that the pumps draw in a day, at this rate
	Quiet  float64     // s since the end of the last run, or since the change; 0 while it runs
	Since  float64     // s since the change
}

// cyclesKept is how many cycles a habit is the mean of.
const cyclesKept = 6

// A cycle is a rest with the run that ends it.
type cycle struct{ rest, run, water, charge float64 }

// A meter keeps the account of the watched pump's cycles.
type meter struct {
	since   float64 // the last change
	stop    float64 // the end of the last run since then; NaN: none yet
	start   float64 // the beginning of the run under way; NaN: none
	water   float64 // what the pump had moved then, in the present run of the simulation
	drawn   float64 // from the battery at the last stop
	cycles  []cycle
	running bool
}

func (m *meter) begin(t float64, running bool) {
	*m = meter{since: t, stop: math.NaN(), start: math.NaN(), cycles: m.cycles[:0], running: running}
}

// rebase: the simulation's own account begins at zero again.
func (m *meter) rebase(moved float64) { m.water -= moved }

func (m *meter) switched(t float64, on bool, moved, drawn float64) {
	m.running = on
	if on {
		m.start, m.water = t, moved
		return
	}
	if !math.IsNaN(m.stop) && !math.IsNaN(m.start) {
		if len(m.cycles) == cyclesKept {
			m.cycles = append(m.cycles[:0], m.cycles[1:]...)
		}
		m.cycles = append(m.cycles, cycle{m.start - m.stop, t - m.start, moved - m.water, drawn - m.drawn})
	}
	m.stop, m.drawn = t, drawn
}

// Habit is what the watched pump, that of [Live.Pump], has been doing.
func (l *Live) Habit() Habit {
	m := &l.meter
	now := l.Time()
	h := Habit{Cycles: len(m.cycles), Since: now - m.since}
	var sum cycle
	for _, c := range m.cycles {
		sum.rest, sum.run, sum.water, sum.charge = sum.rest+c.rest, sum.run+c.run, sum.water+c.water, sum.charge+c.charge
	}
	if n := float64(h.Cycles); n > 0 {
		const day = 86400
		span := sum.rest + sum.run
		h.Rest, h.Run, h.Starts = sum.rest/n, sum.run/n, day*n/span
		h.Water, h.Charge = unit.Volume(day*sum.water/span), unit.Charge(day*sum.charge/span)
	}
	switch {
	case m.running:
	case math.IsNaN(m.stop):
		h.Quiet = h.Since
	default:
		h.Quiet = now - m.stop
	}
	return h
}

// A battery counts what the pumps draw: each its current at the pressure that it
// lifts to.
type battery struct {
	pumps []network.Pump
	known bool    // every pump's curve tells its current
	drawn float64 // A·s
	last  float64 // time, s
	amps  float64 // then
}

func (b *battery) of(rig *network.Rig) {
	b.pumps, b.known = b.pumps[:0], true
	for _, p := range rig.Parts() {
		if p, ok := p.(network.Pump); ok {
			p.Curve = p.Curve.AtVoltage(p.Voltage)
			b.known = b.known && p.Curve.Current(0) > 0
			b.pumps = append(b.pumps, p)
		}
	}
	b.known = b.known && len(b.pumps) > 0
}

// step takes the time since the last one at the mean of the currents at its ends. A
// run ends with a step, so the motor turns at one end of its last.
func (b *battery) step(t float64, run *sim.Run) {
	amps := 0.0
	for i := range b.pumps {
		p := &b.pumps[i]
		if !run.Running(p.Name) {
			continue
		}
		from, _ := run.Pressure(p.From)
		to, _ := run.Pressure(p.To)
		amps += float64(p.Curve.Current(to - from))
	}
	was, now := b.amps, amps
	switch {
	case was == 0: // it has just been started: what went before drew nothing
		now = 0
	case now == 0: // just stopped: up to here it drew what it did
		now = was
	}
	b.drawn += (was + now) / 2 * (t - b.last)
	b.last, b.amps = t, amps
}
