package main

import (
	"math"

	"quietpump/network"
	"quietpump/sim/diagnose"
)

// Faults that no test and no look of those that were done could part are one class, and an answer is as right as its
// class. The classes come from the study's own model, and know nothing of beliefs.

// causes are the benign causes that the study hides, by its own names, but for a tap that is not quite shut.
var causes = map[string]diagnose.Cause{"charge": diagnose.LostAir, "switch": diagnose.NarrowSwitch, "cooling": diagnose.Cooling}

// keyOf names a hypothesis as the study names its faults.
func keyOf(h *diagnose.Hypothesis) string {
	for name, c := range causes {
		if h.Cause == c {
			return name
		}
	}
	switch {
	case h.Kind == diagnose.Pair:
		return "pair " + h.Name
	case h.Kind == diagnose.Healthy:
		return "healthy"
	case h.Kind == diagnose.None:
		return "outside"
	case len(h.Suspects) == 0:
		return "benign " + string(h.Cause)
	}
	s := h.Suspects[0]
	if s.Role == network.WeepConnections {
		return "connections " + s.Place
	}
	return s.Seep.Part
}

// faults are what the study hides in a vehicle, one at a time, by name; sizes are still to be set.
func (t *truth) faults() map[string]*truth {
	list := map[string]*truth{}
	with := func(name string, at place, size float64) *truth {
		o := *t
		o.kind, o.cause, o.at, o.sizes, o.cooling = "suspect", "", []place{at}, []float64{size}, 0
		// What a benign cause changed of the vehicle is as it should be.
		if t.cause == "charge" {
			o.charge = t.coach.charge
		}
		if t.cause == "switch" {
			o.in = t.coach.in
		}
		list[name] = &o
		return &o
	}
	for _, a := range t.places {
		name := a.part
		if len(a.joints) > 0 {
			name = "connections " + a.look
		}
		with(name, a, 10*mlpm)
	}
	with("healthy", place{}, 0.1*mlpm).kind = "healthy"
	with("outside", place{}, 10*mlpm).kind = "outside"
	if t.gasAt != "" {
		o := with("charge", place{}, mlpm)
		o.kind, o.cause, o.charge = "benign", "charge", 0.35*t.coach.charge
	}
	o := with("switch", place{}, mlpm)
	o.kind, o.cause, o.in = "benign", "switch", t.out-3.5*psi
	if t.heater != "" {
		o := with("cooling", place{}, 0)
		o.kind, o.cause, o.cooling = "benign", "cooling", t.heaterVolume*4.4e-4/3600
	}
	return list
}

// sized gives a fault the size that starts the pump as often as the vehicle's own does, or the least there is where
// that one is quiet all night; it reports whether such a fault would have been hidden.
func (t *truth) sized(o *truth) bool {
	rest, _, starts := t.cycle(setting{}, night)
	its, _, acts := o.cycle(setting{}, 1e9)
	lo, hi := 0.1*mlpm, 1000*mlpm
	at := &o.sizes[0]
	switch {
	case o.kind == "healthy":
		lo, hi = 0.01*mlpm, 0.1*mlpm
	case o.cause == "cooling":
		at = &o.cooling
		lo, hi = 0.2*o.cooling, 5*o.cooling
	case o.kind == "benign":
		lo, hi = 0.05*mlpm, 5*mlpm
	case o.kind == "outside":
		lo = mlpm
	}
	if starts != acts {
		return !starts
	}
	if !starts {
		return true
	}
	*at *= its / rest
	return *at >= lo && *at <= hi
}

// asTruth is a hypothesis as a fault of the study; nil where the study hides no such thing.
func (p *player) asTruth(h *diagnose.Hypothesis) *truth {
	o := p.faults()[keyOf(h)]
	if o == nil || !p.sized(o) {
		return nil
	}
	return o
}

// class lists what would have shown the same as a fault in all that was done, within the errors of what was read.
func (p *player) class(t *truth) map[string]bool {
	same := map[string]bool{}
	for name, o := range t.faults() {
		if !t.sized(o) {
			continue
		}
		alike := true
		for _, d := range p.c.Readings {
			alike = alike && p.alike(t, o, &d)
		}
		if alike {
			same[name] = true
		}
	}
	return same
}

// alike says whether two faults show the same in a reading.
func (p *player) alike(a, b *truth, d *diagnose.Reading) bool {
	near := func(x, y, sd float64) bool { return math.Abs(x-y) < 3*math.Sqrt2*sd }
	for _, l := range d.Look {
		if a.shows(l.At, l.For) != b.shows(l.At, l.For) {
			return false
		}
	}
	s := p.settingOf(d.Lineup)
	switch {
	case len(d.Look) > 0:
		return true
	case len(d.Cup) > 0:
		return near(math.Log(a.drawdown()), math.Log(b.drawdown()), 0.08)
	case len(d.Precharge) > 0:
		return near(a.charge, b.charge, math.Hypot(2, 0.5)*psi)
	case len(d.Level) > 0:
		T := d.Level[len(d.Level)-1].At.Seconds()
		return near(a.tankGain(s)*T/a.area, b.tankGain(s)*T/b.area, 0.0007)
	}
	limit := math.Max(d.NoStart.Seconds(), 2*p.rest)
	if math.IsInf(limit, 1) {
		limit = night
	}
	x, _, starts := a.cycle(s, limit)
	y, _, too := b.cycle(s, limit)
	return starts == too && (!starts || near(x, y, math.Max(0.42, 0.01*x)))
}

// shows says whether what one looks for is there to be seen.
func (t *truth) shows(at string, what diagnose.For) bool {
	for _, a := range t.at {
		switch {
		case what == diagnose.LeftOn:
			return t.cause == "tap"
		case t.cause == "tap":
			if a.part == at {
				return true
			}
		case a.look == at && at != "":
			return true
		}
	}
	return false
}
