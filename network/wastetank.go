package network

import (
	"quietpump/hydraulics/unit"
)

// A WasteTank takes what fixtures drain and feeds nothing.
type WasteTank struct {
	Name     string
	Capacity unit.Volume // zero: 40 US gal, assumed
}

func (p WasteTank) itemName() string { return p.Name }

// ID returns the part's name.
func (p WasteTank) ID() string { return p.Name }

// Kind returns "waste tank".
func (p WasteTank) Kind() string { return "waste tank" }

// Joints returns the joints at the part's ports.
func (p WasteTank) Joints() []string { return nil }

func (p WasteTank) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p WasteTank) passages(Setting) []passage { return nil }

func (p WasteTank) filled(f *filling) Part {
	fill(f, p, "capacity", &p.Capacity)
	return p
}
