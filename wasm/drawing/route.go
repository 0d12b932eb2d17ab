package drawing

import (
	"cmp"
	"slices"
)

// What a tube is charged on its way, in cells.
const (
	forStep  = 2
	forBend  = 5
	forCross = 28
	forClose = 3   // beside another
	forOver  = 160 // along another, or round a corner of it
	forOut   = 6   // outdoors
)

// A cell is a point of the lattice.
type cell struct{ x, y int }

// used counts how routes pass a point: a number of twelve bits for each way there is
// to pass it, so that one route can be taken out without the others. A picture has
// far fewer tubes than they hold.
type used uint64

const (
	oneAcross  used = 1 << (12 * iota)
	oneUpright      // through it up or down
	oneCorner
	oneRight // the step from it to the right
	oneDown  // the step down
	blocked  // no tube may pass
)

const (
	anyAcross  = oneUpright - oneAcross // the bits of its number
	anyUpright = oneCorner - oneUpright
	anyCorner  = oneRight - oneCorner
	anyRight   = oneDown - oneRight
	anyDown    = blocked - oneDown
)

// A router finds ways for tubes.
type router struct {
	w, h int
	wall int // what lies left of it is outdoors
	use  []used
	*search
}

// A search is what finding one way needs, kept for the next.
type search struct {
	a, b  terminal
	cost  []int32 // by point and direction
	from  []int8  // direction before
	turn  []int32 // the search that cost and from are of
	now   int32
	queue [][]int32 // what waits, by cost
	first int       // no cost below it is waited for
	last  int
}

// The directions: right, down, left, up.
var steps = [4]cell{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}

const toRight, toLeft = 0, 2

// A routed lattice has ways for its tubes, by edge.
type routed struct {
	*lattice
	ways  [][]cell
	order []int // in which they were found
	r     *router
}

// route finds a way for every edge, the short ones first.
func (l *lattice) route(s *search) *routed {
	r := &router{w: l.w + 1, h: l.h + 1, wall: l.wall, search: s}
	n := r.w * r.h
	r.use = make([]used, n)
	if len(s.cost) < 4*n {
		s.cost, s.from, s.turn = make([]int32, 4*n), make([]int8, 4*n), make([]int32, 4*n)
	}
	for i := range l.spots {
		if l.g.nodes[i].sort == underslung {
			continue
		}
		s := &l.spots[i]
		for x := s.x; x <= s.x+s.w; x++ {
			for y := s.y - s.up; y <= s.y+s.down; y++ {
				r.block(x, y)
			}
		}
	}
	out := &routed{l, make([][]cell, len(l.ends)), make([]int, len(l.ends)), r}
	span := func(e int) int {
		a, b := l.ends[e][0], l.ends[e][1]
		return abs(a.hub-b.hub) + abs(a.y-b.y)
	}
	for i := range out.order {
		out.order[i] = i
	}
	slices.SortFunc(out.order, func(a, b int) int { return cmp.Or(cmp.Compare(span(a), span(b)), cmp.Compare(a, b)) })
	for _, e := range out.order {
		out.ways[e] = r.find(l.ends[e])
		r.mark(out.ways[e], 1)
	}
	return out
}

// again finds each way anew, now that the others are known.
func (o *routed) again() {
	for _, e := range o.order {
		o.r.mark(o.ways[e], -1)
		o.ways[e] = o.r.find(o.ends[e])
		o.r.mark(o.ways[e], 1)
	}
}

// price is what is not well about the ways: tubes over one another, crossings,
// bends, length.
func (o *routed) price() float64 {
	const over, cross, bend, length = 0.05, 0.012, 0.004, 0.012 // over and cross are seen from both tubes
	sum := 0.0
	for _, way := range o.ways {
		o.r.mark(way, -1)
		n, c := o.r.meets(way)
		o.r.mark(way, 1)
		sum += over*float64(n) + cross*float64(c) + length*float64(len(way))/float64(o.w+o.h)
		for i := 2; i < len(way); i++ {
			if way[i].x != way[i-2].x && way[i].y != way[i-2].y {
				sum += bend
			}
		}
	}
	return sum
}

func abs(x int) int { return max(x, -x) }

func (r *router) inside(x, y int) bool { return x >= 0 && y >= 0 && x < r.w && y < r.h }

func (r *router) block(x, y int) {
	if r.inside(x, y) {
		r.use[y*r.w+x] |= blocked
	}
}

// mark counts a way so many times more: once, or once less.
func (r *router) mark(way []cell, times int) {
	by := used(times) // −1 wraps round, and so takes one away
	for i, c := range way {
		u := &r.use[c.y*r.w+c.x]
		across, upright := false, false
		for _, k := range [2]int{i - 1, i + 1} {
			if k >= 0 && k < len(way) {
				across = across || way[k].y == c.y
				upright = upright || way[k].x == c.x
			}
		}
		if across {
			*u += by * oneAcross
		}
		if upright {
			*u += by * oneUpright
		}
		if across && upright {
			*u += by * oneCorner
		}
		switch {
		case i == 0:
		case way[i-1].y == c.y:
			r.use[c.y*r.w+min(way[i-1].x, c.x)] += by * oneRight
		default:
			r.use[min(way[i-1].y, c.y)*r.w+c.x] += by * oneDown
		}
	}
}

// meets counts the cells a way shares with others along them, and those it
// crosses them in.
func (r *router) meets(way []cell) (over, crossed int) {
	for i := 1; i+1 < len(way); i++ {
		u := r.use[way[i].y*r.w+way[i].x]
		straight := way[i-1].x == way[i+1].x || way[i-1].y == way[i+1].y
		along := anyAcross
		if way[i-1].x == way[i].x {
			along = anyUpright
		}
		switch {
		case u&(anyAcross|anyUpright) == 0:
		case straight && u&along == 0:
			crossed++
		default:
			over++
		}
	}
	return over, crossed
}

