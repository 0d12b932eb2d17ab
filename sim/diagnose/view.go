package diagnose

import (
	"slices"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// A view is a rig under one lineup, by its sections: what falls with what when
// water gets away, and what still can get away.
type view struct {
	rig     *network.Rig
	lineup  network.Lineup
	of      map[string]int       // section of a joint
	water   []bool               // section is under pressure: pumped, or fed by the hose
	held    []float64            // pressure that a tank, a hookup or the air holds a section at; NaN: none
	feeders []set                // sections that fall with this one, itself included
	pump    network.Pump         // the one that starts
	runs    bool                 // a pump has power
	sense   int                  // section that its switch feels; −1 without a pump
	suction bool                 // that pump is open to a tank
	open    map[string]bool      // seeps that still lead out, by key
	ends    map[string]endsAt    // where each of them leads
	free    []network.EscapePath // ways out with nothing shut on them
	stores  []int                // section of each store of a world; the worlds of a rig have the same
}

type endsAt struct {
	to    []network.Destination
	where []string
}

// A set is a set of sections.
type set uint64

func (s set) has(i int) bool { return i >= 0 && s>>uint(i)&1 == 1 }

// mostSections is how many sections a set holds; a rig of more is seen by its
// first ones.
const mostSections = 64

func newView(rig *network.Rig, lineup network.Lineup) *view {
	v := &view{rig: rig, lineup: lineup, of: map[string]int{}, open: map[string]bool{}, ends: map[string]endsAt{}, sense: -1}
	sections := rig.Sections(lineup)
	if len(sections) > mostSections {
		sections = sections[:mostSections]
	}
	n := len(sections)
	v.held, v.water, v.feeders = make([]float64, n), make([]bool, n), make([]set, n)
	for i, s := range sections {
		for _, j := range s.Joints {
			v.of[j] = i
		}
		v.held[i] = none
		if len(s.Tanks) > 0 {
			v.held[i] = 0
		}
		for _, name := range s.Hookups {
			p, _ := rig.Part(name)
			switch v.lineup.Of(p).Word() {
			case "on":
				v.held[i] = float64(p.(network.Hookup).Static)
			case "off":
				v.held[i] = 0
			}
		}
	}
	v.links()
	if p, err := cyclingPump(rig, lineup); err == nil {
		v.pump, v.runs, v.sense = p, true, v.section(p.Sense)
		v.suction = v.reachesTank(p.From)
	}
	for _, path := range rig.EscapePaths(lineup) {
		if path.Suspect.Name == "" {
			v.free = append(v.free, path)
			continue
		}
		if path.Suspect.Role == network.WeepConnections {
			continue
		}
		key := seepKey(path.Suspect.Seep)
		v.open[key] = true
		e := v.ends[key]
		if !slices.Contains(e.to, path.To) {
			e.to, e.where = append(e.to, path.To), append(e.where, path.Where)
		}
		v.ends[key] = e
	}
	return v
}

// none marks a section that nothing holds.
const none = -1e9

func (v *view) section(joint string) int {
	if i, ok := v.of[joint]; ok {
		return i
	}
	return -1
}

// links finds what feeds what through parts that pass one way, and what is under
// pressure.
func (v *view) links() {
	n := len(v.held)
	direct := make([]set, n) // sections that feed this one
	link := func(from, to string) {
		a, b := v.section(from), v.section(to)
		if a >= 0 && b >= 0 && a != b {
			direct[b] |= 1 << uint(a)
		}
	}
	var pumped []int
	for _, p := range v.rig.Parts() {
		switch p := p.(type) {
		case network.Check:
			link(p.From, p.To)
		case network.Regulator:
			link(p.From, p.To)
		case network.Pump:
			pumped = append(pumped, v.section(p.To))
		case network.HandPump:
			pumped = append(pumped, v.section(p.To))
		case network.Hookup:
			if v.lineup.Of(p) == network.On() {
				pumped = append(pumped, v.section(p.At))
			}
		}
	}
	for _, i := range pumped {
		if i >= 0 {
			v.water[i] = true
		}
	}
	for range n {
		for b := range n {
			for a := range n {
				if direct[b].has(a) && v.water[a] {
					v.water[b] = true
				}
			}
		}
	}
	for i := range n {
		v.feeders[i] = 1 << uint(i)
	}
	for range n {
		for b := range n {
			for a := range n {
				if direct[b].has(a) && v.water[a] && (v.held[a] == none || v.held[a] > 0) {
					v.feeders[b] |= v.feeders[a]
				}
			}
		}
	}
}

// reachesTank says whether a joint is open to a tank, checks in the way of the
// flow included.
func (v *view) reachesTank(joint string) bool {
	seen := map[int]bool{}
	queue := []int{v.section(joint)}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		if at < 0 || seen[at] {
			continue
		}
		seen[at] = true
		for _, p := range v.rig.Parts() {
			switch p := p.(type) {
			case network.Tank:
				for _, port := range p.Ports {
					if v.section(port) == at {
						return true
					}
				}
			case network.Check:
				if v.section(p.To) == at {
					queue = append(queue, v.section(p.From))
				}
			}
		}
	}
	return false
}

