package network

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"quietpump/hydraulics/unit"
	"quietpump/network/internal/near"
)

// A judge gathers what is wrong with a rig.
type judge struct {
	*Rig
	filling   *filling
	all       *plumbing       // with everything open
	named     map[string]bool // joints that have an item of their own
	problems  Problems
	suggested int
}

// rules are the kinds' own rules, beside those for all.
type rules interface{ judge(*judge) }

// validate returns every problem of the rig at once, and keeps its warnings.
func (r *Rig) validate(s sortedItems, f *filling) error {
	j := &judge{Rig: r, filling: f, all: r.plumbOpen(), named: s.told, problems: s.problems}
	if len(r.parts) == 0 {
		j.problems = append(j.problems, Problem{What: "the rig has no parts", Fix: "begin with a tank, a pump and the tubes between"})
		return j.problems.Err()
	}
	if what := unprintable(r.name); what != "" {
		j.problems = append(j.problems, Problem{Field: "name", What: fmt.Sprintf("the rig's name %q %s", r.name, what), Fix: "write it with letters, digits and single spaces"})
	}
	for _, p := range r.parts {
		j.part(p)
	}
	for _, joint := range r.joints {
		j.joint(joint)
	}
	for _, t := range s.tolerances {
		j.tolerance(t)
	}
	j.plumbed()
	slices.SortStableFunc(j.problems, func(a, b Problem) int {
		return cmp.Or(strings.Compare(a.Part, b.Part), strings.Compare(a.Field, b.Field), strings.Compare(a.What, b.What))
	})
	if len(j.problems) == 0 {
		j.warn()
	}
	return j.problems.Err()
}

// part judges one part by itself.
func (j *judge) part(p Part) {
	if p.ID() == "" {
		j.problems.add(p, "name", "it has no name", "give it one that says where it is, such as \"galley cold\"")
	}
	v := reflect.ValueOf(p)
	for _, f := range flaws(v, "", nil) {
		j.problems.add(p, f.field, f.what, f.fix)
	}
	for _, field := range [...]string{"From", "To", "At", "Hot", "Cold", "Spout"} {
		if f := v.FieldByName(field); f.IsValid() && f.Kind() == reflect.String && f.Len() == 0 {
			j.problems.add(p, snake(field), fmt.Sprintf("it names no joint for its %q", snake(field)), "say which joint it meets there")
		}
	}
	if ports := p.Joints(); len(ports) > 1 {
		for i, a := range ports {
			if a != "" && slices.Contains(ports[:i], a) {
				j.problems.add(p, "", fmt.Sprintf("it meets joint %q twice", a), "give each of its ports a joint of its own")
			}
		}
	}
	if own, ok := p.(rules); ok {
		own.judge(j)
	}
}

// joint judges one joint: whether anything, and more than one thing, meets there.
func (j *judge) joint(joint Joint) {
	if joint.Name == "" {
		if j.named[""] {
			j.problems = append(j.problems, Problem{Kind: "joint", Field: "name", What: "it has no name", Fix: "give it one, or leave it out"})
		}
		return
	}
	for _, f := range flaws(reflect.ValueOf(joint), "", nil) {
		j.problems = append(j.problems, Problem{Kind: "joint", Part: joint.Name, Field: f.field, What: f.what, Fix: f.fix})
	}
	touching := j.touching[j.jointAt[joint.Name]]
	var tanks []string
	for _, k := range touching {
		if t, ok := j.parts[k].(Tank); ok {
			tanks = append(tanks, t.Name)
		}
	}
	switch {
	case len(tanks) > 1:
		j.problems = append(j.problems, Problem{Kind: "joint", Part: joint.Name, Other: tanks[1],
			What: fmt.Sprintf("tanks %q and %q share it", tanks[0], tanks[1]), Fix: "give each tank its own ports and put a tube between"})
	case len(touching) == 0:
		j.problems = append(j.problems, Problem{Kind: "joint", Part: joint.Name,
			What: "no part meets here" + j.suggest(joint.Name, j.jointNames), Fix: "leave it out, or name it at a part's end"})
	case len(touching) == 1 && !j.named[joint.Name] && len(j.parts[touching[0]].Joints()) > 1:
		p := j.parts[touching[0]]
		j.problems = append(j.problems, Problem{Kind: "joint", Part: joint.Name, Other: p.ID(),
			What: fmt.Sprintf("only %s %q meets here", p.Kind(), p.ID()) + j.suggest(joint.Name, j.jointNames),
			Fix:  "join another part to it; for a capped end give the joint an entry of its own"})
	}
}

