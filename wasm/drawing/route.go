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

// used says how routes pass a point.
const (
	usedAcross = 1 << iota
	usedUpright
	usedCorner
	usedRight // the step from it to the right
	usedDown  // the step down
	blocked
)

// A router finds ways for tubes.
type router struct {
	w, h  int
	wall  int // what lies left of it is outdoors
	use   []uint8
	cost  []int32 // by point and direction
	from  []int8  // direction before
	turn  []int32
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
func (l *lattice) route() *routed {
	r := &router{w: l.w + 1, h: l.h + 1, wall: l.wall}
	n := r.w * r.h
	r.use, r.cost, r.from, r.turn = make([]uint8, n), make([]int32, 4*n), make([]int8, 4*n), make([]int32, 4*n)
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
		r.mark(out.ways[e])
	}
	return out
}

// again finds each way anew, now that the others are known.
func (o *routed) again() {
	for _, e := range o.order {
		o.without(e)
		o.ways[e] = o.r.find(o.ends[e])
	}
}

// without marks all ways but one.
func (o *routed) without(e int) {
	o.r.clear()
	for k := range o.ways {
		if k != e {
			o.r.mark(o.ways[k])
		}
	}
}

// price is what is not well about the ways: tubes over one another, crossings,
// bends, length.
func (o *routed) price() float64 {
	const over, cross, bend, length = 0.05, 0.012, 0.004, 0.012 // over and cross are seen from both tubes
	sum := 0.0
	for e, way := range o.ways {
		o.without(e)
		n, c := o.r.meets(way)
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

// clear forgets all ways.
func (r *router) clear() {
	for i := range r.use {
		r.use[i] &= blocked
	}
}

func (r *router) mark(way []cell) {
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
			*u |= usedAcross
		}
		if upright {
			*u |= usedUpright
		}
		if across && upright {
			*u |= usedCorner
		}
		if i > 0 {
			at, bit := r.step(way[i-1], c)
			r.use[at] |= bit
		}
	}
}

// step is where the use of a step from one point to the next is kept.
func (r *router) step(a, b cell) (at int, bit uint8) {
	if a.y == b.y {
		return a.y*r.w + min(a.x, b.x), usedRight
	}
	return min(a.y, b.y)*r.w + a.x, usedDown
}

// meets counts the cells a way shares with others along them, and those it
// crosses them in.
func (r *router) meets(way []cell) (over, crossed int) {
	for i := 1; i+1 < len(way); i++ {
		u := r.use[way[i].y*r.w+way[i].x]
		straight := way[i-1].x == way[i+1].x || way[i-1].y == way[i+1].y
		along := uint8(usedAcross)
		if way[i-1].x == way[i].x {
			along = usedUpright
		}
		switch {
		case u&(usedAcross|usedUpright) == 0:
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
	r.now++
	r.empty()
	goal := func(x, y int) bool { return y == b.y && x >= b.x && x <= b.x+b.n }
	// What is left to pay at least: the steps, and a bend unless it lies straight ahead.
	ahead := func(x, y, dir int) int32 {
		dx, dy := 0, b.y-y
		if x < b.x {
			dx = b.x - x
		} else if x > b.x+b.n {
			dx = b.x + b.n - x
		}
		cost := int32(forStep * (abs(dx) + abs(dy)))
		if d := steps[dir]; dx*d.y != 0 || dy*d.x != 0 || dx*d.x < 0 || dy*d.y < 0 {
			cost += forBend
		}
		return cost
	}
	start := func(x, y int) bool { return y == a.y && x >= a.x && x <= a.x+a.n }
	push := func(x, y, dir int, cost int32, from int8) {
		at := int32(4*(y*r.w+x) + dir)
		if r.turn[at] == r.now && r.cost[at] <= cost {
			return
		}
		r.turn[at], r.cost[at], r.from[at] = r.now, cost, from
		r.push(at, cost+ahead(x, y, dir))
	}
	leave := func(x, y, dir int, cost int32, from int8) {
		x1, y1 := x+steps[dir].x, y+steps[dir].y
		if !r.inside(x1, y1) || start(x1, y1) {
			return
		}
		if b.out >= 0 && dir != b.out^2 && goal(x1, y1) {
			return
		}
		u := r.use[y1*r.w+x1]
		if u&blocked != 0 && !goal(x1, y1) {
			return
		}
		cost += forStep
		if at, bit := r.step(cell{x, y}, cell{x1, y1}); r.use[at]&bit != 0 {
			cost += forOver
		}
		if !goal(x1, y1) {
			along, beside := uint8(usedAcross), r.w
			if dir&1 == 1 {
				along, beside = usedUpright, 1
			}
			switch {
			case u&along != 0 || u&usedCorner != 0:
				cost += forOver
			case u&(usedAcross|usedUpright) != 0:
				cost += forCross
			}
			for _, k := range [2]int{-beside, beside} {
				if at := y1*r.w + x1 + k; at >= 0 && at < len(r.use) && r.use[at]&along != 0 {
					cost += forClose
				}
			}
			if x1 <= r.wall {
				cost += forOut
			}
			if x1 == 0 || y1 == 0 || x1 == r.w-1 || y1 == r.h-1 {
				cost += 2 * forClose
			}
		}
		push(x1, y1, dir, cost, from)
	}
	for x := a.x; x <= a.x+a.n; x++ {
		for dir := range steps {
			if a.out >= 0 && dir != a.out {
				continue
			}
			// The middle of a joint is where most of its tubes should meet.
			leave(x, a.y, dir, int32(abs(x-a.hub)), -1)
		}
	}
	for {
		next, paid, ok := r.pop()
		if !ok {
			return nil
		}
		at := int(next)
		dir := at & 3
		x, y := at/4%r.w, at/4/r.w
		if paid != r.cost[at]+ahead(x, y, dir) {
			continue
		}
		if goal(x, y) {
			return r.back(at, ends)
		}
		u := r.use[y*r.w+x]
		for to := range steps {
			if to == dir^2 {
				continue
			}
			cost := r.cost[at]
			if to != dir {
				cost += forBend
				if u&(usedAcross|usedUpright) != 0 {
					cost += forOver
				}
			}
			leave(x, y, to, cost, int8(dir))
		}
	}
}

// back follows a way to its beginning.
func (r *router) back(at int, ends [2]terminal) []cell {
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

func (r *router) push(at, cost int32) {
	for int(cost) >= len(r.queue) {
		r.queue = append(r.queue, nil)
	}
	r.queue[cost] = append(r.queue[cost], at)
	r.first, r.last = min(r.first, int(cost)), max(r.last, int(cost))
}

// pop takes the cheapest; ok is false when nothing waits.
func (r *router) pop() (at, cost int32, ok bool) {
	for ; r.first <= r.last; r.first++ {
		if n := len(r.queue[r.first]); n > 0 {
			at = r.queue[r.first][n-1]
			r.queue[r.first] = r.queue[r.first][:n-1]
			return at, int32(r.first), true
		}
	}
	return 0, 0, false
}

func (r *router) empty() {
	for i := range r.queue[:min(r.last+1, len(r.queue))] {
		r.queue[i] = r.queue[i][:0]
	}
	r.first, r.last = 0, 0
}
