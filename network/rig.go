package network

import (
	"cmp"
	"fmt"
	"reflect"
	"slices"
	"strings"
)

// A Rig is one vehicle's whole fresh-water system: what is plumbed to what.
// It never changes once built, so many goroutines may read one rig.
type Rig struct {
	name     string
	parts    []Part           // in order of name, filled
	joints   []Joint          // in order of name
	partAt   map[string]int   // index in parts by name
	jointAt  map[string]int   // index in joints by name
	kinds    map[string][]int // indices in parts, by kind
	touching [][]int          // indices in parts, in order, by index in joints
	assumed  []Assumption
	told     map[[2]string]float64 // standard deviations that were told, by part and field
	warnings Problems
}

// A Tolerance is an [Item] that says how surely a told value is known.
type Tolerance struct {
	Part  string  // part or joint
	Field string  // in the words of rig files, such as "cut_in"
	SD    float64 // one standard deviation, in SI units
}

func (t Tolerance) itemName() string { return t.Part }

// New builds a rig from joints, parts and tolerances. It copies them, and their
// order changes nothing. Values left at zero get typical ones, listed by
// [Rig.Assumed]. A rig that cannot be right is refused with [Problems], all of
// them together.
func New(name string, items ...Item) (*Rig, error) {
	s := sorted(items)
	if n := len(s.parts); n > mostParts {
		return nil, Problems{{What: fmt.Sprintf("%d parts are more than %d", n, mostParts), Fix: "split the rig"}}
	}
	r := &Rig{name: name, joints: s.joints}
	f := &filling{}
	for _, p := range s.parts { // pumps first: charges follow from their cut-in
		if p, ok := p.(Pump); ok {
			start := p.filled(f).(Pump).startsAt()
			if start > 0 && (f.lowest == 0 || start < f.lowest) {
				f.lowest = start
			}
		}
	}
	f.assumed = f.assumed[:0]
	for _, p := range s.parts {
		r.parts = append(r.parts, p.filled(f))
	}
	r.assumed = f.assumed
	r.index()
	r.elevate(s.levels)
	slices.SortFunc(r.assumed, byPartAndField)
	r.told = make(map[[2]string]float64, len(s.tolerances))
	for _, t := range s.tolerances {
		r.told[[2]string{t.Part, t.Field}] = t.SD
	}
	if err := r.validate(s, f); err != nil {
		return nil, err
	}
	return r, nil
}

// mostParts bounds a rig. A coach has some fifty parts, a campground of 50,000 joints with a tap
// at each up to three to a joint.
const mostParts = 200_000

// sortedItems is what New was given, by sort and in order of name.
type sortedItems struct {
	parts      []Part
	joints     []Joint
	tolerances []Tolerance
	told       map[string]bool // joints that have an item of their own
	levels     map[string]bool // those of them that tell their elevation
	problems   Problems        // items that are nothing, or of a name already given
}

// sorted sorts the items. Of two parts or joints of one name the first stays in
// place of both.
func sorted(items []Item) sortedItems {
	s := sortedItems{told: make(map[string]bool), levels: make(map[string]bool)}
	from := make([]int, 0, len(items)) // the parts' items
	for i, it := range items {
		if v := reflect.ValueOf(it); v.Kind() == reflect.Pointer && !v.IsNil() {
			it, _ = v.Elem().Interface().(Item)
		} else if v.Kind() == reflect.Pointer {
			it = nil
		}
		switch it := it.(type) {
		case Part:
			s.parts = append(s.parts, it)
			from = append(from, i)
		case Joint:
			if s.told[it.Name] {
				s.problems = append(s.problems, Problem{Kind: "joint", Part: it.Name, Item: i + 1,
					What: "there are two joints of this name", Fix: "say everything about it in one"})
				continue
			}
			s.told[it.Name], s.levels[it.Name] = true, !it.Untold
			it.Untold = false
			s.joints = append(s.joints, it)
		case Tolerance:
			s.tolerances = append(s.tolerances, it)
		default:
			s.problems = append(s.problems, Problem{Item: i + 1, What: "there is nothing here", Fix: "leave it out, or give a part or joint"})
		}
	}
	s.sortParts(from)
	slices.SortFunc(s.joints, func(a, b Joint) int { return strings.Compare(a.Name, b.Name) })
	return s
}

