package network

import (
	"quietpump/hydraulics/unit"
)

// A HandPump is two checks and a stroke.
type HandPump struct {
	Name     string
	From, To string
	Stroke   unit.Volume   // delivered by one stroke; zero: 100 mL, assumed
	Cracking unit.Pressure // of each check; zero: none
}

func (p HandPump) itemName() string { return p.Name }

// ID returns the part's name.
func (p HandPump) ID() string { return p.Name }

// Kind returns "hand pump".
func (p HandPump) Kind() string { return "hand pump" }

// Joints returns the joints at the part's ports.
func (p HandPump) Joints() []string { return []string{p.From, p.To} }

func (p HandPump) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p HandPump) passages(Setting) []passage { return heldBack(p.From, p.To) }

func (p HandPump) filled(f *filling) Part {
	fill(f, p, "stroke", &p.Stroke)
	return p
}
