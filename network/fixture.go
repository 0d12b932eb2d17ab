package network

import (
	"quietpump/hydraulics/unit"
)

// A Fixture is a tap, shower head or toilet valve: it lets water out and none
// in: q = opening·Rated·√(p/RatedAt).
type Fixture struct {
	Name    string
	At      string
	Rated   unit.Flow     // fully open at RatedAt; zero: 1.5 gpm, assumed
	RatedAt unit.Pressure // zero: 45 psi
	Toilet  bool          // a toilet's valve, for the order of suspicion
	Into    string        // waste tank it drains to; zero: the ground or a drain out of sight
}

func (p Fixture) itemName() string { return p.Name }

// ID returns the part's name.
func (p Fixture) ID() string { return p.Name }

// Kind returns "fixture".
func (p Fixture) Kind() string { return "fixture" }

// Joints returns the joints at the part's ports.
func (p Fixture) Joints() []string { return []string{p.At} }

func (p Fixture) stands(s Setting) (Setting, bool) { return valveStands(s, Shut()) }

func (p Fixture) passages(s Setting) []passage {
	if p.Into != "" || p.Toilet {
		return outlet(p.At, ToWasteTank, p.Into, s)
	}
	return outlet(p.At, ToGround, "", s)
}

func (p Fixture) filled(f *filling) Part {
	fill(f, p, "rated", &p.Rated)
	fill(f, p, "rated_at", &p.RatedAt)
	return p
}

func (p Fixture) judge(j *judge) { j.waste(p, p.Into) }
