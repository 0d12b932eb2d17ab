package network

import (
	"fmt"

	"quietpump/hydraulics/unit"
)

// A Tank is the vented fresh-water tank.
type Tank struct {
	Name     string
	Ports    []string    // joints in its wall, which are this tank's alone; the first is the outlet the pump draws from
	Capacity unit.Volume // zero: 40 US gal, assumed
	Height   unit.Length // from floor to the level at which it is full; zero: 0.25 m, assumed
	Floor    unit.Length // elevation of its floor; zero means 0, the datum
	Spills   string      // where the overflow goes; zero: "ground"
}

// A WasteTank takes what fixtures drain and feeds nothing.
type WasteTank struct {
	Name     string
	Capacity unit.Volume // zero: 40 US gal, assumed
}

// An Accumulator holds water against a gas charge behind a bladder. Below its
// precharge it holds none.
type Accumulator struct {
	Name      string
	At        string
	Volume    unit.Volume   // gas volume with no water; zero: 0.75 L, assumed
	Precharge unit.Pressure // with the water side empty; zero: 3 psi below the lowest cut-in, assumed
	Exponent  float64       // n of pVⁿ; zero: 1, slow
}

// An AirPocket is gas trapped in the plumbing.
type AirPocket struct {
	Name     string
	At       string
	Volume   unit.Volume // at atmospheric pressure; zero: 100 mL, assumed
	Exponent float64     // n of pVⁿ; zero: 1, slow
}

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

// An Elastic is a lump of stretch at a joint, given outright.
type Elastic struct {
	Name       string
	At         string
	Compliance unit.Compliance
}

func (p Tank) itemName() string { return p.Name }

// ID returns the part's name.
func (p Tank) ID() string { return p.Name }

// Kind returns "tank".
func (p Tank) Kind() string { return "tank" }

// Joints returns the joints at the part's ports.
func (p Tank) Joints() []string { return p.Ports }

func (p WasteTank) itemName() string { return p.Name }

// ID returns the part's name.
func (p WasteTank) ID() string { return p.Name }

// Kind returns "waste tank".
func (p WasteTank) Kind() string { return "waste tank" }

// Joints returns the joints at the part's ports.
func (p WasteTank) Joints() []string { return nil }

func (p Accumulator) itemName() string { return p.Name }

// ID returns the part's name.
func (p Accumulator) ID() string { return p.Name }

// Kind returns "accumulator".
func (p Accumulator) Kind() string { return "accumulator" }

// Joints returns the joints at the part's ports.
func (p Accumulator) Joints() []string { return []string{p.At} }

func (p AirPocket) itemName() string { return p.Name }

// ID returns the part's name.
func (p AirPocket) ID() string { return p.Name }

// Kind returns "air pocket".
func (p AirPocket) Kind() string { return "air pocket" }

// Joints returns the joints at the part's ports.
func (p AirPocket) Joints() []string { return []string{p.At} }

func (p Heater) itemName() string { return p.Name }

// ID returns the part's name.
func (p Heater) ID() string { return p.Name }

// Kind returns "heater".
func (p Heater) Kind() string { return "heater" }

// Joints returns the joints at the part's ports.
func (p Heater) Joints() []string { return []string{p.At} }

func (p Elastic) itemName() string { return p.Name }

// ID returns the part's name.
func (p Elastic) ID() string { return p.Name }

// Kind returns "elastic".
func (p Elastic) Kind() string { return "elastic" }

// Joints returns the joints at the part's ports.
func (p Elastic) Joints() []string { return []string{p.At} }

func (p Tank) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p Tank) passages(Setting) []passage {
	out := make([]passage, len(p.Ports))
	for i, port := range p.Ports {
		out[i] = passage{from: port, end: ToFreshTank, where: p.Name, oneWay: true}
	}
	return out
}

func (p Tank) filled(f *filling) Part {
	p.Ports = append(p.Ports[:0:0], p.Ports...)
	fill(f, p, "capacity", &p.Capacity)
	fill(f, p, "height", &p.Height)
	if p.Spills == "" {
		p.Spills = string(ToGround)
	}
	return p
}

func (p WasteTank) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p WasteTank) passages(Setting) []passage { return nil }

func (p WasteTank) filled(f *filling) Part {
	fill(f, p, "capacity", &p.Capacity)
	return p
}

func (p Accumulator) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p Accumulator) passages(Setting) []passage { return nil }

func (p Accumulator) filled(f *filling) Part {
	fill(f, p, "volume", &p.Volume)
	fill(f, p, "exponent", &p.Exponent)
	f.precharge(&p)
	return p
}

func (p AirPocket) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p AirPocket) passages(Setting) []passage { return nil }

func (p AirPocket) filled(f *filling) Part {
	fill(f, p, "volume", &p.Volume)
	fill(f, p, "exponent", &p.Exponent)
	return p
}

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

func (p Elastic) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p Elastic) passages(Setting) []passage { return nil }

func (p Elastic) filled(*filling) Part { return p }
