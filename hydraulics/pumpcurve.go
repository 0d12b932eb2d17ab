package hydraulics

import "quietpump/hydraulics/unit"

// A PumpPoint is one point of a pump's curve at its rated voltage.
type PumpPoint struct {
	Rise    unit.Pressure // outlet pressure above inlet pressure
	Flow    unit.Flow
	Current unit.Current // zero: not known
}

// A PumpCurve is a diaphragm pump's flow against pressure rise at rated
// voltage, in order of falling flow and rising pressure. Two points make a line.
type PumpCurve []PumpPoint
