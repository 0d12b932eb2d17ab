package network

import "quietpump/hydraulics/unit"

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
	Ports     []string   // joint names
	Positions []Position // the first is how it stands when nobody has touched it
	Bore      unit.Length
	K         float64 // per open port pair
	Cv        float64
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
	Bore             unit.Length
	K                float64 // each side, fully open
	Cv               float64
}

// A Regulator holds the pressure at To down to Set while water flows forward.
type Regulator struct {
	Name     string
	From, To string
	Set      unit.Pressure // outlet pressure at no flow; zero: 45 psi, assumed
	// Droop is the fall of the outlet pressure at DroopAt; zero: none, an ideal
	// regulator.
	Droop   unit.Pressure
	DroopAt unit.Flow // zero: 2 gpm
	Check   bool      // it has a check and passes nothing backward
	Bore    unit.Length
	K       float64 // fully open
	Cv      float64
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
