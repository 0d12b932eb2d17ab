package network

import (
	"strconv"
	"strings"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
)

// Faults is what is wrong with a rig. It is never written into the rig.
type Faults []Fault

// A Fault is one of [Seep], [LostCharge], [DriftedSwitch], [SlowPump], [TrappedAir].
type Fault interface {
	// Faulty returns the name of the part or joint at fault.
	Faulty() string
	// String writes the fault as ParseFault reads it.
	String() string
	// judge says what the rig has against it.
	judge(*Rig) (against Problem, ok bool)
}

// A Seep lets water through or out of a part that should be tight. Through a
// shutoff it runs from the higher pressure to the lower, likewise through a
// selector or mixer between the ports named; through a check, a pump's head, a
// hand pump or a regulator with a check it runs backward; out of a fixture,
// appliance, drain, relief valve or vacuum breaker to where that part
// discharges; out of a joint, tube or filter to the outside.
type Seep struct {
	Part string    // a part's or a joint's name; where they share one, the part is meant
	Pair [2]string // a selector's or mixer's port pair, by joint names; zero elsewhere
	hydraulics.Seep
}

// A LostCharge is an accumulator whose gas charge is not the rig's.
type LostCharge struct {
	Part      string
	Precharge unit.Pressure
}

// A DriftedSwitch is a pump switch whose settings are not the rig's. A zero
// field keeps the rig's.
type DriftedSwitch struct {
	Part          string
	CutIn, CutOut unit.Pressure
}

// A SlowPump delivers Speed times its curve.
type SlowPump struct {
	Part  string
	Speed float64
}

// TrappedAir is gas at a joint where water should be.
type TrappedAir struct {
	Joint  string
	Volume unit.Volume // at atmospheric pressure
}

// Faulty returns the name of the part or joint at fault.
func (f Seep) Faulty() string { return f.Part }

// Faulty returns the name of the part at fault.
func (f LostCharge) Faulty() string { return f.Part }

// Faulty returns the name of the part at fault.
func (f DriftedSwitch) Faulty() string { return f.Part }

// Faulty returns the name of the part at fault.
func (f SlowPump) Faulty() string { return f.Part }

// Faulty returns the name of the joint at fault.
func (f TrappedAir) Faulty() string { return f.Joint }

// String writes the seep, such as "fill valve: 55 mL/min at 45 psi, orifice".
func (f Seep) String() string {
	head := quoted(f.Part)
	if f.Pair != ([2]string{}) {
		head += " " + quotedPort(f.Pair[0]) + "-" + quotedPort(f.Pair[1])
	}
	return head + ": " + seepText(f.Seep)
}

// String writes the fault, such as "accumulator: precharge 0 psi".
func (f LostCharge) String() string {
	return quoted(f.Part) + ": precharge " + unit.Rewrite("1 psi", f.Precharge)
}

// String writes the fault, such as "pump: cut-in 25 psi, cut-out 40 psi".
func (f DriftedSwitch) String() string {
	var settings []string
	if f.CutIn != 0 || f.CutOut == 0 {
		settings = append(settings, "cut-in "+unit.Rewrite("1 psi", f.CutIn))
	}
	if f.CutOut != 0 {
		settings = append(settings, "cut-out "+unit.Rewrite("1 psi", f.CutOut))
	}
	return quoted(f.Part) + ": " + strings.Join(settings, ", ")
}

// String writes the fault, such as "pump: 70 % speed".
func (f SlowPump) String() string { return quoted(f.Part) + ": " + percent(f.Speed) + " % speed" }

// String writes the fault, such as "tee: air 200 mL".
func (f TrappedAir) String() string {
	return quoted(f.Joint) + ": air " + unit.Rewrite("1 mL", f.Volume)
}

// seepText writes a seep as hydraulics.ParseSeep reads it, and an exponent that
// has no name as "n 0.7".
func seepText(s hydraulics.Seep) string {
	if s.Tight() {
		return "tight"
	}
	at := s.At
	if at == 0 {
		at = 45 * unit.PSI
	}
	text := unit.Rewrite("1 mL/min", s.Ref) + " at " + unit.Rewrite("1 psi", at)
	switch s.Exp {
	case 0:
		return text
	case 0.5:
		return text + ", orifice"
	case 1:
		return text + ", film"
	case 1.5:
		return text + ", crack"
	}
	return text + ", n " + strconv.FormatFloat(s.Exp, 'g', -1, 64)
}
