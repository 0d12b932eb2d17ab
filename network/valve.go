package network

import (
	"strings"

	"quietpump/hydraulics/unit"
)

// A Shutoff is a hand valve between two joints.
type Shutoff struct {
	Name     string
	From, To string
	Shut     bool        // how it stands when nobody has touched it; zero: open
	Bore     unit.Length // zero: 1/2 in tube's, assumed
	K        float64     // loss coefficient when fully open, on Bore; zero: a full-bore ball valve's
	Cv       float64     // US gpm at 1 psi; where given it rules over Bore and K
}

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

// A Check passes water forward, from From to To, and holds it back the other way.
type Check struct {
	Name     string
	From, To string
	Bore     unit.Length   // zero: 1/2 in tube's, assumed
	K        float64       // loss coefficient when open; zero: a typical spring check's
	Cv       float64       // where given it rules over Bore and K
	Cracking unit.Pressure // zero: opens at once
}

// A Mixer joins hot and cold to one spout. The spout's own head is a [Fixture]
// at joint Spout: handles on with the head shut is an open crossover.
type Mixer struct {
	Name             string
	Hot, Cold, Spout string
	Bore             unit.Length // zero: 3/8 in tube's, assumed
	K                float64     // each side, fully open; zero: 5, assumed
	Cv               float64     // where given it rules over Bore and K
}

// A Regulator holds the pressure at To down to Set while water flows forward.
type Regulator struct {
	Name     string
	From, To string
	Set      unit.Pressure // outlet pressure at no flow; zero: 45 psi, assumed
	// Droop is the fall of the outlet pressure at DroopAt; zero: none, an ideal
	// regulator.
	Droop   unit.Pressure
	DroopAt unit.Flow   // zero: 2 gpm
	Check   bool        // it has a check and passes nothing backward
	Bore    unit.Length // zero: 1/2 in tube's, assumed
	K       float64     // fully open; zero: 10, assumed
	Cv      float64     // where given it rules over Bore and K
}

func (p Shutoff) itemName() string { return p.Name }

// ID returns the part's name.
func (p Shutoff) ID() string { return p.Name }

// Kind returns "shutoff".
func (p Shutoff) Kind() string { return "shutoff" }

// Joints returns the joints at the part's ports.
func (p Shutoff) Joints() []string { return []string{p.From, p.To} }

func (p Selector) itemName() string { return p.Name }

// ID returns the part's name.
func (p Selector) ID() string { return p.Name }

// Kind returns "selector".
func (p Selector) Kind() string { return "selector" }

// Joints returns the joints at the part's ports.
func (p Selector) Joints() []string { return p.Ports }

func (p Check) itemName() string { return p.Name }

// ID returns the part's name.
func (p Check) ID() string { return p.Name }

// Kind returns "check".
func (p Check) Kind() string { return "check" }

// Joints returns the joints at the part's ports.
func (p Check) Joints() []string { return []string{p.From, p.To} }

func (p Mixer) itemName() string { return p.Name }

// ID returns the part's name.
func (p Mixer) ID() string { return p.Name }

// Kind returns "mixer".
func (p Mixer) Kind() string { return "mixer" }

// Joints returns the joints at the part's ports.
func (p Mixer) Joints() []string { return []string{p.Hot, p.Cold, p.Spout} }

func (p Regulator) itemName() string { return p.Name }

// ID returns the part's name.
func (p Regulator) ID() string { return p.Name }

// Kind returns "regulator".
func (p Regulator) Kind() string { return "regulator" }

// Joints returns the joints at the part's ports.
func (p Regulator) Joints() []string { return []string{p.From, p.To} }

func (p Shutoff) stands(s Setting) (Setting, bool) {
	if p.Shut {
		return valveStands(s, Shut())
	}
	return valveStands(s, Open(1))
}

func (p Shutoff) passages(s Setting) []passage {
	return []passage{{from: p.From, to: p.To, tight: s.word == "shut"}}
}

func (p Shutoff) filled(f *filling) Part {
	fillValve(f, p, &p.Bore, &p.K, p.Cv)
	return p
}

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

func (p Check) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p Check) passages(Setting) []passage { return heldBack(p.From, p.To) }

func (p Check) filled(f *filling) Part {
	fillValve(f, p, &p.Bore, &p.K, p.Cv)
	return p
}

func (p Mixer) stands(s Setting) (Setting, bool) {
	if s.word == "hot" || s.word == "cold" {
		return s, true
	}
	return valveStands(s, Shut())
}

// passages: with both handles open hot and cold meet at the spout, whether or
// not water leaves there.
func (p Mixer) passages(s Setting) []passage {
	return []passage{
		{from: p.Hot, to: p.Spout, tight: s.word == "shut" || s.word == "cold", pair: [2]string{p.Hot, p.Spout}},
		{from: p.Cold, to: p.Spout, tight: s.word == "shut" || s.word == "hot", pair: [2]string{p.Cold, p.Spout}},
	}
}

func (p Mixer) filled(f *filling) Part {
	fillValve(f, p, &p.Bore, &p.K, p.Cv)
	return p
}

func (p Regulator) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p Regulator) passages(Setting) []passage {
	if p.Check {
		return heldBack(p.From, p.To)
	}
	return through(p.From, p.To)
}

func (p Regulator) filled(f *filling) Part {
	fill(f, p, "set", &p.Set)
	if p.Droop != 0 {
		fill(f, p, "droop_at", &p.DroopAt)
	}
	fillValve(f, p, &p.Bore, &p.K, p.Cv)
	return p
}
