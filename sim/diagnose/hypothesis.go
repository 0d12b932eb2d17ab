package diagnose

import (
	"cmp"
	"slices"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// A theory is a hypothesis as it is computed.
type theory struct {
	id        int // by its name; 0: of no name
	name      string
	kind      Kind
	cause     Cause
	suspects  []network.Suspect
	leaks     []leak
	prior     float64 // weight, not yet shared out
	before    float64 // prior before anything was done
	low, high float64 // of its size at 45 psi, m³/s
	flat      bool    // the flow does not depend on pressure
	twist     twist   // what it changes about the rig
	remedy    []remedy
	ends      []network.Destination
	comesOut  []string  // parts, joints and places where its water would be seen
	halves    []*theory // of a pair
}

// A twist is what a benign cause changes about a world.
type twist struct {
	charge, cushion, span, slow, air, bypass, park, draws bool
}

// A remedy makes an end of it: a part swapped, or a benign cause cured.
type remedy struct {
	do   Doing
	part string
	what string // words
}

// Sizes of what people come with, at 45 psi, each decade as likely as the next.
// A tight rig has less than tight.
const (
	leastSize = 0.1 * unit.MillilitrePerMinute
	mostSize  = 1000 * unit.MillilitrePerMinute
	tightSize = 1 * unit.MillilitrePerMinute
	tiny      = 0.01 * unit.MillilitrePerMinute
	sizeAt    = 45 * unit.PSI
)

// Bands of the order of suspicion, 9 : 3 : 1. The order is that of the trade:
// common practice, no source.
const (
	often     = 9.0
	sometimes = 3.0
	seldom    = 1.0
)

// Shares of belief before any reading: common practice, no source.
const (
	priorNone    = 0.03
	priorHealthy = 0.04
	priorPairs   = 0.05
	priorBenign  = 0.18 // all benign causes together
)

// bandOf is where a suspect stands in the order of suspicion. creeps says that
// the tank gains water on the hose, which has an order of its own.
func bandOf(rig *network.Rig, s network.Suspect, ends []network.Destination, creeps bool) float64 {
	if creeps {
		switch {
		case s.Role == network.PumpHeadValves, s.Role == network.FillValve:
			return often
		case s.Role == network.OtherValve && slices.Contains(ends, network.ToFreshTank):
			return sometimes
		}
		return seldom
	}
	switch s.Role {
	case network.PumpHeadValves:
		if p, ok := rig.Part(s.Seep.Part); ok && p.Kind() == "hand pump" {
			return sometimes
		}
		return often
	case network.FillValve, network.ToiletValve:
		return often
	case network.InletCheck, network.OtherValve, network.Tap, network.WeepConnections, network.ApplianceValve:
		return sometimes
	}
	return seldom
}

// moved is a band moved by what was asked in plain words, each by a factor of 3:
// common practice, no source, but for the inlet check (service pages: its ring is
// displaced when the plunger is pushed under pressure).
func (f Facts) moved(rig *network.Rig, s network.Suspect) float64 {
	w := 1.0
	is := func(roles ...network.Role) bool { return slices.Contains(roles, s.Role) }
	if f.Frozen == Yes && is(network.WeepConnections, network.Tap, network.ToiletValve, network.InletCheck, network.PumpHeadValves) {
		w *= 3
	}
	if f.Frozen == Yes && is(network.OtherValve, network.DrainValve) { // turned for winter, and not back
		w *= 3
	}
	if f.Worked == Yes && is(network.WeepConnections) {
		w *= 9
	}
	if f.Worked == No && is(network.WeepConnections) {
		w /= 2
	}
	if f.Debris == Yes && is(network.PumpHeadValves, network.FillValve, network.InletCheck, network.ToiletValve, network.OtherValve) {
		w *= 2
	}
	if f.Plunger == Yes && is(network.InletCheck) {
		w *= 9
	}
	if slices.Contains(f.Replaced, s.Seep.Part) {
		w /= 3
	}
	if p, ok := rig.Part(s.Seep.Part); ok && p.Kind() == "pump" {
		switch {
		case f.PumpAge > 8:
			w *= 2
		case f.PumpAge > 0 && f.PumpAge < 1:
			w /= 2
		}
	}
	return w
}

// theories lists everything that could be behind the readings of a case, priors
// shared out.
func theories(c *Case, base network.Lineup, paths []network.EscapePath) []theory {
	rig := c.Rig
	ends := map[string][]network.Destination{}
	for _, p := range paths {
		key := seepKey(p.Suspect.Seep)
		if !slices.Contains(ends[key], p.To) {
			ends[key] = append(ends[key], p.To)
		}
	}
	var list []theory
	for _, s := range parted(rig, base, rig.Suspects(base)) {
		t := theory{
			name: s.Name, kind: OneSuspect, suspects: []network.Suspect{s}, leaks: []leak{leakOf(rig, s)},
			low: float64(leastSize), high: float64(mostSize), ends: ends[seepKey(s.Seep)],
		}
		if len(t.ends) == 0 {
			t.ends = []network.Destination{network.ToBellyPan}
		}
		t.prior = bandOf(rig, s, t.ends, c.Facts.Creeps == Yes) * c.Facts.moved(rig, s)
		if s.Role == network.WeepConnections {
			t.prior *= connectionShare(rig, base, s)
			t.remedy = []remedy{{DoSwap, s.Seep.Part, "remake the weeping connection: " + s.Name}}
		} else {
			t.remedy = []remedy{{DoSwap, s.Seep.Part, "swap or rebuild: " + s.Name}}
		}
		list = append(list, t)
	}
	share(list, 1-priorNone-priorHealthy-priorPairs-priorBenign)
	benign := benignTheories(c, base)
	share(benign, priorBenign)
	list = append(list, benign...)
	list = append(list, theory{name: "nothing is wrong", kind: Healthy, prior: priorHealthy, low: float64(tiny), high: float64(tightSize) / 10, leaks: []leak{background(rig, base)}})
	list = append(list, theory{name: "none of these", kind: None, prior: priorNone, low: float64(leastSize), high: float64(mostSize), leaks: []leak{background(rig, base)}})
	for i := range list {
		list[i].before = list[i].prior
	}
	return list
}

// share makes priors add up to a total.
func share(list []theory, total float64) {
	sum := 0.0
	for _, t := range list {
		sum += t.prior
	}
	for i := range list {
		list[i].prior *= total / sum
	}
}

// connectionShare is a suspect's share of all connections.
func connectionShare(rig *network.Rig, base network.Lineup, s network.Suspect) float64 {
	all := 0
	for _, o := range rig.Suspects(base) {
		if o.Role == network.WeepConnections {
			all += len(o.At)
		}
	}
	return float64(len(s.At)) / float64(max(all, 1))
}

// parted splits the connections of a section and place by what shutoffs could
// part, so that each lies in one section under every lineup.
func parted(rig *network.Rig, base network.Lineup, list []network.Suspect) []network.Suspect {
	shut := network.Lineup{}
	for k, s := range base {
		shut[k] = s
	}
	for _, p := range rig.Parts() {
		if p.Kind() == "shutoff" {
			shut[p.ID()] = network.Shut()
		}
	}
	finest := map[string]int{}
	for i, s := range rig.Sections(shut) {
		for _, j := range s.Joints {
			finest[j] = i
		}
	}
	var out []network.Suspect
	for _, s := range list {
		if s.Role != network.WeepConnections {
			out = append(out, s)
			continue
		}
		var pieces []int
		by := map[int][]string{}
		for _, j := range s.At {
			k := finest[j]
			if by[k] == nil {
				pieces = append(pieces, k)
			}
			by[k] = append(by[k], j)
		}
		for _, k := range pieces {
			one := s
			one.At = by[k]
			if len(pieces) > 1 {
				one.Name = "connections in the " + s.Place + " near " + by[k][0]
			}
			if !slices.Contains(by[k], s.Seep.Part) {
				one.Seep.Part = weepPart(rig, by[k])
			}
			out = append(out, one)
		}
	}
	return out
}

// weepPart is a joint whose name is no part's, or a tube there.
func weepPart(rig *network.Rig, joints []string) string {
	for _, j := range joints {
		if _, part := rig.Part(j); !part {
			return j
		}
	}
	for _, p := range rig.Parts() {
		if p.Kind() == "tube" && slices.Contains(p.Joints(), joints[0]) {
			return p.ID()
		}
	}
	return joints[0]
}

// background is a seep from where the pump delivers, nobody knows where.
func background(rig *network.Rig, base network.Lineup) leak {
	p, err := cyclingPump(rig, base)
	if err != nil {
		for _, q := range rig.Parts() {
			if q, ok := q.(network.Pump); ok {
				p = q
				break
			}
		}
	}
	return leak{joint: p.To, seep: weepAt(rig, base, p.To)}
}

// benignTheories lists the benign causes that this rig could have.
func benignTheories(c *Case, base network.Lineup) []theory {
	rig := c.Rig
	var list []theory
	everywhere := []leak{background(rig, base)}
	add := func(t theory) {
		t.kind = Benign
		if t.leaks == nil {
			t.leaks = everywhere
		}
		if t.high == 0 {
			t.low, t.high = float64(leastSize)/2, 5*float64(tightSize)
		}
		list = append(list, t)
	}
	hasHose := false
	for _, p := range rig.Parts() {
		switch p := p.(type) {
		case network.Accumulator:
			add(theory{name: p.Name + " lost its charge", cause: LostAir, prior: sometimes, twist: twist{charge: true},
				remedy: []remedy{{DoCure, p.Name, "recharge " + quoted(p.Name) + " with a tyre pump: pump off, pressure let out, to 3 psi below the pressure at which the pump starts"}}})
		case network.Heater:
			if p.Tankless {
				continue
			}
			if p.Air > 0 {
				add(theory{name: p.Name + " lost its cushion of air", cause: LostCushion, prior: seldom, twist: twist{cushion: true},
					remedy: []remedy{{DoCure, p.Name, "restore the cushion of air in " + quoted(p.Name) + ": off, cold, pressure let out"}}})
			}
			// Water that expands keeps the pressure up, and hides a seep meanwhile.
			add(theory{name: p.Name + " heating, which hides a seep", cause: Warming, prior: seldom, leaks: []leak{},
				remedy: []remedy{{DoCure, p.Name, "wait until " + quoted(p.Name) + " is off and cold, and watch again"}}})
			// Contraction of stored hot water: 4.4e-4 per K net of the shell (computed from the
			// density of water at 60 °C), at 0.2 to 5 K an hour: common practice, no source.
			v := float64(p.Volume) * 4.4e-4 / 3600
			add(theory{name: p.Name + " cooling", cause: Cooling, prior: sometimes, flat: true, low: 0.2 * v, high: 5 * v,
				leaks:  []leak{{joint: p.At, seep: network.Seep{Part: p.At}}},
				remedy: []remedy{{DoCure, p.Name, "wait until " + quoted(p.Name) + " is off and cold, and watch again"}}})
		case network.Pump:
			add(theory{name: "the switch of " + p.Name + " is narrow or has drifted", cause: NarrowSwitch, prior: sometimes, twist: twist{span: true},
				remedy: []remedy{{DoSwap, p.Name, "have the switch of " + quoted(p.Name) + " replaced"}}})
			add(theory{name: p.Name + " is slow", cause: PumpSlow, prior: seldom / 3, twist: twist{slow: true},
				remedy: []remedy{{DoCure, p.Name, "clean the strainer of " + quoted(p.Name) + " and see that it gets its voltage"}}})
		case network.Fixture:
			s := suspectOf(rig, base, p.Name)
			if s == nil {
				continue
			}
			t := theory{name: p.Name + " not quite shut", cause: NotQuiteShut, prior: sometimes, low: float64(leastSize), high: float64(mostSize),
				suspects: []network.Suspect{*s}, leaks: []leak{leakOf(rig, *s)}, remedy: []remedy{{DoCure, p.Name, "close " + quoted(p.Name) + " properly"}}}
			t.prior /= float64(max(count(rig, "fixture"), 1))
			add(t)
		case network.Mixer: // left on behind a shut head that lets a little by
			at := p.Cold
			if _, part := rig.Part(at); part {
				at = weepPart(rig, []string{at})
			}
			add(theory{name: p.Name + " left on", cause: HandlesOn, prior: sometimes / float64(count(rig, "mixer")), low: float64(leastSize), high: float64(mostSize),
				leaks: []leak{{joint: p.Cold, seep: network.Seep{Part: at}}}, remedy: []remedy{{DoCure, p.Name, "close " + quoted(p.Name)}}})
		case network.Appliance:
			if s := suspectOf(rig, base, p.Name); s != nil {
				add(theory{name: p.Name + " drawing by itself", cause: Draws, prior: sometimes, twist: twist{draws: true}, low: float64(leastSize), high: float64(mostSize),
					leaks: []leak{leakOf(rig, *s)}, suspects: []network.Suspect{*s}, remedy: []remedy{{DoCure, p.Name, "switch " + quoted(p.Name) + " off"}}})
			}
		case network.Hookup:
			hasHose = true
		}
	}
	// Air and a slow pump start no pump: they lengthen what a small seep does.
	air := background(rig, base)
	add(theory{name: "air trapped in the lines", cause: AirInLines, prior: seldom / 3, twist: twist{air: true},
		remedy: []remedy{{DoCure, air.joint, "let the air out: open every tap, hot and cold, until it runs without spitting"}}})
	if c.Facts.Worked == Yes || c.Facts.Frozen == Yes {
		add(theory{name: "air dissolving", cause: AirDissolves, prior: seldom, flat: true, low: float64(tiny), high: 0.5 * float64(unit.MillilitrePerMinute), leaks: []leak{air},
			remedy: []remedy{{DoCure, air.joint, "let the air out, and watch again tomorrow"}}})
		add(theory{name: "plastic tube still stretching", cause: TubeCreeps, prior: seldom, flat: true, low: float64(tiny), high: 0.3 * float64(unit.MillilitrePerMinute), leaks: []leak{air},
			remedy: []remedy{{DoCure, air.joint, "leave it under pressure for a day, and watch again"}}})
	}
	if hasHose {
		for _, p := range rig.Parts() {
			if p, ok := p.(network.Pump); ok && p.Bypass.Outside {
				add(theory{name: "the bypass of " + p.Name + " opens under hose pressure", cause: BypassOpens, prior: sometimes, twist: twist{bypass: true}, ends: []network.Destination{network.ToFreshTank}, low: 10 * float64(leastSize), high: float64(mostSize),
					remedy: []remedy{{DoCure, p.Name, "lower the regulator below the pressure at which the bypass opens"}}})
				add(theory{name: "park pressure rising at night, past the bypass of " + p.Name, cause: ParkPressure, prior: seldom, twist: twist{bypass: true, park: true}, ends: []network.Destination{network.ToFreshTank}, low: 10 * float64(leastSize), high: float64(mostSize),
					remedy: []remedy{{DoCure, p.Name, "have the regulator seen to: it lets the pressure creep up when nothing is drawn"}}})
			}
		}
	}
	return list
}

func count(rig *network.Rig, kind string) int {
	n := 0
	for _, p := range rig.Parts() {
		if p.Kind() == kind {
			n++
		}
	}
	return n
}

// suspectOf is the suspect that a part is, or nil.
func suspectOf(rig *network.Rig, base network.Lineup, part string) *network.Suspect {
	list := rig.Suspects(base)
	i := slices.IndexFunc(list, func(s network.Suspect) bool { return s.Seep.Part == part && s.Role != network.WeepConnections })
	if i < 0 {
		return nil
	}
	return &list[i]
}

func quoted(name string) string { return "“" + name + "”" }

// byName orders theories so that the order of listing changes nothing.
func byName(a, b theory) int {
	return cmp.Or(cmp.Compare(a.kind, b.kind), cmp.Compare(a.name, b.name))
}
