package network

import (
	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
)

// Faults is what is wrong with a rig. It is never written into the rig.
type Faults []Fault

// A Fault is one of [Seep], [LostCharge], [DriftedSwitch], [SlowPump], [TrappedAir].
type Fault interface{ Faulty() string }

// A Seep lets water through or out of a part that should be tight. Through a
// shutoff, check, pump or selector it runs from the higher pressure to the
// lower; out of a fixture, appliance, drain, relief valve or vacuum breaker to
// where that part discharges; out of a joint, tube or filter to the outside.
type Seep struct {
	Part string    // a part's or a joint's name
	Pair [2]string // a selector's port pair, by joint names; zero elsewhere
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
