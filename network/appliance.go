package network

import (
	"quietpump/hydraulics/unit"
)

// An Appliance is a powered valve that draws by itself: an icemaker, a washer.
type Appliance struct {
	Name    string
	At      string
	Rated   unit.Flow     // open at RatedAt; zero: 0.5 gpm, assumed
	RatedAt unit.Pressure // zero: 45 psi
	Into    string        // waste tank it drains to; zero: none
}

func (p Appliance) itemName() string { return p.Name }

// ID returns the part's name.
func (p Appliance) ID() string { return p.Name }

// Kind returns "appliance".
func (p Appliance) Kind() string { return "appliance" }

// Joints returns the joints at the part's ports.
func (p Appliance) Joints() []string { return []string{p.At} }

func (p Appliance) stands(s Setting) (Setting, bool) { return valveStands(s, Shut()) }

func (p Appliance) passages(s Setting) []passage { return outlet(p.At, ToAppliance, p.Name, s) }

func (p Appliance) filled(f *filling) Part {
	fill(f, p, "rated", &p.Rated)
	fill(f, p, "rated_at", &p.RatedAt)
	return p
}

func (p Appliance) judge(j *judge) { j.waste(p, p.Into) }