func (j *judge) tolerance(t Tolerance) {
	kind, typ := "joint", reflect.TypeFor[Joint]()
	if p, ok := j.Part(t.Part); ok {
		kind, typ = p.Kind(), reflect.TypeOf(p)
	} else if _, ok := j.Joint(t.Part); !ok {
		j.problems = append(j.problems, Problem{Kind: "tolerance of", Part: t.Part, Field: t.Field,
			What: "no part or joint has this name" + j.suggest(t.Part, j.allNames), Fix: "name one that is in the rig"})
		return
	}
	_, joint := j.Joint(t.Part)
	switch {
	case !hasField(typ, t.Field) && !(joint && t.Field == "z"):
		j.problems = append(j.problems, Problem{Kind: kind, Part: t.Part, Field: t.Field,
			What: fmt.Sprintf("it has no %q to be uncertain of", t.Field) + j.suggest(t.Field, func() []string { return fieldWords[typ] }), Fix: "name one of its fields"})
	case !(t.SD >= 0 && t.SD <= 1e300):
		j.problems = append(j.problems, Problem{Kind: kind, Part: t.Part, Field: t.Field,
			What: fmt.Sprintf("the tolerance of its %s is no positive number", spaced(t.Field)), Fix: "write it after ±, in the unit of the value"})
	}
}

// suggest asks near.Word, a hundred times at most, so that a file full of slips
// is judged as quickly as another.
func (j *judge) suggest(word string, words func() []string) string {
	if j.suggested++; j.suggested > 100 {
		return ""
	}
	return didYouMean(word, words())
}

func didYouMean(word string, words []string) string {
	if near := near.Word(word, words); near != "" {
		return fmt.Sprintf(" (did you mean %q?)", near)
	}
	return ""
}

// jointNames are the names of the joints in order.
func (r *Rig) jointNames() []string {
	names := make([]string, len(r.joints))
	for i, j := range r.joints {
		names[i] = j.Name
	}
	return names
}

// partNames are the names of the parts in order.
func (r *Rig) partNames() []string {
	names := make([]string, len(r.parts))
	for i, p := range r.parts {
		names[i] = p.ID()
	}
	return names
}

func (r *Rig) allNames() []string { return append(r.partNames(), r.jointNames()...) }

// waste judges where a part drains to.
func (j *judge) waste(p Part, into string) {
	if into == "" || into == string(ToGround) {
		return
	}
	other, ok := j.Part(into)
	if _, waste := other.(WasteTank); waste {
		return
	}
	what := fmt.Sprintf("it drains into %q, which is no part of the rig", into)
	if ok {
		what = fmt.Sprintf("it drains into %q, which is a %s and no waste tank", into, other.Kind())
	} else {
		what += j.suggest(into, j.partNames)
	}
	j.problems = append(j.problems, Problem{Kind: p.Kind(), Part: p.ID(), Field: "into", Other: into, What: what, Fix: "add the waste tank, or leave it out for the ground"})
}

func (p Fixture) judge(j *judge)   { j.waste(p, p.Into) }
func (p Appliance) judge(j *judge) { j.waste(p, p.Into) }

func (p Tube) judge(j *judge) {
	if _, err := j.filling.size(p.Material, p.Size); err != nil && (p.Bore == 0 || p.Compliance == 0 && !p.Rigid || p.Roughness == 0) {
		j.problems.add(p, "size", err.Error(), "write a trade size, or bore, roughness and compliance outright")
	}
}

func (p Tank) judge(j *judge) {
	if len(p.Ports) == 0 {
		j.problems.add(p, "ports", "it has no ports", "name the joint of its outlet")
	}
	if slices.Contains(p.Ports, "") {
		j.problems.add(p, "ports", "a port names no joint", "say which joint it is")
	}
}

func (p Elastic) judge(j *judge) {
	if p.Compliance == 0 {
		j.problems.add(p, "compliance", "it has no compliance", "give it one, or leave the part out")
	}
}

func (p Accumulator) judge(j *judge) {
	var stops unit.Pressure
	var pump string
	for _, k := range j.byKind("pump") {
		if other := j.parts[k].(Pump); other.stopsAt() > stops {
			stops, pump = other.stopsAt(), other.Name
		}
	}
	if pump != "" && p.Precharge >= stops {
		j.problems = append(j.problems, Problem{Kind: p.Kind(), Part: p.Name, Field: "precharge", Other: pump,
			What: fmt.Sprintf("precharge %s is not below %s, at which pump %q stops: it would never take water", fmt.Sprint(p.Precharge), fmt.Sprint(stops), pump),
			Fix:  "charge it about 3 psi below the pump's cut-in"})
	}
}

