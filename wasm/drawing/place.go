package drawing

import (
	"cmp"
	"math"
	"slices"

	"quietpump/network"
)

// Everything is placed on a lattice first, whose lines are drawn nearer together
// or farther apart to fit the paper. These are measures in lattice cells.
const (
	small     = 4  // a part between two joints, wide and high
	stand     = 5  // a part that stands at a joint, its foot on it: 4 wide
	head      = 6  // a pump
	tall      = 6  // the gauge above it
	figure    = 3  // the gauge's number, above that
	broad     = 11 // a tank, wide
	deep      = 9  // a tank, high at least
	body      = 6  // a heater, wide and high
	outside   = 8  // from the left edge to the vehicle's wall
	clearance = 2  // within wall, floor and roof
)

// A spot is where a node stands: its reference row counted upward, and how far it
// reaches from there.
type spot struct {
	x, y        int
	w, up, down int
	gap         int  // cells to keep free beside it
	flip        bool // an inline part's first port is on its right
	ups, downs  []int
}

// A terminal is where an edge may meet a node: lattice points in a row.
type terminal struct {
	x, y, n int // points x…x+n at row y
	out     int // the direction of steps that leads away from it; −1: any
	hub     int // the x of the point that stands for the joint
}

// A lattice is one way of placing a graph.
type lattice struct {
	g      *graph
	manner manner
	spots  []spot
	ends   [][2]terminal // of each edge
	rows   map[int]int   // by elevation, mm
	w, h   int
	wall   int // x of the vehicle's left wall
	// astray counts the pairs that do not stand in the order in which the rig has
	// them along the vehicle.
	astray int
	gauge  int // node of the pump with the gauge; −1: none
}

// A manner is how tightly a lattice is packed.
type manner struct {
	scale float64 // rows a metre
	fold  int     // rows that one elevation may take
	gap   int     // cells between parts
	// stretch is the cells a metre along the vehicle, where the rig tells how far
	// back its joints are.
	stretch float64
}

func (g *graph) place(m manner, gauge int) *lattice {
	l := &lattice{g: g, manner: m, spots: make([]spot, len(g.nodes)), gauge: gauge}
	for i := range g.nodes {
		l.measure(i, m)
	}
	subs := l.levels(m)
	if g.along != nil {
		l.stand(m)
	} else {
		l.pack(m, subs)
	}
	l.terminals()
	l.bound()
	return l
}

// hangs tells the parts that hang down from their joint; the others stand on it.
func hangs(p network.Part) bool {
	switch p := p.(type) {
	case network.Drain:
		return true
	case network.Fixture:
		return showers(p)
	}
	return false
}

// measure says how much room a node takes.
func (l *lattice) measure(i int, m manner) {
	n, s := &l.g.nodes[i], &l.spots[i]
	s.gap = m.gap
	for _, h := range n.hung {
		if hangs(l.g.parts[h]) {
			s.downs = append(s.downs, h)
		} else {
			s.ups = append(s.ups, h)
		}
	}
	slots := max(len(s.ups), len(s.downs))
	if slots > 0 {
		s.w = slots*(small+1) - 1
	}
	if len(s.ups) > 0 {
		s.up = stand
	}
	if len(s.downs) > 0 {
		s.down = stand
	}
	switch n.sort {
	case bar:
		s.w = max(s.w, 2*(len(n.edges)-3)) // a manifold: each tube finds a side of its own
	case inline:
		s.w, s.up, s.down = small, small/2, small/2
		if _, pump := l.g.parts[n.part].(network.Pump); pump {
			s.w, s.up, s.down = head, head/2, head/2
			if i == l.gauge {
				s.up += tall + figure
			}
		}
	case crossing:
		half := max(3, (len(n.ports)+1)/2*2-1)
		s.w, s.up, s.down = 6, half, half
	case vessel:
		s.w = broad + len(n.ports)/4
		s.up = deep
	case boiler:
		s.w = max(body, s.w)
		s.up += max(body, len(n.edges)+1)
		s.down++
	case inlet:
		s.w, s.up, s.down = small, small/2, small/2
	}
	s.flip = n.sort == inline && len(n.edges) == 2 && l.flipped(i)
}

// flipped reports whether an inline part's first port looks to the right.
func (l *lattice) flipped(i int) bool {
	n := &l.g.nodes[i]
	var order [2]int
	for _, e := range n.edges {
		here, there := l.g.edges[e].across(i)
		order[here.port] = l.seen(i, there.node)
	}
	if along := l.g.along; along != nil {
		var far [2]float64
		for _, e := range n.edges {
			here, there := l.g.edges[e].across(i)
			far[here.port] = along[there.node]
		}
		for port, j := range n.ports { // it says itself how it lies
			if at, _ := l.g.rig.Joint(j); at.Along > 0 {
				far[port] = float64(at.Along)
			}
		}
		if far[0] != far[1] {
			return far[0] < far[1]
		}
	}
	return order[0] > order[1]
}