// storesAt is the section of each store.
func (v *view) storesAt(w *world) []int {
	if len(v.stores) != len(w.stores) {
		v.stores = make([]int, len(w.stores))
		for i := range w.stores {
			v.stores[i] = v.section(w.stores[i].joint)
		}
	}
	return v.stores
}

// bypass is the pump whose bypass stands outside its head valves, if there is one.
func (v *view) bypass() network.Pump {
	for _, p := range v.rig.Parts() {
		if p, ok := p.(network.Pump); ok && p.Bypass.Outside {
			return p
		}
	}
	return network.Pump{}
}

// A leak is a place where water gets away, and how high it stands.
type leak struct {
	key    string // of its seep; empty for what no valve can stop
	seep   network.Seep
	joint  string   // where it is drawn from, if it is always there
	joints []string // for a valve: its ports
}

// leakOf finds where a suspect draws from.
func leakOf(rig *network.Rig, s network.Suspect) leak {
	l := leak{key: seepKey(s.Seep), seep: s.Seep}
	if s.Role == network.WeepConnections {
		l.key = ""
		l.joint = s.Seep.Part
		if _, ok := rig.Joint(l.joint); !ok && len(s.At) > 0 {
			l.joint = s.At[0]
		}
		return l
	}
	p, _ := rig.Part(s.Seep.Part)
	switch p := p.(type) {
	case network.Pump:
		l.joints = []string{p.To}
	case network.HandPump:
		l.joints = []string{p.To}
	case network.Check:
		l.joints = []string{p.To}
	case network.Regulator:
		l.joints = []string{p.To}
	default:
		l.joints = p.Joints()
		if s.Seep.Pair != ([2]string{}) {
			l.joints = s.Seep.Pair[:]
		}
	}
	return l
}

// A falls is how a leak acts under a view: what falls with it, and against which head.
type falls struct {
	acts  bool    // water gets away
	set   set     // what falls
	z     float64 // elevation of the leak, m
	held  float64 // pressure that keeps it up, or none
	start bool    // the switch feels it
}

func (v *view) falls(l leak) falls {
	f := falls{held: none}
	at, joint := -1, l.joint
	if l.key == "" {
		at = v.section(l.joint)
	} else {
		if !v.open[l.key] {
			return f
		}
		best := -1.0
		for _, j := range l.joints {
			i := v.section(j)
			if i < 0 || !v.water[i] {
				continue
			}
			// Of two sides under pressure the one that the pump fills is meant.
			rank := 1.0
			if v.feeders[i].has(v.sense) {
				rank = 2
			}
			if v.held[i] == 0 {
				rank = 0
			}
			if rank > best {
				best, at, joint = rank, i, j
			}
		}
	}
	if at < 0 || !v.water[at] || v.held[at] == 0 {
		return f
	}
	f.acts, f.set = true, v.feeders[at]
	if j, ok := v.rig.Joint(joint); ok {
		f.z = float64(j.Z)
	}
	for i := range v.held {
		if f.set.has(i) && v.held[i] != none {
			f.held = max(f.held, v.held[i])
		}
	}
	if f.held != none {
		f.held = v.regulated(f.held)
	}
	f.start = v.runs && f.set.has(v.sense)
	return f
}

// regulated is the pressure that the hose brings to the rig.
func (v *view) regulated(static float64) float64 {
	for _, p := range v.rig.Parts() {
		if r, ok := p.(network.Regulator); ok {
			static = min(static, float64(r.Set))
		}
	}
	return static
}

// head is the pressure of a column of cool water.
func head(dz float64) float64 { return waterDensity * hydraulics.Gravity * dz }

var waterDensity = float64(hydraulics.WaterAt(unit.Celsius(20)).Density)
