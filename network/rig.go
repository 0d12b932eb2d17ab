package network

import (
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
	sd       map[[2]string]float64 // by part and field
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
	if len(items) > mostItems {
		return nil, Problems{{What: fmt.Sprintf("%d items are more than %d", len(items), mostItems), Fix: "split the rig"}}
	}
	s := sorted(items)
	r := &Rig{name: name, joints: s.joints}
	f := &filling{}
	for _, p := range s.parts { // pumps first: charges follow from their cut-in
		if p, ok := p.(Pump); ok {
			start := p.filled(f).(Pump).startsAt()
			if f.lowest == 0 || start < f.lowest {
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
	r.elevate(s.told)
	slices.SortStableFunc(r.assumed, byPartAndField)
	r.tolerate(s.tolerances)
	if err := r.validate(s, f); err != nil {
		return nil, err
	}
	return r, nil
}

// mostItems bounds what one rig may be built from.
const mostItems = 250_000

// sortedItems is what New was given, by sort and in order of name.
type sortedItems struct {
	parts      []Part
	joints     []Joint
	tolerances []Tolerance
	told       map[string]bool // joints that have an item of their own
	problems   Problems        // items that are nothing
}

// sorted sorts the items. Of two parts or joints of one name the first stays in
// place of both.
func sorted(items []Item) sortedItems {
	s := sortedItems{told: make(map[string]bool)}
	first := make(map[string]bool) // names of parts met
	for i, it := range items {
		if v := reflect.ValueOf(it); v.Kind() == reflect.Pointer && !v.IsNil() {
			it, _ = v.Elem().Interface().(Item)
		} else if v.Kind() == reflect.Pointer {
			it = nil
		}
		switch it := it.(type) {
		case Part:
			if first[it.ID()] && it.ID() != "" {
				s.problems = append(s.problems, twiceNamed(it, i))
				continue
			}
			first[it.ID()] = true
			s.parts = append(s.parts, it)
		case Joint:
			if s.told[it.Name] {
				s.problems = append(s.problems, Problem{Kind: "joint", Part: it.Name, Item: i + 1,
					What: "there are two joints of this name", Fix: "say everything about it in one"})
				continue
			}
			s.told[it.Name] = true
			s.joints = append(s.joints, it)
		case Tolerance:
			s.tolerances = append(s.tolerances, it)
		default:
			s.problems = append(s.problems, Problem{Item: i + 1, What: "there is nothing here", Fix: "leave it out, or give a part or joint"})
		}
	}
	slices.SortStableFunc(s.parts, func(a, b Part) int { return strings.Compare(a.ID(), b.ID()) })
	slices.SortStableFunc(s.joints, func(a, b Joint) int { return strings.Compare(a.Name, b.Name) })
	return s
}

// index adds the joints that only parts mention, and finds who touches what.
func (r *Rig) index() {
	seen := make(map[string]bool, len(r.joints))
	for _, j := range r.joints {
		seen[j.Name] = true
	}
	r.partAt = make(map[string]int, len(r.parts))
	r.kinds = make(map[string][]int)
	for i, p := range r.parts {
		r.partAt[p.ID()] = i
		r.kinds[p.Kind()] = append(r.kinds[p.Kind()], i)
		for _, j := range p.Joints() {
			if !seen[j] {
				seen[j] = true
				r.joints = append(r.joints, Joint{Name: j})
			}
		}
	}
	slices.SortStableFunc(r.joints, func(a, b Joint) int { return strings.Compare(a.Name, b.Name) })
	r.jointAt = make(map[string]int, len(r.joints))
	for i, j := range r.joints {
		r.jointAt[j.Name] = i
	}
	r.touching = make([][]int, len(r.joints))
	for i, p := range r.parts {
		for _, j := range p.Joints() {
			at := r.jointAt[j]
			if n := len(r.touching[at]); n == 0 || r.touching[at][n-1] != i {
				r.touching[at] = append(r.touching[at], i)
			}
		}
	}
}

// tolerate gathers how surely values are known: what was told rules.
func (r *Rig) tolerate(told []Tolerance) {
	r.sd = make(map[[2]string]float64, len(r.assumed)+len(told))
	for _, a := range r.assumed {
		if a.SD > 0 {
			r.sd[[2]string{a.Part, a.Field}] = a.SD
		}
	}
	for _, t := range told {
		r.sd[[2]string{t.Part, t.Field}] = t.SD
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
	sd, ok = r.sd[[2]string{part, field}]
	return sd, ok
}

// Warnings are what is allowed and often regretted, such as a hookup without a
// regulator.
func (r *Rig) Warnings() Problems { return slices.Clone(r.warnings) }
