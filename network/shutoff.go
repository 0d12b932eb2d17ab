package network

import (
	"quietpump/hydraulics/unit"
)

// A Shutoff is a hand valve between two joints.
type Shutoff struct {
	Name     string
	From, To string
	Shut     bool        // how it stands when nobody has touched it; zero: open
	Bore     unit.Length // zero: 1/2 in tube's, assumed
	K        float64     // loss coefficient when fully open, on Bore; zero: a full-bore ball valve's
	Cv       float64     // US gpm at 1 psi; where given it rules over Bore and K
}

func (p Shutoff) itemName() string { return p.Name }

// ID returns the part's name.
func (p Shutoff) ID() string { return p.Name }

// Kind returns "shutoff".
func (p Shutoff) Kind() string { return "shutoff" }

// Joints returns the joints at the part's ports.
func (p Shutoff) Joints() []string { return []string{p.From, p.To} }

func (p Shutoff) stands(s Setting) (Setting, bool) {
	if p.Shut {
		return valveStands(s, Shut())
	}
	return valveStands(s, Open(1))
}

func (p Shutoff) passages(s Setting) []passage {
	return []passage{{from: p.From, to: p.To, tight: s.word == "shut"}}
}

func (p Shutoff) filled(f *filling) Part {
	fillValve(f, p, &p.Bore, &p.K, p.Cv)
	return p
}
