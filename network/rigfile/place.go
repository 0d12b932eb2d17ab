package rigfile

import (
	"errors"
	"strings"

	"quietpump/network"
)

// build makes the rig, or says all that is wrong with it.
func (d *decoder) build() *network.Rig {
	rig, err := network.New(d.rigName, d.items...)
	if err == nil {
		return rig
	}
	var ps network.Problems
	if !errors.As(err, &ps) {
		d.Complain(0, "", err.Error(), "")
	}
	for _, p := range ps {
		d.placed(p)
	}
	return nil
}

// placed finds where in the file a rig's problem was written. It leaves out what
// only follows from a problem that is told already.
func (d *decoder) placed(p network.Problem) {
	plumbing := p.Kind == "" && p.Field == "" || p.Kind == "joint" || p.Other != "" || p.Field == "at" || p.Field == "sense" || p.Field == "into"
	if plumbing && d.Lost {
		return
	}
	at := d.parts[p.Part]
	if p.Kind == "joint" {
		at = d.joints[p.Part]
	}
	off := d.off
	if p.Kind == "" && p.Field == "name" {
		off = d.rigAt
	}
	if at != nil {
		for path := range at.Bad {
			if p.Field == "" || path == p.Field || strings.HasPrefix(path, p.Field+".") {
				return
			}
		}
		off = at.Place(p.Field)
	} else if o, ok := d.mentions[p.Part]; ok && p.Kind == "joint" {
		off = o
	}
	d.Problems = append(d.Problems, d.Problem(off, p.Kind, p.Part, p.What, p.Fix))
}