// seen is the rank of a neighbour as the node sees it: a tank that it leads back
// to is before it.
func (l *lattice) seen(from, n int) int {
	if l.g.nodes[n].sort == vessel {
		return -1
	}
	return l.g.nodes[n].rank
}

func millimetres(z float64) int { return int(math.Round(1000 * z)) }

// near is the difference in elevation that does not show, mm: an elevation is
// rarely known that well, and a tube that jogs by it looks as if it meant something.
const near = 60

// levels gives each elevation its row, the lowest first: higher is higher, by as
// much as it is or, where that is next to nothing, by a little. It returns how
// many rows each elevation may take.
func (l *lattice) levels(m manner) map[int]int {
	l.rows = map[int]int{}
	count := map[int]int{}
	type tankAt struct{ floor, top int }
	var tanks []tankAt
	tops := map[int]bool{}
	for i := range l.g.nodes {
		n := &l.g.nodes[i]
		z := millimetres(n.z)
		switch n.sort {
		case underslung:
			continue
		case vessel:
			t := l.g.parts[n.part].(network.Tank)
			top := millimetres(n.z + float64(t.Height))
			tanks = append(tanks, tankAt{z, top})
			tops[top] = true
			count[top] += 0
			count[z] += 0
			continue
		}
		count[z] += 0
		if l.spots[i].w > 0 {
			count[z]++
		}
	}
	var zs []int
	for z := range count {
		zs = append(zs, z)
	}
	slices.Sort(zs)
	subs := map[int]int{}
	row, last := 0, 0
	for k := 0; k < len(zs); {
		z := zs[k]
		n := k // one row for all that are near it
		for n < len(zs) && zs[n] < z+near && (n == k || !tops[zs[n]]) {
			n++
		}
		if k > 0 {
			step := int(math.Round(m.scale * float64(z-last) / 1000))
			row += min(max(step, 1), 10)
		}
		for _, t := range tanks {
			if t.top == z {
				row = max(row, l.rows[t.floor]+deep)
			}
		}
		number := 0
		for _, near := range zs[k:n] {
			l.rows[near] = row
			number += count[near]
		}
		fold := min(m.fold, max(1, number/2))
		for _, near := range zs[k:n] {
			subs[near] = fold
		}
		last = z
		row += (fold - 1) * (stand + 2)
		k = n
	}
	return subs
}

// pack puts the nodes in their rows, each as far left as the order of the water
// and the others leave room.
func (l *lattice) pack(m manner, subs map[int]int) {
	turn := make([]int, 0, len(l.spots))
	for i := range l.g.nodes {
		if l.g.nodes[i].sort != underslung {
			turn = append(turn, i)
		}
	}
	slices.SortFunc(turn, func(a, b int) int {
		x, y := &l.g.nodes[a], &l.g.nodes[b]
		first := func(n *node) int {
			switch n.sort {
			case inlet:
				return 0
			case vessel:
				return 1
			}
			return 2
		}
		return cmp.Or(cmp.Compare(first(x), first(y)), cmp.Compare(x.rank, y.rank), cmp.Compare(len(y.edges), len(x.edges)), cmp.Compare(x.z, y.z), cmp.Compare(a, b))
	})
	l.wall = 0
	for i := range l.g.nodes {
		if l.g.nodes[i].sort == inlet {
			l.wall = outside
		}
	}
	inner := l.wall + clearance
	var placed []int
	edge := 0
	for _, i := range turn {
		n, s := &l.g.nodes[i], &l.spots[i]
		base := l.rows[millimetres(n.z)]
		left := inner
		switch n.sort {
		case inlet:
			s.x, s.y = 2, l.apart(base, placed, s)
			placed = append(placed, i)
			continue
		case vessel:
			t := l.g.parts[n.part].(network.Tank)
			s.up = l.rows[millimetres(n.z+float64(t.Height))] - base
			left = max(left, edge)
		}
		for _, e := range n.edges {
			_, there := l.g.edges[e].across(i)
			u := &l.spots[there.node]
			if !slices.Contains(placed, there.node) || n.sort == vessel {
				continue
			}
			switch {
			case l.g.nodes[there.node].sort == vessel:
				left = max(left, u.x+u.w+s.gap)
			case l.g.nodes[there.node].sort == inlet, n.back:
			case len(n.edges) == 1 && n.sort == bar:
				left = max(left, u.x+(u.w-s.w)/2)
			default:
				left = max(left, u.x+u.w/2+1)
			}
		}
		best := math.MaxInt
		folds := subs[millimetres(n.z)]
		if len(n.edges) > 1 && n.sort != boiler { // what is on the way of the water keeps to one row
			folds = 1
		}
		for k := range folds {
			y := base + k*(stand+2)
			if x := l.room(left, y, placed, s); x < best {
				best = x
				s.x, s.y = x, y
			}
			if n.sort == vessel {
				break
			}
		}
		if n.sort == vessel {
			edge = s.x + s.w + s.gap
		}
		placed = append(placed, i)
	}
}