func (p Pump) judge(j *judge) {
	if _, ok := j.Joint(p.Sense); !ok && p.Sense != "" {
		j.problems.add(p, "sense", fmt.Sprintf("its switch feels the pressure at %q, which is no joint", p.Sense)+j.suggest(p.Sense, j.jointNames), "name a joint, or leave it out for the pump's outlet")
	}
	switch h := p.Hold; {
	case h != nil && h.Start >= h.Set:
		j.problems.add(p, "hold.start", fmt.Sprintf("it starts at %s, not below the %s that it holds", fmt.Sprint(h.Start), fmt.Sprint(h.Set)), "lower the start")
	case h == nil && p.CutIn == p.CutOut:
		j.problems.add(p, "cut_in", fmt.Sprintf("cut-in and cut-out are both %s", fmt.Sprint(p.CutIn)), "set cut-in about 15 psi below cut-out")
	case h == nil && p.CutIn > p.CutOut:
		j.problems.add(p, "cut_in", fmt.Sprintf("cut-in %s is above cut-out %s", fmt.Sprint(p.CutIn), fmt.Sprint(p.CutOut)), "swap them")
	}
	if h := p.Hold; h != nil && h.LeastSpeed > 1 {
		j.problems.add(p, "hold.least_speed", "least speed is above full speed", "write it as a fraction, such as 0.2")
	}
	if p.Bypass != (Bypass{}) && p.Bypass.Full <= p.Bypass.Opens {
		j.problems.add(p, "bypass.full", fmt.Sprintf("its bypass is full at %s, not above the %s at which it opens", fmt.Sprint(p.Bypass.Full), fmt.Sprint(p.Bypass.Opens)), "swap them")
	}
	if err := p.Curve.Check(); err != nil {
		j.problems.add(p, "curve", strings.ReplaceAll(err.Error(), "\n", ", "), "list its points from open flow to the rise at which it delivers nothing")
	}
}

func (p Selector) judge(j *judge) {
	if len(p.Ports) < 2 || len(p.Ports) > mostPorts {
		j.problems.add(p, "ports", fmt.Sprintf("it has %d ports", len(p.Ports)), fmt.Sprintf("name the joints of its ports, 2 to %d", mostPorts))
	}
	if len(p.Positions) == 0 {
		j.problems.add(p, "positions", "it has no positions", "say for each position of its handle which ports it joins")
	}
	if len(p.Positions) > mostPositions {
		j.problems.add(p, "positions", fmt.Sprintf("it has %d positions", len(p.Positions)), fmt.Sprintf("give %d at most", mostPositions))
	}
	if slices.Contains(p.Ports, "") {
		j.problems.add(p, "ports", "a port names no joint", "say which joint it is")
	}
	names := make(map[string]bool)
	for i, pos := range p.Positions {
		read, err := parseSetting(pos.Name)
		switch {
		case pos.Name == "":
			j.problems.add(p, "positions", fmt.Sprintf("position %d has no name", i+1), "call it what is written at the handle")
		case names[pos.Name]:
			j.problems.add(p, "positions", fmt.Sprintf("two positions are called %q", pos.Name), "give each a name of its own")
		case err != nil || read != At(pos.Name) && !strings.EqualFold(read.word, pos.Name) || read.word == "open":
			j.problems.add(p, "positions", fmt.Sprintf("a position cannot be called %q, which means something else in a lineup", pos.Name), "call it what is written at the handle")
		}
		names[pos.Name] = true
		for _, pair := range pos.Joins {
			for _, joint := range pair {
				if !slices.Contains(p.Ports, joint) {
					j.problems = append(j.problems, Problem{Kind: p.Kind(), Part: p.Name, Field: "positions", Other: joint,
						What: fmt.Sprintf("position %q joins %q, which is none of its ports", pos.Name, joint) + j.suggest(joint, func() []string { return p.Ports }),
						Fix:  "name two of its ports"})
				}
			}
			if pair[0] == pair[1] {
				j.problems.add(p, "positions", fmt.Sprintf("position %q joins %q to itself", pos.Name, pair[0]), "name two of its ports")
			}
		}
	}
}

// A selector of more ports or positions than these is a slip.
const mostPorts, mostPositions = 12, 24
