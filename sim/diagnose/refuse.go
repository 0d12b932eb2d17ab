package diagnose

import (
	"fmt"
	"slices"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// Limits of what is ever advised: common practice, no source, but for the inlet
// pressure that pumps' makers print.
const (
	mostHose    = 50 * unit.PSI // weakest part on the hose, where no rating is known
	mostInlet   = 30 * unit.PSI // of a pump
	overCutOut  = 5 * unit.PSI  // above the pump's own cut-out
	mostRun     = 60.0          // s without a stop
	fastestBeat = 2.0           // s from start to start, below which a pump chatters
)

// A standing is what the refusals need to know beside a lineup.
type standing struct {
	base    network.Lineup // as the rig was found
	settled bool           // heater known to be off and cold
	empty   map[string]bool
	// run and beat are the run and the time from start to start that are predicted,
	// s; zero: none.
	run, beat   float64
	unrehearsed bool               // a simulation of it did not come to its end
	inlet       unit.Pressure      // the highest that is predicted at a pump's inlet on the hose
	drawn       float64            // water that a test is predicted to take out of the tank, m³
	holds       map[string]float64 // water in each tank, m³
}

// Refuse says why a lineup is never to be set on the case's rig; nothing where the
// plumbing and the readings do not speak against it. How long the pump would run
// under it is not computed here: Belief.Refused has those that a belief found to
// run on. A lineup that the rig does not have is the caller's slip, and is not refused.
func (c Case) Refuse(l network.Lineup) []Refusal {
	if c.Rig == nil || c.Rig.CheckLineup(l) != nil {
		return nil
	}
	var base network.Lineup
	if len(c.Readings) > 0 {
		base = c.Readings[0].Lineup
	}
	settled, empty := c.standing(nil)
	return refuse(newView(c.Rig, l), newView(c.Rig, base), standing{base: base, settled: settled, empty: empty})
}

// refuse applies the refusals to a lineup, before anything of it is costed.
func refuse(v, base *view, st standing) []Refusal {
	var list []Refusal
	add := func(rule Rule, format string, args ...any) {
		list = append(list, Refusal{rule, v.lineup, fmt.Sprintf(format, args...)})
	}
	hoseOn, regulated := "", true
	for _, p := range v.rig.Parts() {
		switch p := p.(type) {
		case network.Pump:
			if v.lineup.Of(p) != network.On() {
				continue
			}
			if !v.reachesTank(p.From) {
				add(NoSuction, "Never run “%s” with its suction shut: it would run dry and hot, and suck the strainer flat.", p.Name)
			} else if tank, ok := v.tankOf(p.From); ok && st.empty[tank] {
				add(NoSuction, "Never run “%s” on an empty tank: fill “%s” first.", p.Name, tank)
			} else if ok && st.drawn > 0 && st.holds[tank] < st.drawn {
				add(NoSuction, "“%s” would be empty before the test is over, and “%s” run dry: fill it first.", tank, p.Name)
			} else if was, before := base.tankOf(p.From); ok && before && tank != was {
				add(NoSuction, "Never run “%s” on “%s” to test it: what is in there, or air, would fill the lines.", p.Name, tank)
			}
		case network.Hookup:
			if v.lineup.Of(p) == network.On() {
				hoseOn = p.Name
				regulated = regulated && v.behindRegulator(p.At)
			}
		}
	}
	for _, p := range v.rig.Parts() {
		h, ok := p.(network.Heater)
		if !ok || h.Tankless {
			continue
		}
		i := v.section(h.At)
		was := base.section(h.At)
		if i < 0 || was < 0 { // more sections than are looked at: nobody knows what is shut in
			if !st.settled && v.lineup.String() != base.lineup.String() {
				add(HeaterShutIn, "Never change the valves around “%s” while it may be hot: too much of this rig is shut off to say what that does.", h.Name)
			}
			continue
		}
		switch {
		case !st.settled && !v.vents(h.At) && base.vents(h.At):
			add(HeaterShutIn, "Never shut “%s” in: hot water has nowhere to expand but its relief valve. Only when it is off on gas and electric, cold, and pressure let out through a hot tap.", h.Name)
		case !v.water[i] && base.water[was] && !st.settled:
			add(DryElement, "Never cut “%s” off from its water while it may be heating: off on gas and electric first, and not on again until water runs from a hot tap.", h.Name)
		}
	}
	if hoseOn != "" {
		brought := v.brought()
		most := unit.Pressure(0) // behind a regulator, and at anything that water is drawn from
		for _, p := range v.rig.Parts() {
			joints := p.Joints()
			if r, ok := p.(network.Regulator); ok {
				joints = []string{r.To}
			}
			if bears(p) || p.Kind() == "regulator" {
				for _, j := range joints {
					most = max(most, brought[j])
				}
			}
		}
		if !regulated {
			add(NoRegulator, "Never put “%s” on without a regulator: pressure at a park can be double what fittings bear.", hoseOn)
		}
		if regulated && most > mostHose {
			add(OverRating, "The hose would bring %s, more than the weakest part is known to bear: turn the regulator to %s or less.", unit.US.Format(most, 2), unit.US.Format(mostHose, 2))
		}
		for _, p := range v.rig.Parts() {
			q, ok := p.(network.Pump)
			if !ok {
				continue
			}
			if brought[q.From] > mostInlet {
				add(OverRating, "Hose pressure would stand at the inlet of “%s”, which bears %s.", q.Name, unit.US.Format(mostInlet, 2))
			}
			_, out := band(q)
			if v.lineup.Of(q) == network.On() && brought[q.To] > out+overCutOut {
				add(OverRating, "The hose would hold the lines above the %s at which “%s” stops.", unit.US.Format(out, 2), q.Name)
			}
		}
	}
	if st.inlet > mostInlet {
		add(OverRating, "%s would come to stand at a pump's inlet, which bears %s.", unit.US.Format(st.inlet, 2), unit.US.Format(mostInlet, 2))
	}
	switch {
	case st.run > mostRun:
		add(RunsOn, "The pump would run for more than a minute without a stop as the valves would stand.")
	case st.beat > 0 && st.beat < fastestBeat:
		add(RunsOn, "The pump would chatter as the valves would stand: too little is stored there.")
	case st.unrehearsed:
		add(RunsOn, "Nobody knows how the pump would run as the valves would stand: this could not be simulated to its end.")
	}
	return list
}

// vents says whether water that grows at a joint has where to go: a tap, gas, a
// tank or a pump's outlet, through whatever passes water on.
func (v *view) vents(joint string) bool {
	at := v.reaches(joint)
	return slices.ContainsFunc(v.rig.Parts(), func(p network.Part) bool {
		switch p := p.(type) {
		case network.Fixture:
			return at[p.At]
		case network.Accumulator:
			return at[p.At]
		case network.AirPocket:
			return at[p.At]
		case network.Tank:
			return slices.ContainsFunc(p.Ports, func(j string) bool { return at[j] })
		case network.Pump:
			return at[p.To]
		}
		return false
	})
}

// onward calls f for each way in which water can go from a joint to the next at
// once, as the valves stand; with what a regulator lets by at most, zero where it
// is all.
func (v *view) onward(f func(from, to string, most unit.Pressure)) {
	both := func(a, b string) { f(a, b, 0); f(b, a, 0) }
	for _, p := range v.rig.Parts() {
		set := v.lineup.Of(p)
		switch p := p.(type) {
		case network.Tube:
			both(p.From, p.To)
		case network.Strainer:
			both(p.From, p.To)
		case network.Filter:
			both(p.From, p.To)
		case network.Shutoff:
			if set.Opening() > 0 {
				both(p.From, p.To)
			}
		case network.Selector:
			for _, pos := range p.Positions {
				if pos.Name == set.Word() {
					for _, j := range pos.Joins {
						both(j[0], j[1])
					}
				}
			}
		case network.Mixer:
			if set.Word() == "hot" || set.Opening() > 0 {
				both(p.Hot, p.Spout)
			}
			if set.Word() == "cold" || set.Opening() > 0 {
				both(p.Cold, p.Spout)
			}
		case network.Check:
			f(p.From, p.To, 0)
		case network.Pump:
			f(p.From, p.To, 0)
		case network.HandPump:
			f(p.From, p.To, 0)
		case network.Regulator:
			f(p.From, p.To, p.Set)
			if !p.Check {
				f(p.To, p.From, 0)
			}
		}
	}
}

// reaches are the joints that water can go to from one.
func (v *view) reaches(joint string) map[string]bool {
	at := map[string]bool{joint: true}
	for more := true; more; {
		more = false
		v.onward(func(from, to string, _ unit.Pressure) {
			if at[from] && !at[to] {
				at[to], more = true, true
			}
		})
	}
	return at
}

// bears says whether a part should not meet the hose's pressure unregulated.
func bears(p network.Part) bool {
	switch p.(type) {
	case network.Fixture, network.Heater, network.Pump, network.Accumulator, network.Appliance:
		return true
	}
	return false
}

// brought is the pressure that the hose can bring to each joint at rest, through
// what passes water on as the valves stand.
func (v *view) brought() map[string]unit.Pressure {
	at := map[string]unit.Pressure{}
	for _, p := range v.rig.Parts() {
		if h, ok := p.(network.Hookup); ok && v.lineup.Of(p) == network.On() {
			at[h.At] = max(at[h.At], h.Static)
		}
	}
	for more := true; more; { // pressures are a few, and only rise
		more = false
		v.onward(func(from, to string, most unit.Pressure) {
			p := at[from]
			if most > 0 {
				p = min(p, most)
			}
			if p > at[to] {
				at[to], more = p, true
			}
		})
	}
	return at
}

// behindRegulator says whether a regulator stands between a joint and everything
// else that water is drawn from.
func (v *view) behindRegulator(joint string) bool {
	seen := map[string]bool{joint: true}
	queue := []string{joint}
	for len(queue) > 0 {
		at := queue[0]
		queue = queue[1:]
		for _, p := range v.rig.Parts() {
			js := p.Joints()
			touches := false
			for _, j := range js {
				touches = touches || j == at
			}
			if !touches {
				continue
			}
			if _, regulator := p.(network.Regulator); regulator {
				continue
			}
			if bears(p) {
				return false
			}
			for _, j := range js {
				if !seen[j] {
					seen[j] = true
					queue = append(queue, j)
				}
			}
		}
	}
	return true
}

// tankOf is the tank that a joint is open to.
func (v *view) tankOf(joint string) (string, bool) {
	i := v.section(joint)
	for _, p := range v.rig.Parts() {
		if t, ok := p.(network.Tank); ok {
			for _, port := range t.Ports {
				if v.section(port) == i {
					return t.Name, true
				}
			}
		}
	}
	return "", false
}

// screwRefusal is always on screen where a switch is suspected.
func screwRefusal() Refusal {
	return Refusal{SwitchScrew, nil, "Never turn the screw of the pump's switch: set too high it bursts what is weakest, set too close it chatters. Have the switch replaced."}
}
