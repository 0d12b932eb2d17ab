package network

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"quietpump/network/internal/near"
)

// A judge gathers what is wrong with a rig.
type judge struct {
	*Rig
	filling   *filling
	all       *plumbing       // with everything open
	named     map[string]bool // joints that have an item of their own
	levels    map[string]bool // those of them that tell their elevation
	problems  Problems
	suggested int
}

// rules are the kinds' own rules, beside those for all.
type rules interface{ judge(*judge) }

// validate returns every problem of the rig at once, and keeps its warnings.
func (r *Rig) validate(s sortedItems, f *filling) error {
	j := &judge{Rig: r, filling: f, all: r.plumbOpen(), named: s.told, levels: s.levels, problems: s.problems}
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
	for _, field := range portFields {
		if f := v.FieldByName(field); f.IsValid() && f.Kind() == reflect.String && f.Len() == 0 {
			j.problems.add(p, snake(field), fmt.Sprintf("it names no joint for its %q", snake(field)), "say which joint it meets there")
		}
	}
	if ports := p.Joints(); len(ports) > 1 {
		for i, a := range ports {
			if a != "" && slices.Contains(ports[:i], a) {
				j.problems.add(p, portField(v, a), fmt.Sprintf("it meets joint %q twice", a), "give each of its ports a joint of its own")
			}
		}
	}
	if own, ok := p.(rules); ok {
		own.judge(j)
	}
}

// portFields are the fields that name one joint each.
var portFields = [...]string{"From", "To", "At", "Hot", "Cold", "Spout"}

// portField is the last field of a part that names a joint, in the words of rig files.
func portField(part reflect.Value, joint string) string {
	word := "ports"
	for _, field := range portFields {
		if f := part.FieldByName(field); f.IsValid() && f.Kind() == reflect.String && f.String() == joint {
			word = snake(field)
		}
	}
	return word
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
		if f.field == "z" && !j.levels[joint.Name] {
			continue // it follows from another's
		}
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