// find is the cheapest way between two terminals.
func (r *router) find(ends [2]terminal) []cell {
	a, b := ends[0], ends[1]
	if a.out < 0 && a.y == b.y && a.x <= b.x+b.n && b.x <= a.x+a.n { // the same place
		return []cell{{max(a.x, b.x), a.y}}
	}
	r.a, r.b = a, b
	r.now++
	r.empty()
	for x := a.x; x <= a.x+a.n; x++ {
		for dir := range steps {
			if a.out >= 0 && dir != a.out {
				continue
			}
			// The middle of a joint is where most of its tubes should meet.
			r.leave(x, a.y, dir, int32(abs(x-a.hub)), -1)
		}
	}
	for {
		next, paid, ok := r.pop()
		if !ok {
			return nil
		}
		at := int(next)
		dir := at & 3
		y := at >> 2 / r.w
		x := at>>2 - y*r.w
		if paid != r.cost[at]+r.ahead(x, y, dir) {
			continue
		}
		if b.has(x, y) {
			return r.back(at)
		}
		straight := r.cost[at]
		bent := straight + forBend
		if r.use[y*r.w+x]&(anyAcross|anyUpright) != 0 {
			bent += forOver
		}
		for to := range steps {
			switch to {
			case dir ^ 2:
			case dir:
				r.leave(x, y, to, straight, int8(dir))
			default:
				r.leave(x, y, to, bent, int8(dir))
			}
		}
	}
}

// has reports whether a point is one of the terminal's.
func (t *terminal) has(x, y int) bool { return y == t.y && x >= t.x && x <= t.x+t.n }

// ahead is what is left to pay at least: the steps, and a bend unless the end lies
// straight ahead.
func (r *router) ahead(x, y, dir int) int32 {
	dx, dy := 0, r.b.y-y
	if x < r.b.x {
		dx = r.b.x - x
	} else if x > r.b.x+r.b.n {
		dx = r.b.x + r.b.n - x
	}
	cost := int32(forStep * (abs(dx) + abs(dy)))
	if d := steps[dir]; dx*d.y != 0 || dy*d.x != 0 || dx*d.x < 0 || dy*d.y < 0 {
		cost += forBend
	}
	return cost
}

// leave takes a step from a point, which was reached at a cost in the direction
// before, and lets what it leads to wait for its turn.
func (r *router) leave(x, y, dir int, cost int32, before int8) {
	x1, y1 := x+steps[dir].x, y+steps[dir].y
	if !r.inside(x1, y1) || r.a.has(x1, y1) {
		return
	}
	there := r.b.has(x1, y1)
	if there && r.b.out >= 0 && dir != r.b.out^2 {
		return
	}
	here := y1*r.w + x1
	u := r.use[here]
	if u&blocked != 0 && !there {
		return
	}
	cost += forStep
	along, beside, taken := anyAcross, r.w, anyRight
	if dir&1 == 1 {
		along, beside, taken = anyUpright, 1, anyDown
	}
	step := u // the use of the step is kept at its upper or left end
	if dir < 2 {
		step = r.use[y*r.w+x]
	}
	if step&taken != 0 {
		cost += forOver
	}
	if !there {
		switch {
		case u&(along|anyCorner) != 0:
			cost += forOver
		case u&(anyAcross|anyUpright) != 0:
			cost += forCross
		}
		if k := here - beside; k >= 0 && r.use[k]&along != 0 {
			cost += forClose
		}
		if k := here + beside; k < len(r.use) && r.use[k]&along != 0 {
			cost += forClose
		}
		if x1 <= r.wall {
			cost += forOut
		}
		if x1 == 0 || y1 == 0 || x1 == r.w-1 || y1 == r.h-1 {
			cost += 2 * forClose
		}
	}
	at := 4*here + dir
	if r.turn[at] == r.now && r.cost[at] <= cost {
		return
	}
	r.turn[at], r.cost[at], r.from[at] = r.now, cost, before
	r.push(int32(at), cost+r.ahead(x1, y1, dir))
}

// back follows a way to its beginning.
func (r *router) back(at int) []cell {
	var way []cell
	for {
		dir := at & 3
		x, y := at/4%r.w, at/4/r.w
		way = append(way, cell{x, y})
		from := r.from[at]
		x, y = x-steps[dir].x, y-steps[dir].y
		if from < 0 {
			way = append(way, cell{x, y})
			break
		}
		at = 4*(y*r.w+x) + int(from)
	}
	slices.Reverse(way)
	return way
}

// The queue keeps what waits by its cost; of equals the last to come is the first
// to go.

func (s *search) push(at, cost int32) {
	for int(cost) >= len(s.queue) {
		s.queue = append(s.queue, nil)
	}
	s.queue[cost] = append(s.queue[cost], at)
	s.first, s.last = min(s.first, int(cost)), max(s.last, int(cost))
}

// pop takes the cheapest; ok is false when nothing waits.
func (s *search) pop() (at, cost int32, ok bool) {
	for ; s.first <= s.last; s.first++ {
		if n := len(s.queue[s.first]); n > 0 {
			at = s.queue[s.first][n-1]
			s.queue[s.first] = s.queue[s.first][:n-1]
			return at, int32(s.first), true
		}
	}
	return 0, 0, false
}

func (s *search) empty() {
	for i := range s.queue[:min(s.last+1, len(s.queue))] {
		s.queue[i] = s.queue[i][:0]
	}
	s.first, s.last = 0, 0
}
