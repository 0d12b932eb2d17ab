package network

import (
	"quietpump/hydraulics/unit"
)

// A Hookup is the city-water inlet and the hose on it. Its inlet check and its
// regulator are parts of their own.
type Hookup struct {
	Name    string
	At      string
	Static  unit.Pressure // at the spigot with no flow; zero: 50 psi, assumed
	Droop   unit.Pressure // fall at DroopAt; zero: 10 psi, assumed
	DroopAt unit.Flow     // zero: 2 gpm
	Ideal   bool          // no droop: the pressure is held whatever flows
}

func (p Hookup) itemName() string { return p.Name }

// ID returns the part's name.
func (p Hookup) ID() string { return p.Name }

// Kind returns "hookup".
func (p Hookup) Kind() string { return "hookup" }

// Joints returns the joints at the part's ports.
func (p Hookup) Joints() []string { return []string{p.At} }

func (p Hookup) stands(s Setting) (Setting, bool) {
	switch s.word {
	case "", "off":
		return Off(), true
	case "shut":
		return ShutAtSpigot(), true
	case "on", "capped", "shut at spigot":
		return s, true
	}
	return Setting{}, false
}

func (p Hookup) passages(s Setting) []passage {
	switch s.word {
	case "on", "shut at spigot":
		return outlet(p.At, ToHose, p.Name, s)
	case "off":
		return outlet(p.At, ToGround, p.Name, s)
	}
	return nil
}

func (p Hookup) filled(f *filling) Part {
	fill(f, p, "static", &p.Static)
	if !p.Ideal {
		fill(f, p, "droop", &p.Droop)
		fill(f, p, "droop_at", &p.DroopAt)
	}
	return p
}
