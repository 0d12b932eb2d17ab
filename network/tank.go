package network

import (
	"slices"

	"quietpump/hydraulics/unit"
)

// A Tank is the vented fresh-water tank.
type Tank struct {
	Name     string
	Ports    []string    // joints in its wall, which are this tank's alone; the first is the outlet the pump draws from
	Capacity unit.Volume // zero: 40 US gal, assumed
	Height   unit.Length // from floor to the level at which it is full; zero: 0.25 m, assumed
	Floor    unit.Length // elevation of its floor; zero means 0, the datum
	Spills   string      // where the overflow goes; zero: "ground"
}

func (p Tank) itemName() string { return p.Name }

// ID returns the part's name.
func (p Tank) ID() string { return p.Name }

// Kind returns "tank".
func (p Tank) Kind() string { return "tank" }

// Joints returns the joints at the part's ports.
func (p Tank) Joints() []string { return p.Ports }

func (p Tank) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p Tank) passages(Setting) []passage {
	out := make([]passage, len(p.Ports))
	for i, port := range p.Ports {
		out[i] = passage{from: port, end: ToFreshTank, where: p.Name, oneWay: true}
	}
	return out
}

func (p Tank) filled(f *filling) Part {
	p.Ports = append(p.Ports[:0:0], p.Ports...)
	fill(f, p, "capacity", &p.Capacity)
	fill(f, p, "height", &p.Height)
	if p.Spills == "" {
		p.Spills = string(ToGround)
	}
	return p
}

func (p Tank) judge(j *judge) {
	if len(p.Ports) == 0 {
		j.problems.add(p, "ports", "it has no ports", "name the joint of its outlet")
	}
	if slices.Contains(p.Ports, "") {
		j.problems.add(p, "ports", "a port names no joint", "say which joint it is")
	}
}
