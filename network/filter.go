package network

import (
	"quietpump/hydraulics/unit"
)

// A Filter is a cartridge in its housing. Its O-ring can weep.
type Filter struct {
	Name     string
	From, To string
	Drop     unit.Pressure // at At; zero: 3 psi, assumed
	At       unit.Flow     // zero: 2 gpm
	Air      unit.Volume   // air trapped in the housing at atmospheric pressure; zero: none
}

func (p Filter) itemName() string { return p.Name }

// ID returns the part's name.
func (p Filter) ID() string { return p.Name }

// Kind returns "filter".
func (p Filter) Kind() string { return "filter" }

// Joints returns the joints at the part's ports.
func (p Filter) Joints() []string { return []string{p.From, p.To} }

func (p Filter) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p Filter) passages(Setting) []passage { return through(p.From, p.To) }

func (p Filter) filled(f *filling) Part {
	fill(f, p, "drop", &p.Drop)
	fill(f, p, "at", &p.At)
	return p
}
