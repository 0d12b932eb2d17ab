package network

import (
	"fmt"
	"strings"
	"time"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
)

// A Pump is a positive-displacement diaphragm pump with intake and discharge
// valves in its head, started and stopped by a pressure switch or, where Hold is
// set, holding a pressure by its speed.
type Pump struct {
	Name     string
	From, To string
	Curve    hydraulics.PumpCurve // at 12 V; zero: a synthetic curve of a 3 gpm pump, assumed
	Voltage  unit.Voltage         // at the motor; zero: 12 V
	CutIn    unit.Pressure        // zero: 30 psi, assumed
	CutOut   unit.Pressure        // zero: 45 psi, assumed
	Delay    time.Duration        // from a crossing to the switch's move; zero: none
	Sense    string               // joint where the switch feels pressure; zero: To
	Hold     *HeldPressure        // variable speed in place of the switch; zero: a switch
	Cracking unit.Pressure        // forward pressure that opens the stopped pump's valves; zero: 2 psi, assumed
	Sealed   bool                 // ideal limit: nothing passes the stopped pump
	Bypass   Bypass
}

// HeldPressure is the control of a variable-speed pump.
type HeldPressure struct {
	Set        unit.Pressure // pressure it holds; zero: 50 psi, assumed
	Start      unit.Pressure // it starts at or below; zero: 10 psi below Set, assumed
	LeastSpeed float64       // fraction of full speed it can run at; zero: 0.2
	RunOn      time.Duration // how long it runs on at least speed once nothing is drawn; zero: 5 s
}

// A Bypass is a spring-loaded passage from a pump's outlet to its suction.
// The zero Bypass is none; one that is told in part has typical values for the rest.
type Bypass struct {
	Opens unit.Pressure // begins to open at this rise; zero: 40 psi, assumed
	Full  unit.Pressure // passes all of the pump's flow at this rise; zero: 22 psi above Opens, assumed
	// Outside says that it joins outlet to suction outside the head valves: then
	// hose pressure above Opens fills the tank of a healthy rig. Otherwise it is
	// inside them, and blind to line pressure while the pump rests.
	Outside bool
}

func (p Pump) itemName() string { return p.Name }

// ID returns the part's name.
func (p Pump) ID() string { return p.Name }

// Kind returns "pump".
func (p Pump) Kind() string { return "pump" }

// Joints returns the joints at the part's ports.
func (p Pump) Joints() []string { return []string{p.From, p.To} }

func (p Pump) stands(s Setting) (Setting, bool) {
	if s.word == "" {
		return On(), true
	}
	return s, s == On() || s == Off()
}

// passages: the head's valves hold water back whether or not the pump is
// powered; one kit, one suspect.
func (p Pump) passages(Setting) []passage { return heldBack(p.From, p.To) }

func (p Pump) filled(f *filling) Part {
	p.Curve = append(p.Curve[:0:0], p.Curve...)
	if p.Sense == "" {
		p.Sense = p.To
	}
	fill(f, p, "voltage", &p.Voltage)
	if !p.Sealed {
		fill(f, p, "cracking", &p.Cracking)
	}
	if p.Hold != nil {
		p.Hold = p.Hold.filled(f, p)
	} else {
		f.switchValues(&p)
	}
	if p.Bypass != (Bypass{}) {
		fill(f, p, "bypass.opens", &p.Bypass.Opens)
		if p.Bypass.Full == 0 {
			p.Bypass.Full = p.Bypass.Opens + bypassSpan
			f.assume(p, "bypass.full", fmt.Sprint(p.Bypass.Full), float64(5*unit.PSI), bypassSource)
		}
	}
	f.pumpCurve(&p)
	return p
}

func (h HeldPressure) filled(f *filling, p Pump) *HeldPressure {
	fill(f, p, "hold.set", &h.Set)
	if h.Start == 0 && h.Set > 0 {
		h.Start = max(h.Set-10*unit.PSI, h.Set/2)
		f.assume(p, "hold.start", fmt.Sprint(h.Start), float64(4*unit.PSI), commonPractice)
	}
	fill(f, p, "hold.least_speed", &h.LeastSpeed)
	if h.RunOn == 0 {
		h.RunOn = 5 * time.Second
		f.assume(p, "hold.run_on", h.RunOn.String(), 3, commonPractice)
	}
	return &h
}

