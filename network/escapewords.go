package network

import (
	"fmt"
	"strings"
)

// words tells a path in the owner's words: where from, the valves on the way,
// where to.
func (e *escapes) words(f escape, path EscapePath) string {
	var b strings.Builder
	b.WriteString("from " + e.source(f))
	seeping := e.rig.parts[f.seep.part].ID()
	var via []string // valves in a row, not yet told
	back := ""
	tell := func() {
		if len(via) > 0 {
			b.WriteString(back + " through " + and(via))
		}
		via, back = nil, ""
	}
	for _, name := range path.Parts {
		p, _ := e.rig.Part(name)
		switch p := p.(type) {
		case Tube, Strainer, Appliance:
		case Tank, Hookup: // the end says it
		case Pump, HandPump:
			if name == seeping {
				tell()
				back, via = " back", []string{"the " + path.Suspect.Name}
				if path.Opens > 0 {
					via = []string{fmt.Sprintf("the bypass of %s (opens at %v)", the(name), path.Opens)}
				}
			}
		case Fixture, Drain, ReliefValve, VacuumBreaker:
			tell()
			b.WriteString(" out of " + the(name))
		case Selector, Mixer:
			via = append(via, the(name))
			if name == seeping {
				via[len(via)-1] += " from " + e.rig.joints[f.from].Name + " to " + e.rig.joints[f.seep.to].Name
			}
		default:
			if name == seeping && p.Kind() != "shutoff" {
				tell()
				back = " back"
			}
			via = append(via, the(name))
		}
	}
	tell()
	return b.String() + e.ending(f)
}

// and lists words as people do: the heater shutoff, the check and the strainer.
func and(words []string) string {
	last := len(words) - 1
	if last == 0 {
		return words[0]
	}
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

// source says where the water of an escape got its pressure.
func (e *escapes) source(f escape) string {
	reached := e.pumped
	if f.hosed {
		reached = e.hosed
	}
	at := f.from
	for reached[at].from >= 0 {
		at = reached[at].from
	}
	if f.hosed {
		return "the hose"
	}
	words := ""
	for _, k := range e.rig.touching[at] {
		switch p := e.rig.parts[k].(type) {
		case Pump:
			if e.rig.jointAt[p.To] == at {
				if len(e.rig.kinds["pump"]) == 1 {
					return "the pump's outlet"
				}
				return "the outlet of " + the(p.Name)
			}
		case HandPump:
			if e.rig.jointAt[p.To] == at {
				words = "the outlet of " + the(p.Name)
			}
		}
	}
	return words
}

func (e *escapes) ending(f escape) string {
	switch f.end {
	case ToFreshTank:
		if len(e.rig.kinds["tank"]) > 1 {
			return " into " + the(f.where)
		}
		return " into the fresh tank"
	case ToWasteTank:
		if f.where != "" {
			return " into " + the(f.where)
		}
		return " into the waste tank"
	case ToAppliance:
		return " into " + the(f.where)
	case ToBellyPan:
		return " into the belly pan"
	case ToHose:
		return " into the hose"
	}
	switch {
	case f.atHookup:
		return " out at " + the(f.where)
	case f.where != "":
		return " into " + the(f.where)
	}
	return " onto the ground"
}

func the(name string) string {
	if strings.HasPrefix(name, "the ") {
		return name
	}
	return "the " + name
}
