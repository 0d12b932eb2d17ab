package network

import (
	"quietpump/hydraulics/unit"
)

// An AirPocket is gas trapped in the plumbing.
type AirPocket struct {
	Name     string
	At       string
	Volume   unit.Volume // at atmospheric pressure; zero: 100 mL, assumed
	Exponent float64     // n of pVⁿ; zero: 1, slow
}

func (p AirPocket) itemName() string { return p.Name }

// ID returns the part's name.
func (p AirPocket) ID() string { return p.Name }

// Kind returns "air pocket".
func (p AirPocket) Kind() string { return "air pocket" }

// Joints returns the joints at the part's ports.
func (p AirPocket) Joints() []string { return []string{p.At} }

func (p AirPocket) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p AirPocket) passages(Setting) []passage { return nil }

func (p AirPocket) filled(f *filling) Part {
	fill(f, p, "volume", &p.Volume)
	fill(f, p, "exponent", &p.Exponent)
	return p
}
