package network

import (
	"quietpump/hydraulics/unit"
)

// A Strainer is a screen ahead of a pump or valve.
type Strainer struct {
	Name     string
	From, To string
	Drop     unit.Pressure // at At; zero: 0.5 psi, assumed
	At       unit.Flow     // zero: 2 gpm
}

func (p Strainer) itemName() string { return p.Name }

// ID returns the part's name.
func (p Strainer) ID() string { return p.Name }

// Kind returns "strainer".
func (p Strainer) Kind() string { return "strainer" }

// Joints returns the joints at the part's ports.
func (p Strainer) Joints() []string { return []string{p.From, p.To} }

func (p Strainer) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p Strainer) passages(Setting) []passage { return through(p.From, p.To) }

func (p Strainer) filled(f *filling) Part {
	fill(f, p, "drop", &p.Drop)
	fill(f, p, "at", &p.At)
	return p
}
