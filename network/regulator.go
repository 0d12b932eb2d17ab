package network

import (
	"quietpump/hydraulics/unit"
)

// A Regulator holds the pressure at To down to Set while water flows forward.
type Regulator struct {
	Name     string
	From, To string
	Set      unit.Pressure // outlet pressure at no flow; zero: 45 psi, assumed
	// Droop is the fall of the outlet pressure at DroopAt; zero: none, an ideal
	// regulator.
	Droop   unit.Pressure
	DroopAt unit.Flow   // zero: 2 gpm
	Check   bool        // it has a check and passes nothing backward
	Bore    unit.Length // zero: 1/2 in tube's, assumed
	K       float64     // fully open; zero: 10, assumed
	Cv      float64     // where given it rules over Bore and K
}

func (p Regulator) itemName() string { return p.Name }

// ID returns the part's name.
func (p Regulator) ID() string { return p.Name }

// Kind returns "regulator".
func (p Regulator) Kind() string { return "regulator" }

// Joints returns the joints at the part's ports.
func (p Regulator) Joints() []string { return []string{p.From, p.To} }

func (p Regulator) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p Regulator) passages(Setting) []passage {
	if p.Check {
		return heldBack(p.From, p.To)
	}
	return through(p.From, p.To)
}

func (p Regulator) filled(f *filling) Part {
	fill(f, p, "set", &p.Set)
	if p.Droop != 0 {
		fill(f, p, "droop_at", &p.DroopAt)
	}
	fillValve(f, p, &p.Bore, &p.K, p.Cv)
	return p
}
