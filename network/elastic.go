package network

import (
	"quietpump/hydraulics/unit"
)

// An Elastic is a lump of stretch at a joint, given outright.
type Elastic struct {
	Name       string
	At         string
	Compliance unit.Compliance
}

func (p Elastic) itemName() string { return p.Name }

// ID returns the part's name.
func (p Elastic) ID() string { return p.Name }

// Kind returns "elastic".
func (p Elastic) Kind() string { return "elastic" }

// Joints returns the joints at the part's ports.
func (p Elastic) Joints() []string { return []string{p.At} }

func (p Elastic) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p Elastic) passages(Setting) []passage { return nil }

func (p Elastic) filled(*filling) Part { return p }

func (p Elastic) judge(j *judge) {
	if p.Compliance == 0 {
		j.problems.add(p, "compliance", "it has no compliance", "give it one, or leave the part out")
	}
}
