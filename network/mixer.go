package network

import (
	"quietpump/hydraulics/unit"
)

// A Mixer joins hot and cold to one spout. The spout's own head is a [Fixture]
// at joint Spout: handles on with the head shut is an open crossover.
type Mixer struct {
	Name             string
	Hot, Cold, Spout string
	Bore             unit.Length // zero: 3/8 in tube's, assumed
	K                float64     // each side, fully open; zero: 5, assumed
	Cv               float64     // where given it rules over Bore and K
}

func (p Mixer) itemName() string { return p.Name }

// ID returns the part's name.
func (p Mixer) ID() string { return p.Name }

// Kind returns "mixer".
func (p Mixer) Kind() string { return "mixer" }

// Joints returns the joints at the part's ports.
func (p Mixer) Joints() []string { return []string{p.Hot, p.Cold, p.Spout} }

func (p Mixer) stands(s Setting) (Setting, bool) {
	if s.word == "hot" || s.word == "cold" {
		return s, true
	}
	return valveStands(s, Shut())
}

// passages: with both handles open hot and cold meet at the spout, whether or
// not water leaves there.
func (p Mixer) passages(s Setting) []passage {
	return []passage{
		{from: p.Hot, to: p.Spout, tight: s.word == "shut" || s.word == "cold", pair: [2]string{p.Hot, p.Spout}},
		{from: p.Cold, to: p.Spout, tight: s.word == "shut" || s.word == "hot", pair: [2]string{p.Cold, p.Spout}},
	}
}

func (p Mixer) filled(f *filling) Part {
	fillValve(f, p, &p.Bore, &p.K, p.Cv)
	return p
}
