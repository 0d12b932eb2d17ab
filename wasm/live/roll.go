package live

import (
	"math"
	"sort"

	"quietpump/hydraulics/unit"
)

// A Roll is the pressure at the gauge through time, thinned so that no straight
// piece of it strays from what was computed by more than a gauge can show, and when
// the pumps ran. The roll is long and has an end: what is oldest is thinned more,
// and then torn off.
type Roll struct {
	at, p []float64 // s, Pa; NaN where nothing decides the pressure
	runs  []Run
	// The cone in which the next points may lie, so that one straight piece from
	// the last of at, p serves for all of them.
	lo, hi     float64
	tipT, tipP float64 // the last point, not yet part of the roll
	loose      bool    // there is such a point
}

// A Run is the time from a pump's start to its stop, s since the beginning; To is +Inf
// while it runs.
type Run struct {
	From, To float64

	pump string
}

const (
	strays    = 100.0 // Pa, by which a straight piece may stray
	straysOld = 1000.0
	pointsCap = 24000
	runsCap   = 6000
)

func (r *Roll) empty() bool { return len(r.at) == 0 }

// add takes the pressure at a time.
func (r *Roll) add(t float64, q unit.Pressure, ok bool) {
	p := float64(q)
	if !ok {
		p = math.NaN()
	}
	if len(r.at) == 0 {
		r.pivot(t, p)
		return
	}
	if t0, p0 := r.at[len(r.at)-1], r.p[len(r.p)-1]; t > t0 && !math.IsNaN(p) && !math.IsNaN(p0) {
		if slope := (p - p0) / (t - t0); slope >= r.lo && slope <= r.hi {
			r.narrow(t-t0, p-p0, strays)
			r.tipT, r.tipP, r.loose = t, p, true
			return
		}
	}
	r.settle()
	if t0 := r.at[len(r.at)-1]; t > t0 && !math.IsNaN(p) && !math.IsNaN(r.p[len(r.p)-1]) {
		r.narrow(t-t0, p-r.p[len(r.p)-1], strays)
		r.tipT, r.tipP, r.loose = t, p, true
		return
	}
	if t == r.at[len(r.at)-1] && p == r.p[len(r.p)-1] {
		return
	}
	r.pivot(t, p)
}

func (r *Roll) narrow(dt, dp, eps float64) {
	r.lo, r.hi = math.Max(r.lo, (dp-eps)/dt), math.Min(r.hi, (dp+eps)/dt)
}

// pivot puts a point down for good.
func (r *Roll) pivot(t, p float64) {
	r.at, r.p = append(r.at, t), append(r.p, p)
	r.lo, r.hi, r.loose = math.Inf(-1), math.Inf(1), false
	if len(r.at) > pointsCap {
		r.shorten()
	}
}

// settle puts the last point down for good.
func (r *Roll) settle() {
	if r.loose {
		r.pivot(r.tipT, r.tipP)
	}
}

// corner puts down the pressure just before something jumped: at the threshold
// where that is known and near, else as it was going.
func (r *Roll) corner(t, threshold float64) {
	t1, p1 := r.tip()
	p := p1
	if r.loose && t > t1 {
		t0, p0 := r.at[len(r.at)-1], r.p[len(r.p)-1]
		p = p1 + (p1-p0)/(t1-t0)*(t-t1)
	}
	if math.Abs(p-threshold) < 0.2*math.Abs(threshold) {
		p = threshold
	}
	r.settle()
	if n := len(r.at); n > 0 && (t > r.at[n-1] || p != r.p[n-1]) && !math.IsNaN(p) {
		r.pivot(math.Max(t, r.at[n-1]), p)
	}
}

func (r *Roll) tip() (t, p float64) {
	if r.loose {
		return r.tipT, r.tipP
	}
	if n := len(r.at); n > 0 {
		return r.at[n-1], r.p[n-1]
	}
	return 0, math.NaN()
}

