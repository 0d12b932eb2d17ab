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
	rise  []float64 // water that each store gains, m³
	gain  []float64 // net inflow of each store at the end, m³/s
	moved []float64 // water carried by each branch, m³
	seen  []float64 // value of each watch at the end
	by    []answer  // to each active store
}

// An answer is what one cubic metre more in a store at its start changes in what a stride
// leaves behind.
type answer struct {
	rise, gain []float64 // by store
	x, q       []float64 // by unknown and by branch, at the end
	moved      []float64 // by branch
	seen       []float64 // by watch, at the end
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
	w.stray = grown(w.stray, len(w.active))
	for k, s := range w.active {
		w.stray[k] = w.vol[s] - was.vol[s]
	}
	add1(w.vol, tan.rise, 1)
	add1(w.branchMoved, tan.moved, 1)
	copy(w.gain[0], tan.gain)
	copy(w.x, was.x[stages-1])
	copy(w.q, was.q[stages-1])
	for k, d := range w.stray {
		a := &tan.by[k]
		add1(w.vol, a.rise, d)
		add1(w.gain[0], a.gain, d)
		add1(w.x, a.x, d)
		add1(w.q, a.q, d)
		add1(w.branchMoved, a.moved, d)
	}
	w.wake()
	w.t += h
	for k := range w.seen {
		v := tan.seen[k]
		for l, d := range w.stray {
			v += d * tan.by[l].seen[k]
		}
		w.seen[k][0] = v
	}
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
	n, m, nb, ns := len(w.active), len(w.x), len(w.q), len(w.vol)
	for _, s := range []*[]float64{&t.rise, &t.gain} {
		*s = zeroed(*s, ns)
	}
	t.seen = zeroed(t.seen, len(w.seen))
	t.reach, t.moved = zeroed(t.reach, n), zeroed(t.moved, nb)
	if len(t.by) < n {
		t.by = append(t.by, make([]answer, n-len(t.by))...)
	}
	for k := range t.by[:n] {
		a := &t.by[k]
		a.rise, a.gain = zeroed(a.rise, ns), zeroed(a.gain, ns)
		a.seen = zeroed(a.seen, len(w.seen))
		a.x, a.q, a.moved = zeroed(a.x, m), zeroed(a.q, nb), zeroed(a.moved, nb)
	}
}

// zeroed returns s with length n and nothing in it.
func zeroed(s []float64, n int) []float64 {
	s = grown(s, n)
	clear(s)
	return s
}