// apart is the first row from one on in which a hookup does not lie over another.
func (l *lattice) apart(y int, placed []int, s *spot) int {
	for again := true; again; {
		again = false
		for _, p := range placed {
			if o := &l.spots[p]; y-s.down <= o.y+o.up+1 && o.y-o.down <= y+s.up+1 {
				y, again = o.y+o.up+s.down+2, true
			}
		}
	}
	return y
}

// room is the first place from x on where a node in row y meets no other.
func (l *lattice) room(x, y int, placed []int, s *spot) int {
	for again := true; again; {
		again = false
		for _, p := range placed {
			o := &l.spots[p]
			if y-s.down-2 > o.y+o.up || o.y-o.down-2 > y+s.up {
				continue
			}
			if gap := max(s.gap, o.gap); x < o.x+o.w+gap && o.x < x+s.w+gap {
				x, again = o.x+o.w+gap, true
			}
		}
	}
	return x
}

// terminals says where each edge meets its nodes.
func (l *lattice) terminals() {
	l.ends = make([][2]terminal, len(l.g.edges))
	for i := range l.g.nodes {
		n, s := &l.g.nodes[i], &l.spots[i]
		type at struct{ edge, side, over, port int }
		var left, right []at
		for _, e := range slices.Compact(slices.Clone(n.edges)) {
			ed := &l.g.edges[e]
			for side := range ed.ends {
				if ed.ends[side].node != i {
					continue
				}
				there := ed.ends[1-side].node
				a := at{e, side, there, ed.ends[side].port}
				switch n.sort {
				case bar:
					l.ends[e][side] = terminal{s.x, s.y, s.w, -1, s.x + s.w/2}
				case inline:
					onLeft := (a.port == 0) != s.flip
					x, out := s.x+s.w, toRight
					if onLeft {
						x, out = s.x, toLeft
					}
					l.ends[e][side] = terminal{x, s.y, 0, out, x}
				case inlet:
					l.ends[e][side] = terminal{s.x + s.w, s.y, 0, toRight, s.x + s.w}
				case vessel:
					right = append(right, a)
				default:
					o := &l.spots[there]
					first := l.seen(i, there) < n.rank
					if l.g.along != nil {
						first = l.g.beside(there, i)
					}
					if first || o.x+o.w <= s.x {
						left = append(left, a)
					} else {
						right = append(right, a)
					}
				}
			}
		}
		byHeight := func(a, b at) int {
			return cmp.Or(cmp.Compare(l.spots[a.over].y, l.spots[b.over].y), cmp.Compare(a.edge, b.edge), cmp.Compare(a.side, b.side))
		}
		for x, list := range map[int][]at{s.x: left, s.x + s.w: right} {
			slices.SortFunc(list, byHeight)
			for k, a := range list {
				y := s.y
				switch n.sort {
				case vessel:
					y = l.mouth(i, a.port, a.over, k, len(list))
				case boiler:
					y += k
				default:
					y += 2*k - (len(list) - 1)
				}
				out := toRight
				if x == s.x {
					out = toLeft
				}
				l.ends[a.edge][a.side] = terminal{x, y, 0, out, x}
			}
		}
	}
}

// mouth is the row at which a port sits in a tank's wall: its elevation's, or that
// of what it leads to where that is next to it.
func (l *lattice) mouth(i, port, over, k, of int) int {
	n, s := &l.g.nodes[i], &l.spots[i]
	t := l.g.parts[n.part].(network.Tank)
	share := (l.g.z[n.ports[port]] - n.z) / float64(t.Height)
	y := s.y + int(math.Round(share*float64(s.up)))
	if there := l.spots[over].y; abs(there-y) <= 2 {
		y = there
	}
	lo, hi := s.y+1+2*k, s.y+s.up-1-2*(of-1-k)
	return min(max(y, lo), max(hi, lo))
}

// bound turns the rows over, so that they count downward, and adds the margins.
func (l *lattice) bound() {
	lowest, highest, right := math.MaxInt, math.MinInt, 0
	for i := range l.spots {
		if l.g.nodes[i].sort == underslung {
			continue
		}
		s := &l.spots[i]
		lowest, highest = min(lowest, s.y-s.down), max(highest, s.y+s.up)
		right = max(right, s.x+s.w)
	}
	if lowest > highest {
		lowest, highest = 0, deep
	}
	top := highest + clearance
	for i := range l.spots {
		l.spots[i].y = top - l.spots[i].y
	}
	for e := range l.ends {
		for k := range l.ends[e] {
			l.ends[e][k].y = top - l.ends[e][k].y
		}
	}
	for z, r := range l.rows {
		l.rows[z] = top - r
	}
	l.h = top - lowest + clearance
	l.w = right + clearance + 1
}
