package kernel

import (
	"fmt"
	"math"
)

// slopes is how many trials follow the slope alone; then every other halves the
// bracket. Halving an hour down to the rounding of its time takes fifty of those, and
// the bracket may begin anew where another watch turns out to come first.
const (
	slopes = 10
	trials = 160
)

// locate finds whether a watch falls due within the step of length *h that was
// just taken and, where one does, moves the step's length, not the state, until
// the first of them meets its threshold. It returns that watch, or -1.
func (w *Work) locate(h *float64) (int, error) {
	if k := w.met(); k >= 0 {
		return k, nil
	}
	k, guess := w.first(*h)
	if k < 0 {
		return -1, nil
	}
	if w.seen[k][0] > w.plan.watches[k].band() {
		return k, w.stay(h)
	}
	// What Newton may leave of a flow in a step is more than an event's threshold
	// bears, so the trials are made without.
	w.tight = true
	defer func() { w.tight = false }()
	lo, hi, proved := 0.0, *h, false // whether a trial has borne out what the step, less closely met, said of its end
	tol := w.within(k)
	try := guess
	dip := w.seen[k][stages-1] <= w.plan.watches[k].band()
	if dip { // it came and went within the step: look where it stood highest
		try = w.highest(k) * *h
	}
	for n := range trials {
		if !(try > lo && (try < hi || try == hi && !proved)) {
			try = lo + (hi-lo)/2
		}
		w.h = try
		if _, ok := w.step(try); !ok {
			hi = try
			try = lo + (hi-lo)/2
			w.Effort.Refused++
			continue
		}
		// Another watch may have come first.
		for j := range w.seen {
			wt := &w.plan.watches[j]
			if j != k && w.seen[j][stages-1] > wt.band() && w.seen[j][0] <= wt.band() && !w.muted(wt, w.seen[j][stages-1]) && w.seen[j][stages-1] > w.within(j) {
				if k, tol, dip, lo = j, w.within(j), false, 0; n > 40 { // two that come together take turns
					*h = try
					return k, nil
				}
			}
		}
		// Met just beyond the threshold, so that the device has a side to stand on.
		v := w.seen[k][stages-1] - tol/2
		if math.Abs(v) <= tol/2 || hi-lo <= 4e-16*(w.t+hi)+1e-12 {
			*h = try
			return k, nil
		}
		if (dip || try == hi) && v <= tol/2 { // only the stages' own error, or what the step left: an ordinary one
			*h = try
			return -1, nil
		}
		dip = false
		if v > 0 {
			hi, proved = try, true
		} else {
			lo = try
		}
		try = w.nextTry(k, lo, hi, try, v)
		switch {
		case n == slopes && !proved:
			try = hi
		case n >= slopes && n%2 == 0: // a value with corners can lead the slope astray
			try = lo + (hi-lo)/2
		}
	}
	return k, fmt.Errorf("%w: an event near %.9g s could not be located", ErrNoConvergence, w.t)
}

// met returns the watch that the step just taken was to meet and has met, or -1.
func (w *Work) met() int {
	if !w.meets {
		return -1
	}
	met := -1
	for k := range w.seen {
		v, tol := w.seen[k][stages-1], w.within(k)
		switch {
		case v > tol: // or something else has come first
			return -1
		case v >= 0 && w.seen[k][0] < -tol:
			met = k
		}
	}
	return met
}

// steepness is how fast the value of watch k rises at the end of the step just taken,
// of length h, in what it has to be met within, 1/s.
func (w *Work) steepness(k int, h float64) float64 {
	c := divided(&w.seen[k])
	_, d := c.at(1)
	return math.Abs(d) / (h * w.within(k))
}

// highest is the fraction of the step at the inner stage where watch k stood
// highest.
func (w *Work) highest(k int) float64 {
	best := 1
	for i := 2; i < stages-1; i++ {
		if w.seen[k][i] > w.seen[k][best] {
			best = i
		}
	}
	return nodesC[best]
}

// nextTry follows the slope at the trial just made, to hi at the most: of the line
// through the last two trials, or for the first of the polynomial through its stages.
func (w *Work) nextTry(k int, lo, hi, at, v float64) float64 {
	var slope float64
	if w.lastK == k && at != w.lastAt {
		slope = (v - w.lastV) / (at - w.lastAt)
	} else {
		c := divided(&w.seen[k])
		_, d := c.at(1)
		slope = d / at
	}
	w.lastK, w.lastAt, w.lastV = k, at, v
	if t := min(at-v/slope, hi); t > lo {
		return t
	}
	return lo + (hi-lo)/2
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
		if w.muted(wt, s[stages-1]) {
			continue
		}
		if s[0] > band { // it was due while it stood still
			if w.returns(&w.plan.watches[k]) {
				continue
			}
			w.lastK = -1
			return k, 0
		}
		due := s[stages-1] > band
		for i := 1; i < stages-1 && !due; i++ {
			due = s[i] > band && s[i] > w.within(k)
		}
		if !due {
			continue
		}
		if t := crossing(s, w.within(k)/2, h); t < at {
			best, at = k, t
		}
	}
	w.lastK = -1
	return best, at
}

// inOrder are the stages by their time.
var inOrder = [stages]int{0, 2, 1, 3, 4, 5}

// crossing estimates when the values at a step's stages cross a level: the root, in
// the interval of two stages that brackets it, of the polynomial through all six.
func crossing(values *[stages]float64, level, h float64) float64 {
	s := *values
	for i := range s {
		s[i] -= level
	}
	lo, hi := 0.0, 1.0
	for n := 1; n < stages; n++ {
		i, j := inOrder[n-1], inOrder[n]
		if s[i] <= 0 && s[j] > 0 {
			lo, hi = nodesC[i], nodesC[j]
			break
		}
	}
	c := divided(&s)
	flo, _ := c.at(lo)
	fhi, _ := c.at(hi)
	t := lo + (hi-lo)/2
	if flo < 0 && fhi > 0 {
		t = lo - flo*(hi-lo)/(fhi-flo)
	}
	for range 8 {
		f, d := c.at(t)
		if f > 0 {
			hi = t
		} else {
			lo = t
		}
		next := t - f/d
		if !(next > lo && next < hi) {
			next = lo + (hi-lo)/2
		}
		if math.Abs(next-t) < 1e-14 {
			break
		}
		t = next
	}
	return t * h
}

// newtonForm is the polynomial through the values at a step's stages, in Newton's
// form over the stages in order.
type newtonForm [stages]float64

func divided(s *[stages]float64) newtonForm {
	var c newtonForm
	for n, i := range inOrder {
		c[n] = s[i]
	}
	for k := 1; k < stages; k++ {
		for n := stages - 1; n >= k; n-- {
			c[n] = (c[n] - c[n-1]) / (nodesC[inOrder[n]] - nodesC[inOrder[n-k]])
		}
	}
	return c
}

// at returns value and slope at a fraction t of the step.
func (c *newtonForm) at(t float64) (f, d float64) {
	for n := stages - 1; n >= 0; n-- {
		x := t - nodesC[inOrder[n]]
		d = d*x + f
		f = f*x + c[n]
	}
	return f, d
}

// stay ends the step where it began: the watch was at its threshold already.
func (w *Work) stay(h *float64) error {
	*h = 0
	w.retreat()
	copy(w.next, w.vol)
	for i := 1; i < stages; i++ {
		copy(w.gain[i], w.gain[0])
		copy(w.strainRate[i], w.strainRate[0])
	}
	for k := range w.seen {
		w.seen[k][stages-1] = w.seen[k][0]
	}
	return nil
}