// stopsAt is the pressure at which the pump stops.
func (p Pump) stopsAt() unit.Pressure {
	if p.Hold != nil {
		return p.Hold.Set
	}
	return p.CutOut
}

// startsAt is the pressure at which the pump starts.
func (p Pump) startsAt() unit.Pressure {
	if p.Hold != nil {
		return p.Hold.Start
	}
	return p.CutIn
}

func (p Pump) judge(j *judge) {
	if _, ok := j.Joint(p.Sense); !ok && p.Sense != "" {
		j.problems.add(p, "sense", fmt.Sprintf("its switch feels the pressure at %q, which is no joint", p.Sense)+j.suggest(p.Sense, j.jointNames), "name a joint, or leave it out for the pump's outlet")
	}
	switch h := p.Hold; {
	case h != nil && h.Start >= h.Set:
		j.problems.add(p, "hold.start", fmt.Sprintf("it starts at %s, not below the %s that it holds", fmt.Sprint(h.Start), fmt.Sprint(h.Set)), "lower the start")
	case h == nil && p.CutIn == p.CutOut:
		j.problems.add(p, "cut_in", fmt.Sprintf("cut-in and cut-out are both %s", fmt.Sprint(p.CutIn)), "set cut-in about 15 psi below cut-out")
	case h == nil && p.CutIn > p.CutOut:
		j.problems.add(p, "cut_in", fmt.Sprintf("cut-in %s is above cut-out %s", fmt.Sprint(p.CutIn), fmt.Sprint(p.CutOut)), "swap them")
	}
	if h := p.Hold; h != nil && h.LeastSpeed > 1 {
		j.problems.add(p, "hold.least_speed", "least speed is above full speed", "write it as a fraction, such as 0.2")
	} else if h != nil && h.LeastSpeed > 0 && h.LeastSpeed < leastSpeed {
		j.problems.add(p, "hold.least_speed", "least speed is next to none", "write it as a fraction, such as 0.2")
	}
	if p.Voltage > 0 && p.Voltage < leastVoltage {
		j.problems.add(p, "voltage", fmt.Sprintf("no motor runs at %s", fmt.Sprint(p.Voltage)), "write what is measured at the motor, such as 12 V")
	}
	if p.Bypass != (Bypass{}) && p.Bypass.Full <= p.Bypass.Opens {
		j.problems.add(p, "bypass.full", fmt.Sprintf("its bypass is full at %s, not above the %s at which it opens", fmt.Sprint(p.Bypass.Full), fmt.Sprint(p.Bypass.Opens)), "swap them")
	}
	if err := p.Curve.Check(); err != nil {
		j.problems.add(p, "curve", strings.ReplaceAll(err.Error(), "\n", ", "), "list its points from open flow to the rise at which it delivers nothing")
	} else if what := crowded(p.Curve); what != "" {
		j.problems.add(p, "curve", what, "leave out points that say nothing new, and see whether its units are right")
	}
}

// What a pump cannot do less than: its curve, scaled by them, keeps its shape.
const (
	leastSpeed   = 0.001
	leastVoltage = 0.1 * unit.Volt
	leastFlow    = 1e-9  // m³/s, open
	leastRise    = 1     // Pa, shut
	apart        = 1e-13 // of the whole, between two points
)

// crowded says whether a curve's points are too near one another to draw a line
// through, or all of it is next to nothing.
func crowded(c hydraulics.PumpCurve) string {
	open, shut := c[0].Flow, c[len(c)-1].Rise
	if open < leastFlow || shut < leastRise {
		return fmt.Sprintf("its curve, up to %s and %s, is next to nothing", fmt.Sprint(open), fmt.Sprint(shut))
	}
	for i := 1; i < len(c); i++ {
		if c[i-1].Flow-c[i].Flow < apart*open || c[i].Rise-c[i-1].Rise < apart*shut {
			return fmt.Sprintf("pump curve point %d is the one before it", i+1)
		}
	}
	return ""
}
