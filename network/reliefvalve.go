package network

import (
	"quietpump/hydraulics/unit"
)

// A ReliefValve opens above its setting, to the outside.
type ReliefValve struct {
	Name  string
	At    string
	Set   unit.Pressure // zero: 150 psi, assumed
	Rated unit.Flow     // at 10 % above Set; zero: 5 gpm, assumed
}

func (p ReliefValve) itemName() string { return p.Name }

// ID returns the part's name.
func (p ReliefValve) ID() string { return p.Name }

// Kind returns "relief valve".
func (p ReliefValve) Kind() string { return "relief valve" }

// Joints returns the joints at the part's ports.
func (p ReliefValve) Joints() []string { return []string{p.At} }

func (p ReliefValve) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p ReliefValve) passages(Setting) []passage { return outlet(p.At, ToGround, "", Shut()) }

func (p ReliefValve) filled(f *filling) Part {
	fill(f, p, "set", &p.Set)
	fill(f, p, "rated", &p.Rated)
	return p
}
