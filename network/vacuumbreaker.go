package network

// A VacuumBreaker is shut under pressure and lets air in below atmospheric
// pressure. A worn one drips.
type VacuumBreaker struct {
	Name string
	At   string
}

func (p VacuumBreaker) itemName() string { return p.Name }

// ID returns the part's name.
func (p VacuumBreaker) ID() string { return p.Name }

// Kind returns "vacuum breaker".
func (p VacuumBreaker) Kind() string { return "vacuum breaker" }

// Joints returns the joints at the part's ports.
func (p VacuumBreaker) Joints() []string { return []string{p.At} }

func (p VacuumBreaker) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p VacuumBreaker) passages(Setting) []passage { return outlet(p.At, ToBellyPan, "", Shut()) }

func (p VacuumBreaker) filled(*filling) Part { return p }
