package network

import (
	"slices"
	"strings"

	"quietpump/hydraulics/unit"
)

// A RunOut is the water that runs out of one opening by its own weight when a
// part is taken out of a rig that is not under pressure.
type RunOut struct {
	Joint string      // where the part's port was
	Z     unit.Length // elevation of the opening
	// Water is what lies higher than the opening, on its way there, in tubes and
	// heaters. All of it runs out only where air gets in above, by an open tap;
	// with none open much of it stays.
	Water  unit.Volume
	Heater bool // a heater's water is in it
	// FromTanks is what runs out of tanks on top of that, until their level has
	// fallen to the opening or to the highest place on the way.
	FromTanks unit.Volume
	Tanks     []string // those that run out, in order
}

// RunsOut returns what runs out of each opening where a part was, with the rest
// standing as the lineup says: the lowest opening first, water that could reach
// several counted at the first. Water goes by whatever passes it without
// pressure: open valves both ways, checks and pump heads forward. Tanks hold what
// is told, in the others stands as much as they hold. It is nil where the rig has
// no such part.
func (r *Rig) RunsOut(l Lineup, part string, tanks map[string]unit.Volume) []RunOut {
	at, ok := r.partAt[part]
	if !ok {
		return nil
	}
	n := r.plumb(l)
	for i, hops := range n.hops {
		n.hops[i] = slices.DeleteFunc(slices.Clone(hops), func(h hop) bool { return h.part == int32(at) || h.tight })
	}
	var list []RunOut
	for _, name := range r.parts[at].Joints() {
		list = append(list, RunOut{Joint: name, Z: r.joints[r.jointAt[name]].Z})
	}
	slices.SortStableFunc(list, func(a, b RunOut) int {
		switch {
		case a.Z < b.Z:
			return -1
		case a.Z > b.Z:
			return 1
		}
		return strings.Compare(a.Joint, b.Joint)
	})
	levels := make([][]unit.Length, len(list)) // by opening
	reached := make([][]bool, len(list))
	for i, o := range list {
		levels[i], reached[i] = n.standing(r.jointAt[o.Joint])
	}
	for i, p := range r.parts {
		if i == at {
			continue
		}
		// The opening to which the most of the part's water falls gets it.
		best, most := -1, unit.Volume(0)
		for k := range list {
			if v := r.falls(p, levels[k], reached[k], tanks); v > most {
				best, most = k, v
			}
		}
		if best < 0 {
			continue
		}
		switch p.(type) {
		case Tank:
			list[best].FromTanks += most
			list[best].Tanks = append(list[best].Tanks, p.ID())
		case Heater:
			list[best].Heater = true
			list[best].Water += most
		default:
			list[best].Water += most
		}
	}
	return list
}

// falls is how much of a part's water runs down to an opening. level says how high
// water at each joint stays standing; only where reached does any run.
func (r *Rig) falls(p Part, level []unit.Length, reached []bool, tanks map[string]unit.Volume) unit.Volume {
	switch p := p.(type) {
	case Tube:
		low, high := r.jointAt[p.From], r.jointAt[p.To]
		if r.joints[low].Z > r.joints[high].Z {
			low, high = high, low
		}
		if !reached[low] && !reached[high] {
			return 0
		}
		from, to, stays := r.joints[low].Z, r.joints[high].Z, level[low]
		if !reached[low] {
			stays = level[high]
		}
		switch {
		case stays >= to && stays > from:
			return 0
		case to == from:
			return p.water()
		}
		return p.water() * unit.Volume(min(1, (to-stays)/(to-from)))
	case Heater:
		if i := r.jointAt[p.At]; reached[i] && level[i] <= r.joints[i].Z {
			return p.Volume
		}
	case Tank:
		holds, told := tanks[p.Name]
		if !told {
			holds = p.Capacity
		}
		best := unit.Volume(0)
		for _, port := range p.Ports {
			i := r.jointAt[port]
			if !reached[i] {
				continue
			}
			stays := p.Capacity * unit.Volume(max(0, (level[i]-p.Floor)/p.Height))
			best = max(best, holds-stays)
		}
		return best
	}
	return 0
}

// standing is, for each joint from which water gets to the opening, the level
// above which it runs out there: the lowest, over all ways, of the highest place
// on the way.
func (n *plumbing) standing(opening int) (level []unit.Length, reached []bool) {
	level, reached = make([]unit.Length, len(n.hops)), make([]bool, len(n.hops))
	into := make([][]int, len(n.hops)) // joints whose water gets to a joint by one hop
	for i, hops := range n.hops {
		for _, h := range hops {
			if h.to >= 0 {
				into[h.to] = append(into[h.to], i)
			}
		}
	}
	done := make([]bool, len(n.hops))
	level[opening], reached[opening] = n.rig.joints[opening].Z, true
	for {
		at := -1
		for i := range level { // the lowest that is not done
			if reached[i] && !done[i] && (at < 0 || level[i] < level[at]) {
				at = i
			}
		}
		if at < 0 {
			return level, reached
		}
		done[at] = true
		for _, i := range into[at] {
			if by := max(level[at], n.rig.joints[i].Z); !reached[i] || by < level[i] {
				level[i], reached[i] = by, true
			}
		}
	}
}
