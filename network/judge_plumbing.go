package network

import (
	"fmt"
	"slices"
	"strings"
)

// byKind lists the parts of a kind, by index.
func (r *Rig) byKind(kind string) []int { return r.kinds[kind] }

// plumbed judges how the parts stand together.
func (j *judge) plumbed() {
	tanks, hookups := j.byKind("tank"), j.byKind("hookup")
	if len(hookups) == 0 && (len(tanks) == 0 || len(j.byKind("pump"))+len(j.byKind("hand pump")) == 0) {
		j.problems = append(j.problems, Problem{What: "the rig has no source of water", Fix: "add a tank and a pump, or a hookup"})
	} else {
		j.fed()
	}
	j.relieved()
	j.regulated()
}

// sources are the joints where water comes from: tank ports and hookups.
func (r *Rig) sources() []int {
	var at []int
	for _, p := range r.parts {
		switch p := p.(type) {
		case Tank:
			for _, port := range p.Ports {
				at = append(at, r.jointAt[port])
			}
		case Hookup:
			at = append(at, r.jointAt[p.At])
		}
	}
	return at
}

// fed finds the joints that water cannot get to, whatever stands open. Those
// that hang together are one problem.
func (j *judge) fed() {
	reached := j.all.spread(j.sources(), open)
	seen := make([]bool, len(j.joints))
	for i, joint := range j.joints {
		if reached.has(i) || seen[i] || joint.Name == "" || len(j.touching[i]) == 0 {
			continue
		}
		seen[i] = true
		group := []int{i}
		var against Part // a part by which water could come were it the other way round
		for n := 0; n < len(group); n++ {
			for _, k := range j.touching[group[n]] {
				for _, name := range j.parts[k].Joints() {
					at := j.jointAt[name]
					if reached.has(at) {
						against = j.parts[k]
					} else if !seen[at] {
						seen[at] = true
						group = append(group, at)
					}
				}
			}
		}
		p := Problem{Kind: "joint", Part: joint.Name, What: "nothing feeds it", Fix: "join it to the rest"}
		if len(group) > 1 {
			p.What = fmt.Sprintf("nothing feeds it and %d more that hang together with it", len(group)-1)
		}
		if against != nil {
			if slices.ContainsFunc(j.problems, func(p Problem) bool {
				return p.Part == against.ID() && strings.HasPrefix(p.Field, "positions")
			}) {
				continue // what is wrong with the selector is told
			}
			p.Other = against.ID()
			p.Fix = fmt.Sprintf("turn %s %q round if it points the wrong way", against.Kind(), against.ID())
			if _, selector := against.(Selector); selector {
				p.Fix = fmt.Sprintf("give selector %q a position that joins it", against.ID())
			}
		} else {
			p.What += j.suggest(joint.Name, j.jointNames)
		}
		j.problems = append(j.problems, p)
	}
}

// sameWater passes hops through parts that no hand and no check can part.
func (r *Rig) sameWater(h hop) bool {
	switch r.parts[h.part].(type) {
	case Tube, Strainer, Filter:
		return h.to >= 0
	}
	return false
}

// relieved finds heaters without a relief valve that nothing can part from them.
func (j *judge) relieved() {
	heaters := j.byKind("heater")
	if len(heaters) == 0 {
		return
	}
	group, _ := j.all.groups(j.sameWater)
	has := make(map[int]bool)
	for _, k := range j.byKind("relief valve") {
		has[group[j.jointAt[j.parts[k].(ReliefValve).At]]] = true
	}
	for _, k := range heaters {
		if h := j.parts[k].(Heater); !has[group[j.jointAt[h.At]]] {
			j.problems.add(h, "at", "it has no relief valve that stays joined to it whatever is shut",
				fmt.Sprintf("add a relief valve at joint %q, or with tube alone between", h.At))
		}
	}
}

// regulated finds regulators that hold one section without droop: their shares
// of the flow would be anybody's guess.
func (j *judge) regulated() {
	regulators := j.byKind("regulator")
	if len(regulators) < 2 {
		return
	}
	group, _ := j.all.groups(func(h hop) bool {
		_, shutoff := j.parts[h.part].(Shutoff)
		return j.sameWater(h) || shutoff
	})
	first := make(map[int]string)
	for _, k := range regulators {
		p := j.parts[k].(Regulator)
		if p.Droop != 0 {
			continue
		}
		g := group[j.jointAt[p.To]]
		if other, second := first[g]; second {
			j.problems = append(j.problems, Problem{Kind: p.Kind(), Part: p.Name, Field: "droop", Other: other,
				What: fmt.Sprintf("it and regulator %q hold one section, both without droop", other), Fix: "give them droop, such as 5 psi at 2 gpm"})
			continue
		}
		first[g] = p.Name
	}
}

// warn keeps what is allowed and often regretted.
func (j *judge) warn() {
	for _, k := range j.byKind("hookup") {
		h := j.parts[k].(Hookup)
		reached := j.all.spread([]int{j.jointAt[h.At]}, func(_ int, h hop) bool {
			_, regulator := j.parts[h.part].(Regulator)
			return !h.tight && !regulator
		})
		for at := range reached {
			if reached.has(at) && slices.ContainsFunc(j.touching[at], j.wantsRegulator) {
				j.warnings.add(h, "", "no regulator stands between it and the rig", "put one at the spigot; parks reach over 100 psi")
				break
			}
		}
	}
	for _, k := range j.byKind("pump") {
		p := j.parts[k].(Pump)
		j.checkBehind(p)
		if last := p.Curve[len(p.Curve)-1]; last.Flow > 0 && last.Rise < p.stopsAt() || last.Flow == 0 && last.Rise <= p.stopsAt() {
			j.warnings.add(p, "curve", fmt.Sprintf("its curve ends at %s, and it stops at %s only", fmt.Sprint(last.Rise), fmt.Sprint(p.stopsAt())), "it may never stop: give the curve up to where it delivers nothing")
		}
	}
}

// wantsRegulator says whether the hose's pressure should not meet the part unregulated.
func (r *Rig) wantsRegulator(part int) bool {
	switch r.parts[part].(type) {
	case Fixture, Heater, Pump, Accumulator, Appliance:
		return true
	}
	return false
}

// checkBehind warns of a check between a pump's switch and all the taps: the
// switch feels the little water before the check, not the line.
func (j *judge) checkBehind(p Pump) {
	var checks []string
	taps := false
	reached := j.all.spread([]int{j.jointAt[p.Sense]}, func(_ int, h hop) bool {
		if _, check := j.parts[h.part].(Check); check || j.parts[h.part].ID() == p.Name {
			return false
		}
		return !h.tight
	})
	for at := range reached {
		if !reached.has(at) {
			continue
		}
		for _, k := range j.touching[at] {
			switch part := j.parts[k].(type) {
			case Check:
				if j.jointAt[part.From] == at {
					checks = append(checks, part.Name)
				}
			case Fixture, Accumulator, Appliance, Hookup:
				taps = true
			}
		}
	}
	if len(checks) > 0 && !taps {
		slices.Sort(checks)
		j.warnings = append(j.warnings, Problem{Kind: "check", Part: checks[0], Other: p.Name,
			What: fmt.Sprintf("it stands after the switch of pump %q", p.Name),
			Fix:  "let the switch feel the pressure behind the check, or expect it to start at other pressures than the line's"})
	}
}
