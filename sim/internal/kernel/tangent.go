package kernel

import (
	"math"
	"slices"
)

// A tangent is how a stride answers to the stores it starts from: what it leaves
// behind, to first order in a change of each one's volume. A stride that begins with
// nearly the volumes of the one it repeats need not be solved again. How near they have
// to be is known with it: no law and no gas may bend by more than Newton may leave, and
// no watch may come half as near to falling due again.
type tangent struct {
	known bool
	reach []float64 // by active store: one over the change of volume that alone could be borne, 1/m³
	as    left      // what the stride left behind
	by    []left    // … and what one cubic metre more in each active store at its start changes in that
}

// left is what a stride leaves behind, all of it in one row.
type left struct {
	row        []float64
	rise, gain []float64 // by store: water gained, m³; net inflow at the end, m³/s
	x, q       []float64 // heads and flows at the end
	moved      []float64 // water carried by each branch, m³
	seen       []float64 // value of each watch at the end
}

// glides reports whether the step of length h may be the tangent of the stride it
// returns.
func (w *Work) glides(h float64) *stride {
	if w.Without != 0 || w.slow || w.meets || w.trail.times <= soughtFor {
		return nil
	}
	was := w.trail.before(w.now.t)
	if was == nil || was.h != h || !was.plain || !was.at(w.now.t) || w.plan.oneSided || slices.Contains(w.plan.full, true) {
		return nil
	}
	if !was.tan.known {
		w.touch(was)
	}
	strays := 0.0
	for k, s := range w.active {
		strays += math.Abs(w.vol[s]-was.vol[s]) * was.tan.reach[k]
	}
	if !(strays <= 1) {
		return nil
	}
	return was
}

// glide takes the stride was again, by its tangent.
func (w *Work) glide(was *stride) {
	w.Effort.Steps++
	w.Effort.Glides++
	tan, h := &was.tan, was.h
	end := &w.left
	end.fit(w)
	copy(end.row, tan.as.row)
	for k, s := range w.active {
		add1(end.row, tan.by[k].row, w.vol[s]-was.vol[s])
	}
	add1(w.vol, end.rise, 1)
	add1(w.branchMoved, end.moved, 1)
	copy(w.gain[0], end.gain)
	copy(w.x, end.x)
	copy(w.q, end.q)
	for k, v := range end.seen {
		w.seen[k][0] = v
	}
	w.wake()
	w.t += h
	t := w.now.t
	e := was.e
	was.t = t
	room := w.trail.keep(was)
	w.trail.was[w.trail.k], room.h = room, 0 // which is of another time
	w.startHere()
	w.now.t = t + h
	w.nextH = asked(h, e)
	w.heed()
}

// fit makes room for the plan in use.
func (t *tangent) fit(w *Work) {
	n := len(w.active)
	t.reach = grown(t.reach, n)
	clear(t.reach)
	if len(t.by) < n {
		t.by = append(t.by, make([]left, n-len(t.by))...)
	}
	t.as.fit(w)
	clear(t.as.row)
	for k := range t.by[:n] {
		t.by[k].fit(w)
		clear(t.by[k].row)
	}
}

func (l *left) fit(w *Work) {
	m, nb, ns, nw := len(w.x), len(w.q), len(w.vol), len(w.seen)
	l.row = grown(l.row, 2*ns+m+2*nb+nw)
	rest := l.row
	for _, part := range []struct {
		s *[]float64
		n int
	}{{&l.rise, ns}, {&l.gain, ns}, {&l.x, m}, {&l.q, nb}, {&l.moved, nb}, {&l.seen, nw}} {
		*part.s, rest = rest[:part.n], rest[part.n:]
	}
}
