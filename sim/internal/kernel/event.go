package kernel

import (
	"fmt"
	"math"
)

// locate finds whether a watch falls due within the step of length *h that was
// just taken and, where one does, moves the step's length, not the state, until
// the first of them meets its threshold. It returns that watch, or -1.
func (w *Work) locate(h *float64) (int, error) {
	k, guess := w.first(*h)
	if k < 0 {
		return -1, nil
	}
	lo, vlo := 0.0, w.seen[k][0]
	hi, vhi := *h, w.seen[k][stages-1]
	tol := w.within(k)
	if vlo > -tol {
		return k, w.stay(h)
	}
	if vhi <= 0 { // a dip inside the step: end the step in the dip
		hi = nodesC[stages-2] * *h
		vhi = math.NaN()
	}
	try := guess
	for n := 0; n < 60; n++ {
		if !(try > lo && try < hi) {
			try = lo + (hi-lo)/2
		}
		w.h = try
		if _, ok := w.step(try); !ok {
			w.retreat()
			hi, vhi = try, math.NaN()
			try = lo + (hi-lo)/2
			w.Effort.Refused++
			continue
		}
		// Another watch may have come first.
		for j := range w.seen {
			wt := &w.plan.watches[j]
			if j != k && w.seen[j][stages-1] > wt.band() && w.seen[j][0] <= wt.band() && !w.muted(wt) && w.seen[j][stages-1] > w.within(j) {
				k, tol = j, w.within(j)
				lo, vlo = 0, w.seen[j][0]
				if vlo > -tol {
					return k, w.stay(h)
				}
				vhi = math.NaN()
			}
		}
		v := w.seen[k][stages-1]
		if math.Abs(v) <= tol || hi-lo <= 4e-16*(w.t+hi)+1e-15 {
			*h = try
			return k, nil
		}
		if v > 0 {
			hi, vhi = try, v
		} else {
			lo, vlo = try, v
		}
		try = w.nextTry(k, lo, vlo, hi, vhi, try, v)
	}
	return k, fmt.Errorf("%w: an event near %.9g s could not be located", ErrNoConvergence, w.t)
}

// nextTry is the root of the line through the two ends where both are known, a
// little past the middle where one is not.
func (w *Work) nextTry(k int, lo, vlo, hi, vhi, at, v float64) float64 {
	// Secant through the last two trials when it stays inside.
	if w.lastK == k && w.lastV != v {
		t := at - v*(at-w.lastAt)/(v-w.lastV)
		w.lastAt, w.lastV = at, v
		if t > lo && t < hi {
			return t
		}
	}
	w.lastK, w.lastAt, w.lastV = k, at, v
	if math.IsNaN(vhi) || math.IsNaN(vlo) {
		return lo + (hi-lo)/2
	}
	return lo - vlo*(hi-lo)/(vhi-vlo)
}

// within is how closely watch k has to meet its threshold.
func (w *Work) within(k int) float64 {
	switch w.plan.watches[k].Value {
	case Flow, Gain:
		return 1e-14
	case Stored:
		return 1e-15
	}
	return w.tol.Locate
}

// first returns the watch that falls due first within the step of length h, and
// about when, from its values at the stages.
func (w *Work) first(h float64) (int, float64) {
	best, at := -1, math.Inf(1)
	for k := range w.seen {
		wt := &w.plan.watches[k]
		s := &w.seen[k]
		band := wt.band()
		if s[0] > band || w.muted(wt) {
			continue
		}
		due := s[stages-1] > band
		for i := 1; i < stages-1 && !due; i++ {
			due = s[i] > band && s[i] > w.within(k)
		}
		if !due {
			continue
		}
		if t := crossing(s, h); t < at {
			best, at = k, t
		}
	}
	w.lastK = -1
	return best, at
}

// inOrder are the stages by their time.
var inOrder = [stages]int{0, 2, 1, 3, 4, 5}

// crossing estimates when the values at a step's stages cross zero: between the
// two that bracket it, on the parabola through them and a neighbour.
func crossing(s *[stages]float64, h float64) float64 {
	for n := 1; n < stages; n++ {
		i, j := inOrder[n-1], inOrder[n]
		a, b := s[i], s[j]
		if !(a <= 0 && b > 0) {
			continue
		}
		ta, tb := nodesC[i]*h, nodesC[j]*h
		m := n - 2
		if m < 0 {
			m = n + 1
		}
		k := inOrder[m]
		c, tc := s[k], nodesC[k]*h
		// Inverse quadratic interpolation, safe where the values are distinct.
		if a != b && b != c && a != c {
			t := ta*b*c/((a-b)*(a-c)) + tb*a*c/((b-a)*(b-c)) + tc*a*b/((c-a)*(c-b))
			if t > ta && t < tb {
				return t
			}
		}
		return ta - a*(tb-ta)/(b-a)
	}
	return h / 2
}

// stay ends the step where it began: the watch was at its threshold already.
func (w *Work) stay(h *float64) error {
	*h = 0
	w.retreat()
	copy(w.next, w.vol)
	clear(w.moved)
	for i := 1; i < stages; i++ {
		copy(w.gain[i], w.gain[0])
		copy(w.strainRate[i], w.strainRate[0])
	}
	for k := range w.seen {
		w.seen[k][stages-1] = w.seen[k][0]
	}
	return nil
}