// switched notes that a pump starts or stops.
func (r *Roll) switched(pump string, t float64, on bool) {
	if on {
		r.runs = append(r.runs, Run{t, math.Inf(1), pump})
		if len(r.runs) > runsCap {
			r.runs = append(r.runs[:0], r.runs[runsCap/4:]...)
		}
		return
	}
	for i := len(r.runs) - 1; i >= 0; i-- {
		if r.runs[i].pump == pump && math.IsInf(r.runs[i].To, 1) {
			r.runs[i].To = t
			return
		}
	}
}

// shorten thins the older half, and tears off its older half where that is not
// enough.
func (r *Roll) shorten() {
	half := len(r.at) / 2
	t, p := thinned(r.at[:half], r.p[:half], straysOld)
	if len(t) > half*3/4 {
		t, p = t[len(t)/2:], p[len(p)/2:]
	}
	n := copy(r.at, t)
	copy(r.p, p)
	n += copy(r.at[n:], r.at[half:])
	copy(r.p[len(p):], r.p[half:])
	r.at, r.p = r.at[:n], r.p[:n]
	for len(r.runs) > 0 && r.runs[0].To < r.at[0] {
		r.runs = r.runs[1:]
	}
}

// thinned leaves out points that a straight piece strays from by no more than eps.
func thinned(t, p []float64, eps float64) (at, q []float64) {
	var r Roll
	for i := range t {
		if len(r.at) == 0 || math.IsNaN(p[i]) || math.IsNaN(r.p[len(r.p)-1]) || t[i] <= r.at[len(r.at)-1] {
			r.settle()
			r.pivot(t[i], p[i])
			continue
		}
		dt, dp := t[i]-r.at[len(r.at)-1], p[i]-r.p[len(r.p)-1]
		if slope := dp / dt; slope < r.lo || slope > r.hi {
			r.settle()
			dt, dp = t[i]-r.at[len(r.at)-1], p[i]-r.p[len(r.p)-1]
			if dt <= 0 {
				r.pivot(t[i], p[i])
				continue
			}
		}
		r.narrow(dt, dp, eps)
		r.tipT, r.tipP, r.loose = t[i], p[i], true
	}
	r.settle()
	return r.at, r.p
}

// Begins is the oldest time on the roll, s since the beginning; zero on an empty one.
func (r *Roll) Begins() float64 {
	if len(r.at) == 0 {
		return 0
	}
	return r.at[0]
}

// Ends is the newest time on the roll, s since the beginning.
func (r *Roll) Ends() float64 { t, _ := r.tip(); return t }

// Each goes through the points from one time to another in their order, the ones just
// outside included, so that lines through them reach the edge. The pressure is NaN where
// nothing decides it.
func (r *Roll) Each(from, to float64, point func(t float64, p unit.Pressure)) {
	i := max(sort.SearchFloat64s(r.at, from)-1, 0)
	for ; i < len(r.at); i++ {
		point(r.at[i], unit.Pressure(r.p[i]))
		if r.at[i] > to {
			return
		}
	}
	if r.loose {
		point(r.tipT, unit.Pressure(r.tipP))
	}
}

// Runs are those of all pumps that lie between two times, wholly or in part, in the
// order of their starts. The list is good until time goes on.
func (r *Roll) Runs(from, to float64) []Run {
	i := sort.Search(len(r.runs), func(i int) bool { return r.runs[i].To >= from })
	j := sort.Search(len(r.runs), func(i int) bool { return r.runs[i].From > to })
	if i > j {
		return nil
	}
	return r.runs[i:j]
}

// At is the pressure at a time, on the straight piece that holds it; ok is false
// outside the roll and where nothing decides it.
func (r *Roll) At(t float64) (p unit.Pressure, ok bool) {
	t0, p0, found := math.Inf(-1), unit.Pressure(0), false // the point before
	r.Each(t, t, func(at float64, q unit.Pressure) {
		switch {
		case found:
		case at >= t && at == t0 || at == t:
			p, found = q, true
		case at > t && !math.IsInf(t0, -1):
			f := (t - t0) / (at - t0)
			p, found = p0+unit.Pressure(f)*(q-p0), true
		}
		t0, p0 = at, q
	})
	return p, found && !math.IsNaN(float64(p))
}
