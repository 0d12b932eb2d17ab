// Package tolerance tells which numbers of a rig are not known exactly, and draws
// rigs that could be the real one.
//
//	unknowns := tolerance.InCycle(rig)
//	other, err := tolerance.Draw(rig, unknowns, scores) // one standard normal score each
package tolerance

import (
	"fmt"
	"math"
	"slices"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// An Unknown is one number of a rig that is not known exactly, and how far it
// could be off.
type Unknown struct {
	Part  string  `json:"part"`  // part or joint; "" for what is common to all tubes
	Field string  `json:"field"` // in the words of rig files
	Value float64 `json:"value"` // in SI units; of a curve and of Stretch a factor, 1
	SD    float64 `json:"sd"`    // one standard deviation, in the unit of Value
	Known Known   `json:"known"`
}

// Known is how well a number is known.
type Known string

// How well a number is known.
const (
	Told    Known = "told with its tolerance"
	Usual   Known = "told, and the usual tolerance for it"
	Assumed Known = "assumed, not told"
)

// Stretch is the field of the one [Unknown] that has no part: a factor on the
// stretch of every tube, whose walls are of one make.
const Stretch = "stretch of the lines"

// The usual tolerance of what was told without one, a standard deviation. The
// switch's is published as ± 5 psi; the others are judgements. All: common
// practice, no source.
const (
	usualSwitch  = 2.5 * unit.PSI
	usualCharge  = 1 * unit.PSI // a tyre gauge's bias of 2 psi, 95 %
	usualCurve   = 0.1          // of the flow
	usualVolume  = 0.05         // of an accumulator's
	usualStretch = 0.35         // of a compliance, or of trapped air
)

// usual has the usual tolerances by kind of part and field; those below 1 are
// fractions of the value.
var usual = map[string]float64{
	"pump.cut_in": float64(usualSwitch), "pump.cut_out": float64(usualSwitch),
	"pump.hold.set": float64(usualSwitch), "pump.hold.start": float64(usualSwitch),
	"pump.curve":            usualCurve,
	"accumulator.precharge": float64(usualCharge), "accumulator.volume": usualVolume,
	"air pocket.volume": usualStretch, "heater.air": usualStretch, "heater.compliance": usualStretch,
}

// sayInCycle are the fields that have a say in how long a pump rests and runs.
var sayInCycle = []string{
	"pump.curve", "pump.voltage", "pump.cut_in", "pump.cut_out", "pump.hold.set", "pump.hold.start",
	"accumulator.volume", "accumulator.precharge", "accumulator.exponent",
	"air pocket.volume", "air pocket.exponent", "heater.air", "heater.compliance", "elastic.compliance",
}

// Unknowns lists every number of the rig that is not known exactly, in order of
// part and field: what a tolerance was told for, what is assumed, and what was
// told without a tolerance where there is a usual one. What follows from another
// number by a table or law is left out, but for the stretch of heaters and of
// the lines.
func Unknowns(rig *network.Rig) []Unknown {
	derived, assumed := map[[2]string]bool{}, map[[2]string]bool{}
	for _, a := range rig.Assumed() {
		derived[[2]string{a.Part, a.Field}] = a.Derived
		assumed[[2]string{a.Part, a.Field}] = !a.Derived
	}
	var list []Unknown
	add := func(item network.Item, name, kind string) {
		for _, field := range network.Numbers(item) {
			key := [2]string{name, field}
			value, _ := network.Number(item, field)
			u := Unknown{Part: name, Field: field, Value: value, Known: Told}
			sd, ok := rig.SD(name, field)
			switch {
			case derived[key] && (kind != "heater" || field != "compliance"):
				continue
			case ok && (assumed[key] || derived[key]):
				u.Known, u.SD = Assumed, sd
			case ok:
				u.SD = sd
			default:
				width, has := usual[kind+"."+field]
				if !has || value == 0 {
					continue
				}
				if width < 1 {
					width *= value
				}
				u.Known, u.SD = Usual, width
			}
			if u.SD > 0 {
				list = append(list, u)
			}
		}
	}
	inTank := map[string]bool{} // ports in a tank's wall go with the tank
	for _, p := range rig.Parts() {
		if p, ok := p.(network.Tank); ok {
			for _, j := range p.Ports {
				inTank[j] = true
			}
		}
	}
	stretches := false
	for _, p := range rig.Parts() {
		add(p, p.ID(), p.Kind())
		t, ok := p.(network.Tube)
		stretches = stretches || ok && t.Compliance > 0
	}
	for _, j := range rig.Joints() {
		if !inTank[j.Name] || !assumed[[2]string{j.Name, "z"}] {
			add(j, j.Name, "joint")
		}
	}
	if stretches {
		list = append(list, Unknown{Field: Stretch, Value: 1, SD: usualStretch, Known: Assumed})
	}
	return list
}

// InCycle lists those of [Unknowns] that have a say in how long a pump
// rests and runs: its switch, curve and voltage, and all that stores water under
// pressure.
func InCycle(rig *network.Rig) []Unknown {
	return slices.DeleteFunc(Unknowns(rig), func(u Unknown) bool {
		p, ok := rig.Part(u.Part)
		return u.Part != "" && (!ok || !slices.Contains(sayInCycle, p.Kind()+"."+u.Field))
	})
}

// String returns the part and field, such as "accumulator: precharge".
func (u Unknown) String() string {
	if u.Part == "" {
		return u.Field
	}
	return u.Part + ": " + u.Field
}

// At returns the value that a standard normal score stands for. It is normal
// where four standard deviations lie between the value and zero, or where it may
// be negative; else it is log-normal with the value as its median and SD/Value
// as its coefficient of variation.
func (u Unknown) At(z float64) float64 {
	if u.Field == "z" || u.Field == "floor" || u.Value == 0 || math.Abs(u.Value) >= 4*u.SD && u.Field != "curve" && u.Part != "" {
		x := u.Value + z*u.SD
		if u.Value > 0 { // the far tail must not turn the sign
			x = max(x, u.Value/100)
		}
		return x
	}
	ratio := u.SD / u.Value
	return u.Value * math.Exp(z*math.Sqrt(math.Log1p(ratio*ratio)))
}

// leastSpan is the least distance of cut-in from cut-out that is drawn, unless the
// rig's own is less: switches have 5 to 20 psi; common practice, no source.
const leastSpan = 5 * unit.PSI

// Draw returns the rig with its unknowns turned by scores: one rig that could be
// the real one. A score of 0 is the value itself, ±2 its 95 % interval. What
// physics asks for is kept: a pump starts below where it stops, a gas exponent
// lies between 1 and 1.4. A rig that cannot be is refused, as by network.New.
// The drawn rig has no tolerances: it is known exactly.
func Draw(rig *network.Rig, unknowns []Unknown, z []float64) (*network.Rig, error) {
	d, err := drawn(rig, unknowns, z)
	if err != nil {
		return nil, err
	}
	return d.Rig()
}

// DrawParts returns the parts of the rig that [Draw] makes, in order of name,
// without asking whether such a rig can be.
func DrawParts(rig *network.Rig, unknowns []Unknown, z []float64) ([]network.Part, error) {
	d, err := drawn(rig, unknowns, z)
	if err != nil {
		return nil, err
	}
	var parts []network.Part
	for _, item := range d.items {
		if p, ok := item.(network.Part); ok {
			parts = append(parts, p)
		}
	}
	return parts, nil
}

func drawn(rig *network.Rig, unknowns []Unknown, z []float64) (*Draft, error) {
	if len(unknowns) != len(z) {
		return nil, fmt.Errorf("tolerance: %d scores for %d unknowns; give one each", len(z), len(unknowns))
	}
	d := NewDraft(rig)
	for i, u := range unknowns {
		if u.Part == "" && u.Field == Stretch {
			d.stretch(u.At(z[i]))
			continue
		}
		if err := d.Set(u.Part, u.Field, u.At(z[i])); err != nil {
			return nil, err
		}
	}
	d.settle(rig)
	return d, nil
}
