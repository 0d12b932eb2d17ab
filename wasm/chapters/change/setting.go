package change

import (
	"errors"
	"math"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/wasm/chapters/stage"
)

// A setting is what the hand has set, apart from how the valves stand.
type setting struct {
	Seep   string    `json:"seep,omitempty"`   // what lets water by, by its mark; empty: nothing
	Size   unit.Flow `json:"size"`             // at 45 psi
	Bottle float64   `json:"bottle,omitempty"` // the accumulator's volume, m³; 0: as the rig has it; negative: none
	Air    string    `json:"air,omitempty"`    // left in it: "half", "none"; empty: as much as should be
}

// The slides go from least to most by equal factors.
const (
	leastSeep   = 2 * unit.MillilitrePerMinute
	mostSeep    = 1 * unit.LitrePerMinute
	leastBottle = 100 * unit.Millilitre
	mostBottle  = 10 * unit.Litre
	noBottle    = 0.04 // below this place of the slide there is none
)

func slideTo[Q ~float64](x float64, least, most Q) Q {
	return least * Q(math.Pow(float64(most/least), x))
}

func slideAt[Q ~float64](v, least, most Q) float64 {
	return math.Min(math.Max(math.Log(float64(v/least))/math.Log(float64(most/least)), 0), 1)
}

// check refuses what could not have been set by hand.
func (s setting) check() error {
	switch {
	case !(s.Size >= 0 && s.Size <= 10*mostSeep):
		return errors.New("change: no seep as large can be set here")
	case !(s.Bottle <= float64(mostBottle)*1.001):
		return errors.New("change: no accumulator as large can be set here")
	}
	return nil
}

// mark tells one suspect from another.
func mark(f network.Seep) string {
	if f.Pair != [2]string{} {
		return f.Part + " " + f.Pair[0] + "-" + f.Pair[1]
	}
	return f.Part
}

// faults are what is wrong with a rig by the setting.
func (s setting) faults(rig *network.Rig) network.Faults {
	var fs network.Faults
	for _, p := range rig.Suspects(nil) {
		if s.Seep != "" && s.Size > 0 && mark(p.Seep) == s.Seep {
			f := p.Seep
			f.Seep = hydraulics.Seep{Ref: s.Size, At: 45 * unit.PSI}
			fs = append(fs, f)
			break
		}
	}
	if a, ok := bottle(rig); ok && s.Air != "" {
		lost := network.LostCharge{Part: a.Name}
		if s.Air == "half" {
			lost.Precharge = a.Precharge / 2
		}
		fs = append(fs, lost)
	}
	return fs
}

// bottle is a rig's accumulator.
func bottle(rig *network.Rig) (network.Accumulator, bool) { return firstOf[network.Accumulator](rig) }

// firstOf is the first part of a kind.
func firstOf[P network.Part](rig *network.Rig) (p P, ok bool) {
	for _, q := range rig.Parts() {
		if p, ok := q.(P); ok {
			return p, true
		}
	}
	return p, false
}

// likeliest is the mark of the part by which water most likely slips back.
func likeliest(rig *network.Rig) string {
	s, _ := stage.Likeliest(rig)
	return mark(s.Seep)
}

// fitted is a rig with the accumulator that is set: the one it has in another size,
// one put in behind its pump, or none.
func (s setting) fitted(rig *network.Rig) (*network.Rig, error) {
	if s.Bottle == 0 {
		return rig, nil
	}
	var items []network.Item
	found := false
	for _, p := range rig.Parts() {
		if a, ok := p.(network.Accumulator); ok {
			if s.Bottle < 0 || found {
				continue
			}
			found = true
			a.Volume = unit.Volume(s.Bottle)
			p = a
		}
		items = append(items, p)
	}
	for _, j := range rig.Joints() {
		items = append(items, j)
	}
	if pump, ok := firstOf[network.Pump](rig); ok && !found && s.Bottle > 0 {
		items = append(items, network.Accumulator{Name: "accumulator", At: pump.To, Volume: unit.Volume(s.Bottle)})
	}
	return network.New(rig.Name(), items...)
}
