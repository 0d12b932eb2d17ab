package network

import (
	"fmt"
	"slices"
	"strings"

	"quietpump/hydraulics/unit"
)

// A Selector is a valve of several ports and named positions: a fill panel, a
// winterising valve, a heater bypass.
type Selector struct {
	Name      string
	Ports     []string    // joint names
	Positions []Position  // the first is how it stands when nobody has touched it
	Bore      unit.Length // zero: 1/2 in tube's, assumed
	K         float64     // per open port pair; zero: 2, assumed
	Cv        float64     // where given it rules over Bore and K
}

// A Position of a [Selector] says which of its ports are joined.
type Position struct {
	Name  string
	Joins [][2]string // pairs of joint names out of Ports
}

func (p Selector) itemName() string { return p.Name }

// ID returns the part's name.
func (p Selector) ID() string { return p.Name }

// Kind returns "selector".
func (p Selector) Kind() string { return "selector" }

// Joints returns the joints at the part's ports.
func (p Selector) Joints() []string { return p.Ports }

func (p Selector) stands(s Setting) (Setting, bool) {
	for i, pos := range p.Positions {
		if s.word == pos.Name || s.word == "" && i == 0 {
			return Setting{word: pos.Name}, true
		}
	}
	for _, pos := range p.Positions {
		if strings.EqualFold(s.word, pos.Name) {
			return Setting{word: pos.Name}, true
		}
	}
	return Setting{}, false
}

// passages: the position's port pairs are open; every pair that it leaves
// parted can seep.
func (p Selector) passages(s Setting) []passage {
	group := make(map[string]string, len(p.Ports)) // port → a port it is joined to, its group's name
	for _, port := range p.Ports {
		group[port] = port
	}
	var out []passage
	for _, pos := range p.Positions {
		if pos.Name != s.word {
			continue
		}
		for _, j := range pos.Joins {
			out = append(out, passage{from: j[0], to: j[1], pair: j})
			old, now := group[j[1]], group[j[0]]
			for port, g := range group {
				if g == old {
					group[port] = now
				}
			}
		}
	}
	for i, a := range p.Ports {
		for _, b := range p.Ports[i+1:] {
			if group[a] != group[b] {
				out = append(out, passage{from: a, to: b, tight: true, pair: [2]string{a, b}})
			}
		}
	}
	return out
}

func (p Selector) filled(f *filling) Part {
	p.Ports = append(p.Ports[:0:0], p.Ports...)
	p.Positions = append(p.Positions[:0:0], p.Positions...)
	for i, pos := range p.Positions {
		p.Positions[i].Joins = append(pos.Joins[:0:0], pos.Joins...)
	}
	fillValve(f, p, &p.Bore, &p.K, p.Cv)
	return p
}

func (p Selector) judge(j *judge) {
	if len(p.Ports) < 2 || len(p.Ports) > mostPorts {
		has := fmt.Sprintf("it has %d ports", len(p.Ports))
		if len(p.Ports) == 1 {
			has = "it has one port"
		}
		j.problems.add(p, "ports", has, fmt.Sprintf("name the joints of its ports, 2 to %d", mostPorts))
	}
	if len(p.Positions) == 0 {
		j.problems.add(p, "positions", "it has no positions", "say for each position of its handle which ports it joins")
	}
	if len(p.Positions) > mostPositions {
		j.problems.add(p, "positions", fmt.Sprintf("it has %d positions", len(p.Positions)), fmt.Sprintf("give %d at most", mostPositions))
	}
	if slices.Contains(p.Ports, "") {
		j.problems.add(p, "ports", "a port names no joint", "say which joint it is")
	}
	names := make(map[string]bool)
	for i, pos := range p.Positions {
		field := fmt.Sprintf("positions.%d", i+1)
		read, err := parseSetting(pos.Name)
		switch {
		case pos.Name == "":
			j.problems.add(p, field, fmt.Sprintf("position %d has no name", i+1), "call it what is written at the handle")
		case names[pos.Name]:
			j.problems.add(p, field, fmt.Sprintf("two positions are called %q", pos.Name), "give each a name of its own")
		case err != nil || read != At(pos.Name) && !strings.EqualFold(read.word, pos.Name) || read.word == "open":
			j.problems.add(p, field, fmt.Sprintf("a position cannot be called %q, which means something else in a lineup", pos.Name), "call it what is written at the handle")
		}
		names[pos.Name] = true
		for _, pair := range pos.Joins {
			for _, joint := range pair {
				if !slices.Contains(p.Ports, joint) {
					j.problems = append(j.problems, Problem{Kind: p.Kind(), Part: p.Name, Field: field, Other: joint,
						What: fmt.Sprintf("position %q joins %q, which is none of its ports", pos.Name, joint) + j.suggest(joint, func() []string { return p.Ports }),
						Fix:  "name two of its ports"})
				}
			}
			if pair[0] == pair[1] {
				j.problems.add(p, field, fmt.Sprintf("position %q joins %q to itself", pos.Name, pair[0]), "name two of its ports")
			}
		}
	}
}

// A selector of more ports or positions than these is a slip.
const mostPorts, mostPositions = 12, 24
