package network

import (
	"fmt"
	"strings"

	"quietpump/hydraulics/unit"
)

// resting says how high above the tank's floor a kind of part usually sits.
// Where several sit at one joint the one listed first decides. Common practice,
// no source.
var resting = []struct {
	kind string
	z    unit.Length
}{
	{"pump", 0.2}, {"shower", 1.2}, {"toilet", 0.5}, {"fixture", 0.9}, {"appliance", 0.9}, {"hookup", 0.6},
	{"heater", 0.4}, {"vacuum breaker", 0.6}, {"relief valve", 0.5}, {"accumulator", 0.25}, {"hand pump", 0.6}, {"drain", 0.05},
}

// restingAs is the word under which resting knows a part.
func restingAs(p Part) string {
	if p, ok := p.(Fixture); ok {
		switch {
		case p.Toilet:
			return "toilet"
		case strings.Contains(strings.ToLower(p.Name), "shower"):
			return "shower"
		}
	}
	return p.Kind()
}

// elevate gives every joint that nobody told about an elevation: by what sits
// there, else its nearest neighbour's.
func (r *Rig) elevate(told map[string]bool) {
	const unknown = -1
	neighbour := len(resting)
	rank := make([]int, len(r.joints)) // of resting; -1 unknown
	var queue []int                    // joints of known elevation
	base, atFloor := r.floor(), r.suction()
	for i, j := range r.joints {
		rank[i] = unknown
		if told[j.Name] {
			rank[i] = 0
			continue
		}
		r.joints[i].Z = base
		for _, k := range r.touching[i] {
			p := r.parts[k]
			if t, ok := p.(Tank); ok {
				rank[i], r.joints[i].Z = 0, t.Floor
				if j.Name != t.Ports[0] && !atFloor[i] {
					r.joints[i].Z += t.Height
				}
				break
			}
			as := restingAs(p)
			for n, kind := range resting {
				if kind.kind == as && (rank[i] == unknown || n < rank[i]) {
					rank[i], r.joints[i].Z = n, base+kind.z
				}
			}
		}
		if rank[i] != unknown {
			r.assumeElevation(i, 0.3)
		}
	}
	for i := range r.joints {
		if rank[i] != unknown {
			queue = append(queue, i)
		}
	}
	for ; len(queue) > 0; queue = queue[1:] {
		for _, k := range r.touching[queue[0]] {
			if _, tank := r.parts[k].(Tank); tank {
				continue
			}
			for _, name := range r.parts[k].Joints() {
				if i := r.jointAt[name]; rank[i] == unknown {
					rank[i], r.joints[i].Z = neighbour, r.joints[queue[0]].Z
					r.assumeElevation(i, 0.4)
					queue = append(queue, i)
				}
			}
		}
	}
	for i := range r.joints {
		if rank[i] == unknown {
			r.assumeElevation(i, 0.4)
		}
	}
}

func (r *Rig) assumeElevation(joint int, sd float64) {
	j := r.joints[joint]
	r.assumed = append(r.assumed, Assumption{Part: j.Name, Field: "z", Value: fmt.Sprint(j.Z), SD: sd, Source: commonPractice})
}

// floor is the lowest tank floor, 0 without a tank.
func (r *Rig) floor() unit.Length {
	var low unit.Length
	first := true
	for _, p := range r.parts {
		if t, ok := p.(Tank); ok && (first || t.Floor < low) {
			low, first = t.Floor, false
		}
	}
	return low
}

// suction marks the joints from which a pump draws, and those of drains: a
// tank's port there is at its floor.
func (r *Rig) suction() map[int]bool {
	at := make(map[int]bool)
	var queue []int
	reach := func(name string) {
		if i := r.jointAt[name]; !at[i] {
			at[i] = true
			queue = append(queue, i)
		}
	}
	for _, p := range r.parts {
		switch p := p.(type) {
		case Pump:
			reach(p.From)
		case HandPump:
			reach(p.From)
		}
	}
	for ; len(queue) > 0; queue = queue[1:] {
		for _, k := range r.touching[queue[0]] {
			switch p := r.parts[k].(type) {
			case Tube, Shutoff, Strainer, Filter:
				for _, name := range p.Joints() {
					reach(name)
				}
			}
		}
	}
	for _, p := range r.parts {
		if d, ok := p.(Drain); ok {
			at[r.jointAt[d.At]] = true
		}
	}
	return at
}
