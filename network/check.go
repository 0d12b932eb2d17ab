package network

import (
	"quietpump/hydraulics/unit"
)

// A Check passes water forward, from From to To, and holds it back the other way.
type Check struct {
	Name     string
	From, To string
	Bore     unit.Length   // zero: 1/2 in tube's, assumed
	K        float64       // loss coefficient when open; zero: a typical spring check's
	Cv       float64       // where given it rules over Bore and K
	Cracking unit.Pressure // zero: opens at once
}

func (p Check) itemName() string { return p.Name }

// ID returns the part's name.
func (p Check) ID() string { return p.Name }

// Kind returns "check".
func (p Check) Kind() string { return "check" }

// Joints returns the joints at the part's ports.
func (p Check) Joints() []string { return []string{p.From, p.To} }

func (p Check) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p Check) passages(Setting) []passage { return heldBack(p.From, p.To) }

func (p Check) filled(f *filling) Part {
	fillValve(f, p, &p.Bore, &p.K, p.Cv)
	return p
}
