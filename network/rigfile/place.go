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
		d.complain(0, "", err.Error(), "")
	}
	for _, p := range ps {
		d.place(p)
	}
	return nil
}

// place finds where in the file a rig's problem was written. It leaves out what
// only follows from a problem that is told already.
func (d *decoder) place(p network.Problem) {
	plumbing := p.Kind == "" && p.Field == "" || p.Kind == "joint" || p.Other != "" || p.Field == "at" || p.Field == "sense" || p.Field == "into"
	if plumbing && d.lost {
		return
	}
	at := d.parts[p.Part]
	if p.Kind == "joint" {
		at = d.joints[p.Part]
	}
	off := 0
	if p.Kind == "" && p.Field == "name" {
		off = d.rigAt
	}
	if at != nil {
		for path := range at.bad {
			if p.Field == "" || path == p.Field || strings.HasPrefix(path, p.Field+".") {
				return
			}
		}
		off = at.off
		for field := p.Field; field != ""; field, _, _ = cutLast(field) {
			if o, ok := at.keys[field]; ok {
				off = o
				break
			}
		}
	} else if o, ok := d.mentions[p.Part]; ok && p.Kind == "joint" {
		off = o
	}
	d.problems = append(d.problems, d.src.problem(off, p.Kind, p.Part, p.What, p.Fix))
}

// cutLast parts a path of keys before its last dot.
func cutLast(path string) (before, last string, found bool) {
	i := strings.LastIndexByte(path, '.')
	if i < 0 {
		return "", path, false
	}
	return path[:i], path[i+1:], true
}
