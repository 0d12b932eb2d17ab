package network

import "quietpump/hydraulics/unit"

// An Item is what a rig is built from: a [Joint], a [Part] or a [Tolerance].
type Item interface{ itemName() string }

// A Part joins two or more joints or sits at one. The kinds are the struct
// types of this package; each kind's file says what the part is, how it stands
// when nobody has touched it, and where its water can go.
type Part interface {
	Item
	// ID is the part's name, unique in its rig.
	ID() string
	// Kind is the part's kind in the words of rig files, such as "check".
	Kind() string
	// Joints are the names of the joints it touches, in the order of its ports.
	Joints() []string

	// stands says how the part stands when it is set so: the zero Setting and
	// other words for a setting become the setting itself. It is false for a
	// setting the part does not have.
	stands(Setting) (Setting, bool)
	// passages are the ways of water through and out of the part when it stands so.
	passages(Setting) []passage
	// filled returns a copy with typical values where none was told.
	filled(*filling) Part
}

// A Joint is a place where parts meet. A joint that only parts mention has a
// typical elevation, or its neighbour's, which is listed as assumed.
type Joint struct {
	Name   string
	Z      unit.Length // elevation above a datum of the rig's own
	Untold bool        // Z was not told: [New] puts a typical elevation there, listed as assumed, and clears this
	Place  string      // where a weep here would show, such as "belly pan"; zero: not said
	Along  unit.Length // how far back from the vehicle's nose; zero: not said. The water does not feel it
}

func (j Joint) itemName() string { return j.Name }

// fixedStands is how a part stands that no hand can set.
func fixedStands(s Setting) (Setting, bool) { return Setting{}, s == Setting{} }

// valveStands is how a part stands that opens and shuts by hand.
func valveStands(s, untouched Setting) (Setting, bool) {
	switch s.word {
	case "":
		return untouched, true
	case "on":
		return Open(1), true
	case "off", "shut":
		return Shut(), true
	case "open":
		if s.opening <= 0 {
			return Shut(), s.opening == 0
		}
		return s, s.opening <= 1
	}
	return Setting{}, false
}
