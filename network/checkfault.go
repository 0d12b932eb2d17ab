package network

import (
	"fmt"
	"math"
	"slices"
)

// CheckFaults returns [Problems] where a fault names what the rig has not or
// what cannot have it, or has no sense; else nil.
func (r *Rig) CheckFaults(faults Faults) error {
	var ps Problems
	for i, f := range faults {
		if f == nil {
			ps = append(ps, Problem{Item: i + 1, What: "a fault is nothing", Fix: "leave it out"})
			continue
		}
		if p, bad := f.judge(r); bad {
			p.Item = i + 1
			ps = append(ps, p)
		}
	}
	return ps.Err()
}

// faulty returns the part at fault, or what is wrong with its name or kind.
func (r *Rig) faulty(name, kind, fault string) (Part, Problem, bool) {
	p, ok := r.Part(name)
	if !ok {
		return nil, Problem{Kind: "fault of", Part: name, What: "the rig has no such part" + didYouMean(name, r.partNames()), Fix: "name a part of the rig"}, true
	}
	if p.Kind() != kind {
		return nil, Problem{Kind: p.Kind(), Part: name, What: "it cannot have " + fault, Fix: "name " + article(kind)}, true
	}
	return p, Problem{}, false
}

func article(kind string) string {
	if kind[0] == 'a' || kind[0] == 'e' {
		return "an " + kind
	}
	return "a " + kind
}

func against(p Part, field, what, fix string) (Problem, bool) {
	return Problem{Kind: p.Kind(), Part: p.ID(), Field: field, What: what, Fix: fix}, true
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func (f LostCharge) judge(r *Rig) (Problem, bool) {
	p, problem, bad := r.faulty(f.Part, "accumulator", "a lost charge")
	if bad {
		return problem, true
	}
	if !finite(float64(f.Precharge)) || f.Precharge < 0 {
		return against(p, "precharge", fmt.Sprintf("its charge of %s cannot be", f.Precharge), "write zero for a charge that is all lost")
	}
	return Problem{}, false
}

func (f DriftedSwitch) judge(r *Rig) (Problem, bool) {
	p, problem, bad := r.faulty(f.Part, "pump", "a drifted switch")
	if bad {
		return problem, true
	}
	pump := p.(Pump)
	if pump.Hold != nil {
		return against(p, "hold", "it holds a pressure and has no switch to drift", "leave the fault out")
	}
	cutIn, cutOut := pump.CutIn, pump.CutOut
	if f.CutIn != 0 {
		cutIn = f.CutIn
	}
	if f.CutOut != 0 {
		cutOut = f.CutOut
	}
	if !finite(float64(cutIn)) || !finite(float64(cutOut)) || cutIn <= 0 || cutIn >= cutOut {
		return against(p, "cut_in", fmt.Sprintf("drifted, its cut-in %s is not between zero and its cut-out %s", cutIn, cutOut), "tell both settings as they are now")
	}
	return Problem{}, false
}

func (f SlowPump) judge(r *Rig) (Problem, bool) {
	p, problem, bad := r.faulty(f.Part, "pump", "a wrong speed")
	if bad {
		return problem, true
	}
	if !(f.Speed >= leastSpeed && f.Speed <= 10) {
		return against(p, "speed", fmt.Sprintf("%s %% of its speed cannot be", percent(f.Speed)), "write a share above zero, such as 70 %; a pump that is off belongs to the lineup")
	}
	return Problem{}, false
}

func (f TrappedAir) judge(r *Rig) (Problem, bool) {
	joint := Problem{Kind: "joint", Part: f.Joint}
	if _, ok := r.Joint(f.Joint); !ok {
		joint.What, joint.Fix = "the rig has no such joint to trap air at"+didYouMean(f.Joint, r.jointNames()), "name a joint of the rig"
		return joint, true
	}
	if !finite(float64(f.Volume)) || f.Volume < 0 {
		joint.What, joint.Fix = fmt.Sprintf("its air of %s cannot be", f.Volume), "write zero or more"
		return joint, true
	}
	return Problem{}, false
}

func (f Seep) judge(r *Rig) (Problem, bool) {
	p, ok := r.Part(f.Part)
	if !ok {
		if _, joint := r.Joint(f.Part); !joint {
			return Problem{Kind: "seep of", Part: f.Part, What: "the rig has no such part or joint" + didYouMean(f.Part, r.allNames()), Fix: "name a part or joint of the rig"}, true
		}
		p = connection(f.Part)
	}
	against := func(field, what, fix string) (Problem, bool) {
		problem, bad := against(p, field, what, fix)
		if !ok {
			problem.Kind = "joint"
		}
		return problem, bad
	}
	pairs := pairsOf(p)
	named := f.Pair != ([2]string{})
	switch {
	case !seeps(p):
		return against("", "it holds nothing back, so it cannot seep", "name the part that should be tight, or for a weep a joint or tube")
	case named && len(pairs) == 0:
		return against("", fmt.Sprintf("it has no port pair %s-%s", f.Pair[0], f.Pair[1]), "leave the ports out")
	case !named && len(pairs) > 0:
		return against("", "which two of its ports seep is not said", fmt.Sprintf("name them, such as %s-%s", pairs[0][0], pairs[0][1]))
	case named && !slices.Contains(pairs, f.Pair) && !slices.Contains(pairs, [2]string{f.Pair[1], f.Pair[0]}):
		return against("", fmt.Sprintf("it cannot seep between %q and %q", f.Pair[0], f.Pair[1])+didYouMean(f.Pair[0], p.Joints()), "name two of its ports that it can part")
	case !finite(float64(f.Ref)) || f.Ref < 0 || !finite(float64(f.At)) || f.At < 0:
		return against("", "its seep is no flow of zero or more at a pressure above zero", "write it as 55 mL/min at 45 psi")
	case !(f.Exp == 0 || f.Exp >= 0.1 && f.Exp <= 3):
		return against("", fmt.Sprintf("the exponent %g of its seep is out of range", f.Exp), "0.5 is an orifice, 1 a film, 1.5 a crack")
	}
	return Problem{}, false
}

// connection stands for a joint where only its weep is meant.
func connection(joint string) Part { return Tube{Name: joint} }

// seeps says whether a part can let water by when it should not, or weep.
func seeps(p Part) bool {
	switch p.(type) {
	case Tube, Filter:
		return true
	}
	return slices.ContainsFunc(atRest(p), func(w passage) bool { return w.tight })
}

// pairsOf lists the port pairs between which a part of several can seep.
func pairsOf(p Part) [][2]string {
	var pairs [][2]string
	for _, w := range atRest(p) {
		if w.tight && w.pair != ([2]string{}) && !slices.Contains(pairs, w.pair) {
			pairs = append(pairs, w.pair)
		}
	}
	return pairs
}

// atRest are the passages of a part shut, or of a selector in each position.
func atRest(p Part) []passage {
	sel, ok := p.(Selector)
	if !ok {
		return p.passages(Shut())
	}
	var all []passage
	for _, pos := range sel.Positions {
		all = append(all, sel.passages(At(pos.Name))...)
	}
	return all
}
