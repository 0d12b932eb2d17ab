package network

import (
	"fmt"
	"slices"

	"quietpump/hydraulics/unit"
)

// A Section is a set of joints that open parts connect: tubes, open shutoffs and
// selectors, strainers, filters, regulators that pass backward. Checks and pumps
// bound it, for they pass water one way alone. Names are in order.
type Section struct {
	Joints  []string
	Parts   []string    // that join two of its joints or sit at one
	Water   unit.Volume // in its tubes and heaters, full
	Gas     []string    // accumulators, air pockets, heaters and filters with air in them
	Pumps   []string    // pumps and hand pumps that deliver into it
	Hookups []string    // hookups at it, on or not
	Tanks   []string    // tanks it is open to
}

// Sections returns the sections of the rig as it stands, in order of their first
// joint.
func (r *Rig) Sections(l Lineup) []Section {
	n := r.plumb(l)
	group, count := n.groups(bothWays)
	return r.sections(group, count)
}

// bothWays passes hops that also lead back.
func bothWays(h hop) bool { return !h.tight && !h.oneWay }

// sections gathers what belongs to each group of joints; a group of −1 is none.
func (r *Rig) sections(group []int, count int) []Section {
	list := make([]Section, count)
	for i, joint := range r.joints {
		if g := group[i]; g >= 0 {
			list[g].Joints = append(list[g].Joints, joint.Name)
		}
	}
	for _, p := range r.parts {
		in := make([]int, 0, 3) // groups it touches
		for _, name := range p.Joints() {
			if g := group[r.jointAt[name]]; !slices.Contains(in, g) {
				in = append(in, g)
			}
		}
		_, tank := p.(Tank)
		for _, g := range in {
			if g < 0 {
				continue
			}
			if len(in) == 1 || tank {
				list[g].Parts = append(list[g].Parts, p.ID())
			}
			list[g].hold(p, group, r, g)
		}
	}
	return list
}

// hold notes what a part that touches group g gives to its section.
func (s *Section) hold(p Part, group []int, r *Rig, g int) {
	at := func(joint string) bool { return group[r.jointAt[joint]] == g }
	switch p := p.(type) {
	case Tube:
		s.Water += p.water()
	case Heater:
		s.Water += p.Volume
		if p.Air > 0 {
			s.Gas = append(s.Gas, p.Name)
		}
	case Filter:
		if p.Air > 0 {
			s.Gas = append(s.Gas, p.Name)
		}
	case Accumulator, AirPocket:
		s.Gas = append(s.Gas, p.ID())
	case Pump:
		if at(p.To) {
			s.Pumps = append(s.Pumps, p.Name)
		}
	case HandPump:
		if at(p.To) {
			s.Pumps = append(s.Pumps, p.Name)
		}
	case Hookup:
		s.Hookups = append(s.Hookups, p.Name)
	case Tank:
		s.Tanks = append(s.Tanks, p.Name)
	}
}

// CutOff returns what the shutoffs of those names cut off from tanks and
// hookups when they are shut and all else stands as nobody had touched it, with
// the water in it: the sections, in order of their first joint. The error names
// what is no shutoff of the rig.
func (r *Rig) CutOff(shut ...string) ([]Section, error) {
	l := Lineup{}
	for _, name := range shut {
		l[name] = Shut()
		if p, ok := r.Part(name); ok && p.Kind() != "shutoff" {
			return nil, Problems{{Kind: p.Kind(), Part: name, What: "it is no shutoff", Fix: "name shutoffs alone"}}
		}
	}
	if err := r.CheckLineup(l); err != nil {
		return nil, fmt.Errorf("cut off: %w", err)
	}
	before := r.plumb(nil).spread(r.sources(), open)
	n := r.plumb(l)
	after := n.spread(r.sources(), open)
	group, count := n.groups(bothWays)
	renumbered := make([]int, count)
	for g := range renumbered {
		renumbered[g] = -1
	}
	cut := 0
	for i := range r.joints {
		switch {
		case !before.has(i) || after.has(i):
			group[i] = -1
		case renumbered[group[i]] < 0:
			renumbered[group[i]] = cut
			cut++
			fallthrough
		default:
			group[i] = renumbered[group[i]]
		}
	}
	return r.sections(group, cut), nil
}
