package kernel

import "math"

// A stride is a step with the heads and flows at its stages, and the drops and slopes
// of the laws there.
type stride struct {
	t, h       float64 // its start since the mode was entered, its length, s; a length of 0: none
	e          float64 // its error, of the tolerance
	x, q, d, s [stages][]float64
	vol        []float64 // by store, at its start
	plain      bool      // it repeated another and each stage took one iteration
	tan        tangent
}

// fit makes room for heads and flows.
func (s *stride) fit(heads, flows int) {
	for i := range stages {
		s.x[i], s.q[i] = grown(s.x[i], heads), grown(s.q[i], flows)
		s.d[i], s.s[i] = grown(s.d[i], flows), grown(s.s[i], flows)
	}
}

// weigh returns the weights of the stages in the polynomial through them at a
// fraction u of the stride.
func weigh(u float64) (c [stages]float64) {
	var d, before [stages]float64
	left := 1.0
	for i := range d {
		d[i] = u - nodesC[i]
		before[i] = left
		left *= d[i]
	}
	right := 1.0
	for i := stages - 1; i >= 0; i-- {
		c[i] = before[i] * right * apart[i]
		right *= d[i]
	}
	return c
}

// apart is one over the product of a stage's distances from the others.
var apart = func() (p [stages]float64) {
	for i, a := range nodesC {
		p[i] = 1
		for j, b := range nodesC {
			if i != j {
				p[i] /= a - b
			}
		}
	}
	return p
}()

// A trail is how a mode went: this time, and the time before, which the steps
// follow. A pump's cycles are much alike, so where the last one went says how long
// a step can be and where its stages will come to stand. What is followed is only
// where Newton starts and how long a step is tried; the same tolerances hold.
type trail struct {
	plan     *plan
	x, q     []float64 // heads and flows at its beginning; empty: it has not begun yet
	was, now []*stride
	ended    float64 // when an event ended the mode the time before, since it was entered; 0: none did
	ends     float64 // … and this time
	moved    float64 // by how much that changed from one time to the next, s
	steep    float64 // how fast what ended it rose there, in its thresholds a second
	k        int     // the stride of the time before that was looked at last
	times    int     // that it has been entered
}

// How many strides of a mode are kept, and numbers in them; a mode that goes on
// longer goes on without.
const (
	trailCap  = 64
	trailRoom = 1 << 20
)

// enter begins another time through the mode.
func (tr *trail) enter() {
	if len(tr.now) > 0 {
		tr.was, tr.now = tr.now, tr.was[:0]
		tr.moved = math.Abs(tr.ends - tr.ended)
		tr.ended, tr.ends = tr.ends, 0
	}
	tr.k = 0
	tr.times++
}

// keep takes the stride s into this time's, and returns room for another.
func (tr *trail) keep(s *stride) *stride {
	n := len(tr.now)
	switch most := trailRoom / (stages * (len(s.x[0]) + 3*len(s.q[0]))); {
	case n > 0 && n >= min(trailCap, most):
		n--
	case n < cap(tr.now):
		tr.now = tr.now[:n+1]
	default:
		tr.now = append(tr.now, nil)
	}
	room := tr.now[n]
	if tr.now[n] = s; room == nil {
		return &stride{}
	}
	return room
}

// last returns the last stride of this time, or nil.
func (tr *trail) last() *stride {
	if len(tr.now) == 0 {
		return nil
	}
	return tr.now[len(tr.now)-1]
}

// before returns the stride of the time before that holds t, or nil.
func (tr *trail) before(t float64) *stride {
	for tr.k > 0 && (tr.k >= len(tr.was) || tr.was[tr.k].t > t) {
		tr.k--
	}
	for ; tr.k < len(tr.was); tr.k++ {
		if s := tr.was[tr.k]; t < s.t+s.h {
			if t < s.t {
				return nil
			}
			return s
		}
	}
	return nil
}

// again reports whether the step from t shall be as long as the stride s was, which
// began at the same time. Lengths are sought for some times; then steps that fall on
// those of the time before have stages that do, where its heads and flows are known
// and need not be guessed between. A stride that could have been much longer was cut
// short by something, and is not taken again.
func (tr *trail) again(s *stride, t float64) bool {
	return tr.times > soughtFor && s.e < wellBorne && asked(s.h, s.e) < mostGrowth*s.h && s.at(t)
}

// Lengths are sought soughtFor times: once is too few for some rigs, and each time more is
// a cycle solved for that could be taken by its tangents. A stride
// taken again shall have had an error below wellBorne of its tolerance, or a small change
// of the cycle refuses it.
const (
	soughtFor = 2
	wellBorne = 0.9
)

// at reports whether the stride began at t, and like whether it was h long besides:
// as nearly as an event by the time of the one before can be aimed at.
func (s *stride) at(t float64) bool { return math.Abs(t-s.t) <= 1e-6*s.h }

func (s *stride) like(t, h float64) bool { return s.at(t) && math.Abs(h-s.h) <= 1e-3*s.h }

// A step that shall meet the mode's end goes beyond where it was the time before: by
// farBeyond times what it moved last, and by a share of the mode's length between
// leastBeyond and mostBeyond. Too little, and the end is missed; too much, and the trial
// that takes the step back does not fall where it shall.
const (
	farBeyond   = 8
	leastBeyond = 1e-8
	mostBeyond  = 1e-4
)

// meets is the time, since the mode was entered, of the end of such a step; 0: the
// time before had no end.
func (tr *trail) meets() float64 {
	if farBeyond*tr.moved*tr.steep < 0.5 { // it will be met where it was
		return tr.ended
	}
	return tr.ended + min(max(farBeyond*tr.moved, leastBeyond*tr.ended), mostBeyond*tr.ended)
}

// trailOf returns the trail of a plan.
func (w *Work) trailOf(p *plan) *trail {
	for i := range w.trails {
		if w.trails[i].plan == p {
			return &w.trails[i]
		}
	}
	n := len(w.trails)
	switch {
	case n == plansKept:
		n = 0
	case n < cap(w.trails):
		w.trails = w.trails[:n+1]
	default:
		w.trails = append(w.trails, trail{})
	}
	tr := &w.trails[n]
	tr.plan, tr.ended, tr.ends, tr.moved, tr.k, tr.times = p, 0, 0, 0, 0, 0
	tr.x, tr.q, tr.was, tr.now = tr.x[:0], tr.q[:0], tr.was[:0], tr.now[:0]
	return tr
}

// A step may be mostGrowth times as long as the one before: more would pass over what
// has not died away yet, which an error filtered for what settles does not see. aim is
// the share of the length at which its error would be just borne.
const (
	mostGrowth = 12
	aim        = 0.82
)

// asked is the length that the controller asks for after a step of length h with
// error e.
func asked(h, e float64) float64 {
	if e > 0 {
		return h * math.Min(mostGrowth, aim/math.Sqrt(math.Sqrt(e)))
	}
	return h * mostGrowth
}
