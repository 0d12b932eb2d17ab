package network

import (
	"quietpump/hydraulics/unit"
)

// A Drain opens to the air: a low-point drain, a drain cock.
type Drain struct {
	Name string
	At   string
	Bore unit.Length // zero: 3/8 in tube's, assumed
	K    float64     // fully open, on Bore; zero: 2
	Cv   float64     // where given it rules over Bore and K
	Into string      // place it runs to; zero: "ground"
}

func (p Drain) itemName() string { return p.Name }

// ID returns the part's name.
func (p Drain) ID() string { return p.Name }

// Kind returns "drain".
func (p Drain) Kind() string { return "drain" }

// Joints returns the joints at the part's ports.
func (p Drain) Joints() []string { return []string{p.At} }

func (p Drain) stands(s Setting) (Setting, bool) { return valveStands(s, Shut()) }

func (p Drain) passages(s Setting) []passage { return outlet(p.At, ToGround, p.Into, s) }

func (p Drain) filled(f *filling) Part {
	fillValve(f, p, &p.Bore, &p.K, p.Cv)
	if p.Into == "" {
		p.Into = string(ToGround)
	}
	return p
}
