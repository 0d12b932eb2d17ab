package network

import "quietpump/hydraulics/unit"

// An Item is what a rig is built from: a [Joint] or a [Part].
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
}

// A Joint is a place where parts meet. A joint that only parts mention has
// elevation zero, which is listed as assumed.
type Joint struct {
	Name  string
	Z     unit.Length // elevation above a datum of the rig's own
	Place string      // where a weep here would show, such as "belly pan"; zero: not said
}

func (j Joint) itemName() string { return j.Name }
