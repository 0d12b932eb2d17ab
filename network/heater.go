package network

import (
	"fmt"

	"quietpump/hydraulics/unit"
)

// A Heater is a water heater: stored water at one temperature. Every heater
// needs a [ReliefValve] that no shutoff can part from it.
type Heater struct {
	Name     string
	At       string
	Volume   unit.Volume // zero: 6 US gal, tankless 0.5 L, assumed
	Air      unit.Volume // cushion of air, at atmospheric pressure; zero: none
	Tankless bool        // next to no stored water
	// Compliance of shell and water; zero: from Volume. Rigid: none.
	Compliance unit.Compliance
	Rigid      bool
	// Expansion is the net volumetric expansion per kelvin, water less shell;
	// zero stays zero and means the water's own, which changes with its
	// temperature, less an aluminium shell's; negative: none.
	Expansion float64
}

func (p Heater) itemName() string { return p.Name }

// ID returns the part's name.
func (p Heater) ID() string { return p.Name }

// Kind returns "heater".
func (p Heater) Kind() string { return "heater" }

// Joints returns the joints at the part's ports.
func (p Heater) Joints() []string { return []string{p.At} }

func (p Heater) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p Heater) passages(Setting) []passage { return nil }

func (p Heater) filled(f *filling) Part {
	if p.Tankless && p.Volume == 0 {
		p.Volume = tanklessVolume
		f.assume(p, "volume", fmt.Sprint(p.Volume), float64(0.2*unit.Litre), commonPractice)
	}
	fill(f, p, "volume", &p.Volume)
	if p.Compliance == 0 && !p.Rigid && p.Volume > 0 {
		p.Compliance = unit.Compliance(heaterStretch * float64(p.Volume))
		f.derive(p, "compliance", fmt.Sprint(p.Compliance), 0.5*float64(p.Compliance), commonPractice)
	}
	return p
}
