package network

import "quietpump/hydraulics/unit"

// A Fixture is a tap, shower head or toilet valve: it lets water out and none
// in: q = opening·Rated·√(p/RatedAt).
type Fixture struct {
	Name    string
	At      string
	Rated   unit.Flow     // fully open at RatedAt; zero: 1.5 gpm, assumed
	RatedAt unit.Pressure // zero: 45 psi
	Toilet  bool          // a toilet's valve, for the order of suspicion
	Into    string        // waste tank it drains to; zero: the ground or a drain out of sight
}

// An Appliance is a powered valve that draws by itself: an icemaker, a washer.
type Appliance struct {
	Name    string
	At      string
	Rated   unit.Flow     // open at RatedAt; zero: 0.5 gpm, assumed
	RatedAt unit.Pressure // zero: 45 psi
	Into    string        // waste tank it drains to; zero: none
}

// A Hookup is the city-water inlet and the hose on it. Its inlet check and its
// regulator are parts of their own.
type Hookup struct {
	Name    string
	At      string
	Static  unit.Pressure // at the spigot with no flow; zero: 50 psi, assumed
	Droop   unit.Pressure // fall at DroopAt; zero: 10 psi, assumed
	DroopAt unit.Flow     // zero: 2 gpm
	Ideal   bool          // no droop: the pressure is held whatever flows
}

// A Drain opens to the air: a low-point drain, a drain cock.
type Drain struct {
	Name string
	At   string
	Bore unit.Length // zero: 3/8 in tube's, assumed
	K    float64     // fully open, on Bore; zero: 2
	Cv   float64     // where given it rules over Bore and K
	Into string      // place it runs to; zero: "ground"
}

// A ReliefValve opens above its setting, to the outside.
type ReliefValve struct {
	Name  string
	At    string
	Set   unit.Pressure // zero: 150 psi, assumed
	Rated unit.Flow     // at 10 % above Set; zero: 5 gpm, assumed
}

// A VacuumBreaker is shut under pressure and lets air in below atmospheric
// pressure. A worn one drips.
type VacuumBreaker struct {
	Name string
	At   string
}

func (p Fixture) itemName() string { return p.Name }

// ID returns the part's name.
func (p Fixture) ID() string { return p.Name }

// Kind returns "fixture".
func (p Fixture) Kind() string { return "fixture" }

// Joints returns the joints at the part's ports.
func (p Fixture) Joints() []string { return []string{p.At} }

func (p Appliance) itemName() string { return p.Name }

// ID returns the part's name.
func (p Appliance) ID() string { return p.Name }

// Kind returns "appliance".
func (p Appliance) Kind() string { return "appliance" }

// Joints returns the joints at the part's ports.
func (p Appliance) Joints() []string { return []string{p.At} }

func (p Hookup) itemName() string { return p.Name }

// ID returns the part's name.
func (p Hookup) ID() string { return p.Name }

// Kind returns "hookup".
func (p Hookup) Kind() string { return "hookup" }

// Joints returns the joints at the part's ports.
func (p Hookup) Joints() []string { return []string{p.At} }

func (p Drain) itemName() string { return p.Name }

// ID returns the part's name.
func (p Drain) ID() string { return p.Name }

// Kind returns "drain".
func (p Drain) Kind() string { return "drain" }

// Joints returns the joints at the part's ports.
func (p Drain) Joints() []string { return []string{p.At} }

func (p ReliefValve) itemName() string { return p.Name }

// ID returns the part's name.
func (p ReliefValve) ID() string { return p.Name }

// Kind returns "relief valve".
func (p ReliefValve) Kind() string { return "relief valve" }

// Joints returns the joints at the part's ports.
func (p ReliefValve) Joints() []string { return []string{p.At} }

func (p VacuumBreaker) itemName() string { return p.Name }

// ID returns the part's name.
func (p VacuumBreaker) ID() string { return p.Name }

// Kind returns "vacuum breaker".
func (p VacuumBreaker) Kind() string { return "vacuum breaker" }

// Joints returns the joints at the part's ports.
func (p VacuumBreaker) Joints() []string { return []string{p.At} }

func (p Fixture) stands(s Setting) (Setting, bool) { return valveStands(s, Shut()) }

func (p Fixture) passages(s Setting) []passage {
	if p.Into != "" || p.Toilet {
		return outlet(p.At, ToWasteTank, p.Into, s)
	}
	return outlet(p.At, ToGround, "", s)
}

func (p Fixture) filled(f *filling) Part {
	fill(f, p, "rated", &p.Rated)
	fill(f, p, "rated_at", &p.RatedAt)
	return p
}

func (p Appliance) stands(s Setting) (Setting, bool) { return valveStands(s, Shut()) }

func (p Appliance) passages(s Setting) []passage { return outlet(p.At, ToAppliance, p.Name, s) }

func (p Appliance) filled(f *filling) Part {
	fill(f, p, "rated", &p.Rated)
	fill(f, p, "rated_at", &p.RatedAt)
	return p
}

func (p Hookup) stands(s Setting) (Setting, bool) {
	switch s.word {
	case "", "off":
		return Off(), true
	case "shut":
		return ShutAtSpigot(), true
	case "on", "capped", "shut at spigot":
		return s, true
	}
	return Setting{}, false
}

func (p Hookup) passages(s Setting) []passage {
	switch s.word {
	case "on", "shut at spigot":
		return outlet(p.At, ToHose, p.Name, s)
	case "off":
		return outlet(p.At, ToGround, p.Name, s)
	}
	return nil
}

func (p Hookup) filled(f *filling) Part {
	fill(f, p, "static", &p.Static)
	if !p.Ideal {
		fill(f, p, "droop", &p.Droop)
		fill(f, p, "droop_at", &p.DroopAt)
	}
	return p
}

func (p Drain) stands(s Setting) (Setting, bool) { return valveStands(s, Shut()) }

func (p Drain) passages(s Setting) []passage { return outlet(p.At, ToGround, p.Into, s) }

func (p Drain) filled(f *filling) Part {
	fillValve(f, p, &p.Bore, &p.K, p.Cv)
	if p.Into == "" {
		p.Into = string(ToGround)
	}
	return p
}

func (p ReliefValve) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p ReliefValve) passages(Setting) []passage { return outlet(p.At, ToGround, "", Shut()) }

func (p ReliefValve) filled(f *filling) Part {
	fill(f, p, "set", &p.Set)
	fill(f, p, "rated", &p.Rated)
	return p
}

func (p VacuumBreaker) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p VacuumBreaker) passages(Setting) []passage { return outlet(p.At, ToBellyPan, "", Shut()) }

func (p VacuumBreaker) filled(*filling) Part { return p }
