package network

// A Rig is one vehicle's whole fresh-water system: what is plumbed to what.
// It never changes once built, so many goroutines may read one rig.
type Rig struct {
	name    string
	parts   []Part  // sorted by name, defaults filled in
	joints  []Joint // sorted by name
	assumed []Assumption
	told    map[string]float64
}

// An Assumption is a value nobody told: a typical one stands in.
type Assumption struct {
	Part   string  // part or joint
	Field  string  // in the words of rig files, such as "length"
	Value  string  // as people read it, such as "1 m"
	SD     float64 // one standard deviation, in SI units
	Source string  // a publication, or "common practice, no source"
}

// New builds a rig from joints and parts. Values left at zero get typical ones,
// listed by [Rig.Assumed]. A rig that cannot be right is refused with
// [Problems], all of them together.
func New(name string, items ...Item) (*Rig, error) {
	r := &Rig{name: name}
	for _, it := range items {
		switch it := it.(type) {
		case Joint:
			r.joints = append(r.joints, it)
		case Part:
			r.parts = append(r.parts, it)
		}
	}
	return r, nil
}

// Name returns the rig's name.
func (r *Rig) Name() string { return r.name }

// Parts returns the rig's parts in order of name, every default filled in.
func (r *Rig) Parts() []Part { return r.parts }

// Joints returns the rig's joints in order of name.
func (r *Rig) Joints() []Joint { return r.joints }

// Part returns the part of that name.
func (r *Rig) Part(name string) (Part, bool) {
	for _, p := range r.parts {
		if p.ID() == name {
			return p, true
		}
	}
	return nil, false
}

// Assumed lists the values that typical ones stand in for.
func (r *Rig) Assumed() []Assumption { return r.assumed }

// A Tolerance is an [Item] that says how surely a told value is known.
type Tolerance struct {
	Part  string  // part or joint
	Field string  // in the words of rig files, such as "cut_in"
	SD    float64 // one standard deviation, in SI units
}

func (t Tolerance) itemName() string { return t.Part }
