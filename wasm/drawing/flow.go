package drawing

import (
	"math"
	"strconv"
	"time"

	"quietpump/network"
	"quietpump/sim/chart"
)

// How flows are shown. A tap's flow drifts as fast as water seems to. Where a seep
// is shown, what is as slow as it drifts faster than life, and the picture says by
// how much; what is slower by far is at rest, as it is to the eye: tubes that
// breathe with the pressure, or a seep that is not to be given away.
const (
	tapFlow  = 1e-4 // m³/s
	tapDrift = 70.0 // px/s
	quickest = 150.0
	slowest  = 7.0 // px/s of a seep, at least
	slowMost = 2.5 * slowest
	least    = 1.5                    // px/s; below it water is at rest
	pause    = 100 * time.Millisecond // the most that one frame moves on
)

// exaggeration is how many times faster than life a flow is shown: a round
// number, 1 unless it would seem to stand, and not without bound.
func exaggeration(q float64) float64 {
	const top = 1e4
	drift := honest(q)
	if drift >= slowest || drift == 0 {
		return 1
	}
	x := slowest / drift
	decade := math.Pow(10, math.Floor(math.Log10(x)))
	for _, k := range []float64{1, 2, 5, 10} {
		if k*decade >= x*(1-1e-9) {
			return min(k*decade, top)
		}
	}
	return min(10*decade, top)
}

// honest is how fast a flow drifts that is shown as fast as it is, px/s.
func honest(q float64) float64 { return tapDrift * math.Abs(q) / tapFlow }

// hurry settles how much faster than life slow flows are shown: by the largest seep
// there is, and without going to and fro as its pressure rises and sinks.
func (m *mover) hurry() {
	q := 0.0
	for _, f := range m.v.Faults {
		if s, ok := f.(network.Seep); ok {
			q = max(q, math.Abs(m.seeping(s)))
		}
	}
	x := &m.p.motion.times
	if drift := honest(q) * *x; *x < 1 || q == 0 || drift < 0.6*slowest || drift > 1.4*slowMost {
		*x = exaggeration(q)
	}
}

// drift is how fast a flow is shown to drift, px/s; 0: at rest.
func (m *mover) drift(q float64) float64 {
	own := honest(q)
	shown := min(max(own, min(own*m.p.motion.times, slowMost)), quickest)
	if shown < least || len(m.v.Faults) == 0 && shown < slowest { // or it would give a hidden seep away
		return 0
	}
	return shown
}

// flows draws the water that moves, and the ripples on it.
func (m *mover) flows() {
	for i := range m.pic.runs {
		r := &m.pic.runs[i]
		m.flowing(r, &m.p.motion.phase[i])
	}
	for i := range m.pic.hoses {
		h := &m.pic.hoses[i]
		if hosed(m.v.Lineup.Of(m.p.g.parts[h.hookup])) {
			m.flowing(&h.run, &m.p.motion.phase[len(m.pic.runs)+i])
		}
	}
}

func (m *mover) flowing(r *run, phase *float64) {
	q, ok := m.flow(r.part, r.joint)
	q *= r.sign
	drift := m.drift(q)
	if !ok || drift == 0 {
		return
	}
	ink, apart, long := chart.Cold, 26.0, 13.0
	if r.hot {
		ink, apart, long = chart.Hot, 12.0, 5.0
	}
	for _, w := range r.water {
		m.d.Add(chart.Shape{Points: w, Line: ink, Width: r.wide})
	}
	if m.l.Calm {
		m.arrows(r, q)
		return
	}
	*phase = math.Mod(*phase+math.Copysign(drift*m.dt, q), apart)
	m.ripples(r, *phase, apart, long, q < 0)
}

// ripples draws streaks along a run, thick at the end that leads.
func (m *mover) ripples(r *run, phase, apart, long float64, back bool) {
	half := 0.34 * r.wide
	for s := phase - apart; s < r.long; s += apart {
		from, to := s, s+long
		if from < 1 || to > r.long-1 || r.under(from, to) {
			continue
		}
		tail, lead := from, to
		if back {
			tail, lead = to, from
		}
		q := m.points(4)
		q[0], _, _ = r.point(tail)
		c, dx, dy := r.point(tail + 0.72*(lead-tail))
		q[1] = chart.Point{X: c.X - dy*half, Y: c.Y + dx*half}
		q[2], _, _ = r.point(lead)
		q[3] = chart.Point{X: c.X + dy*half, Y: c.Y - dx*half}
		m.d.Add(chart.Shape{Points: q, Closed: true, Fill: chart.Paper})
	}
}

// under reports whether a stretch of a run lies under another.
func (r *run) under(from, to float64) bool {
	for _, g := range r.gaps {
		if from < g[1] && to > g[0] {
			return true
		}
	}
	return false
}

// arrows says which way water goes without moving.
func (m *mover) arrows(r *run, q float64) {
	apart := 64.0
	n := max(1, int(r.long/apart))
	size := 3.4 + 0.5*r.wide
	for k := range n {
		s := r.long * (float64(k) + 0.5) / float64(n)
		if r.under(s-size, s+size) || r.long < 2.2*size {
			continue
		}
		c, dx, dy := r.point(s)
		if q < 0 {
			dx, dy = -dx, -dy
		}
		p := m.points(3)
		p[0] = chart.Point{X: c.X + dx*size, Y: c.Y + dy*size}
		p[1] = chart.Point{X: c.X - dx*size - dy*size, Y: c.Y - dy*size + dx*size}
		p[2] = chart.Point{X: c.X - dx*size + dy*size, Y: c.Y - dy*size - dx*size}
		m.d.Add(chart.Shape{Points: p, Closed: true, Fill: chart.Paper, Line: chart.Body, Width: 1.2})
	}
}

// times says how many times faster than life something is shown.
func times(x float64) string { return "×" + strconv.Itoa(int(math.Round(x))) }