// sortParts brings the parts, which came from those items, in order of name, and
// finds names given twice.
func (s *sortedItems) sortParts(from []int) {
	order := make([]int, len(s.parts))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(strings.Compare(s.parts[a].ID(), s.parts[b].ID()), cmp.Compare(a, b))
	})
	given := s.parts
	s.parts = make([]Part, 0, len(given))
	for _, i := range order {
		p := given[i]
		if n := len(s.parts); n > 0 && p.ID() != "" && s.parts[n-1].ID() == p.ID() {
			s.problems = append(s.problems, Problem{Kind: p.Kind(), Part: p.ID(), Field: "name", Item: from[i] + 1,
				What: "another part has this name", Fix: "give each part a name of its own"})
			continue
		}
		s.parts = append(s.parts, p)
	}
}

// index adds the joints that only parts mention, and finds who touches what.
func (r *Rig) index() {
	r.jointAt = make(map[string]int, len(r.parts))
	for i, j := range r.joints {
		r.jointAt[j.Name] = i
	}
	r.partAt = make(map[string]int, len(r.parts))
	r.kinds = make(map[string][]int)
	for i, p := range r.parts {
		r.partAt[p.ID()] = i
		r.kinds[p.Kind()] = append(r.kinds[p.Kind()], i)
		for _, j := range p.Joints() {
			if _, seen := r.jointAt[j]; !seen {
				r.jointAt[j] = len(r.joints)
				r.joints = append(r.joints, Joint{Name: j})
			}
		}
	}
	slices.SortFunc(r.joints, func(a, b Joint) int { return strings.Compare(a.Name, b.Name) })
	for i, j := range r.joints {
		r.jointAt[j.Name] = i
	}
	r.touching = make([][]int, len(r.joints))
	room := make([]int, 2*len(r.joints)) // most touch two
	for i := range r.touching {
		r.touching[i] = room[2*i : 2*i : 2*i+2]
	}
	for i, p := range r.parts {
		for _, j := range p.Joints() {
			at := r.jointAt[j]
			if n := len(r.touching[at]); n == 0 || r.touching[at][n-1] != i {
				r.touching[at] = append(r.touching[at], i)
			}
		}
	}
}

// Name returns the rig's name.
func (r *Rig) Name() string { return r.name }

// Parts returns the rig's parts in order of name, every default filled in. The
// slice is the caller's; what its parts hold is not.
func (r *Rig) Parts() []Part { return slices.Clone(r.parts) }

// Joints returns the rig's joints in order of name.
func (r *Rig) Joints() []Joint { return slices.Clone(r.joints) }

// Part returns the part of that name.
func (r *Rig) Part(name string) (Part, bool) {
	i, ok := r.partAt[name]
	if !ok {
		return nil, false
	}
	return r.parts[i], true
}

// Joint returns the joint of that name.
func (r *Rig) Joint(name string) (Joint, bool) {
	i, ok := r.jointAt[name]
	if !ok {
		return Joint{}, false
	}
	return r.joints[i], true
}

// Assumed lists the values that typical ones stand in for, in order of part and field.
func (r *Rig) Assumed() []Assumption { return slices.Clone(r.assumed) }

// SD returns one standard deviation, in SI units, of the value of a field of a
// part or joint: as a [Tolerance] told it, or as wide as an assumed value's. It
// is false for a value that was told without one, and for what is no number.
func (r *Rig) SD(part, field string) (sd float64, ok bool) {
	if sd, ok = r.told[[2]string{part, field}]; ok {
		return sd, true
	}
	i, ok := slices.BinarySearchFunc(r.assumed, Assumption{Part: part, Field: field}, byPartAndField)
	if !ok || r.assumed[i].SD == 0 {
		return 0, false
	}
	return r.assumed[i].SD, true
}

// Warnings are what is allowed and often regretted, such as a hookup without a
// regulator.
func (r *Rig) Warnings() Problems { return slices.Clone(r.warnings) }
