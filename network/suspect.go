package network

// A Suspect is a part that could be seeping, a selector's port pair, or the
// weeping connections of one section and place.
type Suspect struct {
	Seep  Seep   // the fault that stands for it, of no flow yet
	Name  string // in the owner's words, such as "pump head valves"
	Role  Role
	Place string   // where a weep would show, for connections
	At    []string // the connections' joints, in order
}

// A Role is what a suspect is in its rig, for the order of suspicion.
type Role string

// The roles that suspects have. A fill valve is a shutoff or selector by which
// water could get into the fresh tank; an inlet check holds it back from the
// hookup.
const (
	PumpHeadValves  Role = "pump head valves"
	FillValve       Role = "fill valve"
	InletCheck      Role = "inlet check"
	OtherValve      Role = "valve" // shutoff, selector, mixer or check elsewhere
	Tap             Role = "tap"
	ToiletValve     Role = "toilet valve"
	DrainValve      Role = "drain"
	WornRelief      Role = "relief valve"
	WornBreaker     Role = "vacuum breaker"
	ApplianceValve  Role = "appliance valve"
	WeepConnections Role = "connections"
)

// Suspects lists what could be seeping as the rig stands: every part on an
// escape path, each once. They are in the order of [Rig.EscapePaths], weeping
// connections last. These go by the sections of the lineup: keep to the suspects
// of one lineup, and ask the others which paths remain.
func (r *Rig) Suspects(l Lineup) []Suspect {
	e := r.escapes(l)
	var list []Suspect
	seen := make(map[suspectKey]bool)
	for _, found := range e.found {
		if key := found.key(); found.seep.tight && !seen[key] {
			seen[key] = true
			list = append(list, e.suspect(found))
		}
	}
	return append(list, e.weeps()...)
}

type suspectKey struct {
	part int32
	pair [2]string
}

func (f escape) key() suspectKey { return suspectKey{f.seep.part, f.seep.pair} }

// suspect names what seeps on an escape.
func (e *escapes) suspect(f escape) Suspect {
	p := e.rig.parts[f.seep.part]
	s := Suspect{Name: p.ID(), Seep: Seep{Part: p.ID(), Pair: f.seep.pair}}
	switch p := p.(type) {
	case Pump:
		s.Role, s.Name = PumpHeadValves, "pump head valves"
		if len(e.rig.kinds["pump"]) > 1 {
			s.Name += " of " + the(p.Name)
		}
	case HandPump:
		s.Role, s.Name = PumpHeadValves, "valves of "+the(p.Name)
	case Fixture:
		s.Role = Tap
		if p.Toilet {
			s.Role = ToiletValve
		}
	case Drain:
		s.Role = DrainValve
	case ReliefValve:
		s.Role = WornRelief
	case VacuumBreaker:
		s.Role = WornBreaker
	case Appliance:
		s.Role = ApplianceValve
	case Shutoff, Selector:
		s.Role = OtherValve
		if f.end == ToFreshTank {
			s.Role = FillValve
		}
	default:
		s.Role = OtherValve
		if f.atHookup {
			s.Role = InletCheck
		}
	}
	if s.Seep.Pair != ([2]string{}) {
		s.Name += " between " + s.Seep.Pair[0] + " and " + s.Seep.Pair[1]
	}
	return s
}

// weeps lists the connections under pressure, one suspect for each section and
// place. The section is that of the lineup.
func (e *escapes) weeps() []Suspect {
	group, _ := e.groups(bothWays)
	type spot struct {
		group int
		place string
	}
	var list []Suspect
	at := make(map[spot]int)
	for i, j := range e.rig.joints {
		if !e.wet(i) || e.tank[i] {
			continue
		}
		place := j.Place
		if place == "" {
			place = string(ToBellyPan)
		}
		k, ok := at[spot{group[i], place}]
		if !ok {
			k = len(list)
			at[spot{group[i], place}] = k
			list = append(list, Suspect{Role: WeepConnections, Name: "connections in " + the(place), Place: place})
		}
		list[k].At = append(list[k].At, j.Name)
	}
	places := make(map[string]int) // sections by place
	for _, s := range list {
		places[s.Place]++
	}
	for k, s := range list {
		list[k].Seep.Part = e.weepAt(s.At)
		if places[s.Place] > 1 {
			list[k].Name += " near " + s.At[0]
		}
	}
	return list
}

// weepAt is the first of the joints whose name is no part's, which would mean
// the part; where there is none, a tube there.
func (e *escapes) weepAt(joints []string) string {
	for _, name := range joints {
		if _, part := e.rig.Part(name); !part {
			return name
		}
	}
	for _, name := range joints {
		for _, k := range e.rig.touching[e.rig.jointAt[name]] {
			if p, tube := e.rig.parts[k].(Tube); tube {
				return p.Name
			}
		}
	}
	return joints[0]
}
