package drawing

import (
	"cmp"
	"math"
	"slices"

	"quietpump/network"
)

// A rig whose file tells how far back from the nose its joints are is placed by
// that: what is farther back stands farther from the nose. Nodes of which nothing is
// told stand between their neighbours.

// locate gives every node its distance from the nose; it is false where the rig
// tells none.
func (g *graph) locate() bool {
	told := map[string]float64{}
	for _, j := range g.rig.Joints() {
		if j.Along > 0 {
			told[j.Name] = float64(j.Along)
		}
	}
	if len(told) == 0 {
		return false
	}
	g.along = make([]float64, len(g.nodes))
	known := make([]bool, len(g.nodes))
	for i := range g.nodes {
		n := &g.nodes[i]
		sum, count := 0.0, 0
		for _, j := range n.ports {
			if at, ok := told[j]; ok {
				sum, count = sum+at, count+1
			}
		}
		if count > 0 {
			g.along[i], known[i] = sum/float64(count), true
		}
	}
	// The others by what they are joined to, from the told outward.
	for range g.nodes {
		var found []int
		for i := range g.nodes {
			if known[i] {
				continue
			}
			sum, count := 0.0, 0
			for _, e := range g.nodes[i].edges {
				if _, there := g.edges[e].across(i); known[there.node] {
					sum, count = sum+g.along[there.node], count+1
				}
			}
			if count > 0 {
				g.along[i] = sum / float64(count)
				found = append(found, i)
			}
		}
		if len(found) == 0 {
			break
		}
		for _, i := range found {
			known[i] = true
		}
	}
	return true
}

// stand puts the nodes where they are along the vehicle, so many cells a metre, and
// where two would meet the later one a little nearer to the nose.
func (l *lattice) stand(m manner) {
	back := 0.0
	turn := make([]int, 0, len(l.spots))
	l.wall = 0
	for i := range l.g.nodes {
		switch l.g.nodes[i].sort {
		case underslung:
			continue
		case inlet:
			l.wall = outside
		default:
			back = max(back, l.g.along[i])
		}
		turn = append(turn, i)
	}
	inner := l.wall + clearance
	wants := func(i int) int {
		s := &l.spots[i]
		return inner + small + int(math.Round(m.stretch*(back-l.g.along[i]))) - s.w/2
	}
	slices.SortFunc(turn, func(a, b int) int {
		first := func(i int) int { // what has no choice comes first
			switch l.g.nodes[i].sort {
			case inlet:
				return 0
			case vessel:
				return 1
			}
			return 2
		}
		return cmp.Or(cmp.Compare(first(a), first(b)), cmp.Compare(wants(a), wants(b)), cmp.Compare(l.g.nodes[a].rank, l.g.nodes[b].rank), cmp.Compare(a, b))
	})
	var placed []int
	for _, i := range turn {
		n, s := &l.g.nodes[i], &l.spots[i]
		s.y = l.rows[millimetres(n.z)]
		switch n.sort {
		case inlet:
			s.x, s.y = 2, l.apart(s.y, placed, s)
			placed = append(placed, i)
			continue
		case vessel:
			t := l.g.parts[n.part].(network.Tank)
			s.up = l.rows[millimetres(n.z+float64(t.Height))] - s.y
		}
		s.x = l.room(max(inner, wants(i)), s.y, placed, s)
		placed = append(placed, i)
	}
	l.astray = 0
	for k, a := range turn {
		for _, b := range turn[:k] {
			x, y := &l.spots[a], &l.spots[b]
			d := l.g.along[a] - l.g.along[b]
			if l.g.nodes[a].sort == inlet || l.g.nodes[b].sort == inlet || math.Abs(d) < told {
				continue
			}
			if over := (2*x.x + x.w - 2*y.x - y.w); (d > 0) == (over > 0) && over != 0 {
				l.astray++
			}
		}
	}
}

// told is a difference along the vehicle that shows, m.
const told = 0.15

// beside reports whether a node stands nearer to the tank's end of the picture than
// another, by where both are in the vehicle.
func (g *graph) beside(a, b int) bool { return g.along[a] > g.along[b] }
