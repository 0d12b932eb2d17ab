package drawing

import (
	"cmp"
	"slices"
)

// What a tube is charged on its way, in cells.
const (
	forStep  = 2
	forBend  = 5
	forCross = 34
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
	queue []waiting
}

type waiting struct{ at, cost, order int32 }

// The directions: right, down, left, up.
var steps = [4]cell{{1, 0}, {0, 1}, {-1, 0}, {0, -1}}

const toRight, toLeft = 0, 2

// route finds a way for every edge and counts how often tubes had to lie over
// one another, and how often they cross.
func (l *lattice) route() (ways [][]cell, over, crossed int) {
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
	order := make([]int, len(l.ends))
	span := func(e int) int {
		a, b := l.ends[e][0], l.ends[e][1]
		return abs(a.hub-b.hub) + abs(a.y-b.y)
	}
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(span(a), span(b)), cmp.Compare(a, b)) })
	ways = make([][]cell, len(l.ends))
	for _, e := range order {
		ways[e] = r.find(l.ends[e])
		r.lay(ways[e], 1)
	}
	for range 2 { // each again, now that the others are known
		for _, e := range order {
			r.lay(ways[e], -1)
			for k := range ways {
				if k != e {
					r.mark(ways[k])
				}
			}
			ways[e] = r.find(l.ends[e])
			r.mark(ways[e])
		}
	}
	for e := range ways {
		r.lay(ways[e], -1)
		for k := range ways {
			if k < e {
				r.mark(ways[k])
			}
		}
		o, c := r.meets(ways[e])
		over, crossed = over+o, crossed+c
	}
	return ways, over, crossed
}

func abs(x int) int { return max(x, -x) }

func (r *router) inside(x, y int) bool { return x >= 0 && y >= 0 && x < r.w && y < r.h }

func (r *router) block(x, y int) {
	if r.inside(x, y) {
		r.use[y*r.w+x] |= blocked
	}
}

// lay with 1 marks a way, and with −1 clears all ways.
func (r *router) lay(way []cell, sign int) {
	if sign > 0 {
		r.mark(way)
		return
	}
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
	r.queue = r.queue[:0]
	goal := func(x, y int) bool { return y == b.y && x >= b.x && x <= b.x+b.n }
	ahead := func(x, y int) int32 {
		dx := max(b.x-x, x-b.x-b.n, 0)
		return int32(forStep * (dx + abs(y-b.y)))
	}
	start := func(x, y int) bool { return y == a.y && x >= a.x && x <= a.x+a.n }
	order := int32(0)
	push := func(x, y, dir int, cost int32, from int8) {
		at := int32(4*(y*r.w+x) + dir)
		if r.turn[at] == r.now && r.cost[at] <= cost {
			return
		}
		r.turn[at], r.cost[at], r.from[at] = r.now, cost, from
		order++
		r.push(waiting{at, cost + ahead(x, y), order})
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
	for len(r.queue) > 0 {
		w := r.pop()
		at := int(w.at)
		dir := at & 3
		x, y := at/4%r.w, at/4/r.w
		if w.cost != r.cost[at]+ahead(x, y) {
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
	return nil
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

// The queue is a heap, the cheapest first, and of equals the oldest.

func (w waiting) less(o waiting) bool {
	if w.cost != o.cost {
		return w.cost < o.cost
	}
	return w.order < o.order
}

func (r *router) push(w waiting) {
	r.queue = append(r.queue, w)
	for i := len(r.queue) - 1; i > 0; {
		up := (i - 1) / 2
		if !r.queue[i].less(r.queue[up]) {
			break
		}
		r.queue[i], r.queue[up] = r.queue[up], r.queue[i]
		i = up
	}
}

func (r *router) pop() waiting {
	top := r.queue[0]
	last := len(r.queue) - 1
	r.queue[0] = r.queue[last]
	r.queue = r.queue[:last]
	for i := 0; ; {
		k := 2*i + 1
		if k >= last {
			break
		}
		if k+1 < last && r.queue[k+1].less(r.queue[k]) {
			k++
		}
		if !r.queue[k].less(r.queue[i]) {
			break
		}
		r.queue[i], r.queue[k] = r.queue[k], r.queue[i]
		i = k
	}
	return top
}
