package sim

import (
	"bytes"
	"maps"
	"math"
	"slices"
)

// Leaps keep the times of events within leapTolerance over a whole simulation, s, each having its share of it by the time
// that it spans; and the water that anything holds or carries in a cycle within what a step may be off by.
var leapTolerance = map[Tolerance]float64{Default: 1e-4, Fine: 1e-6}

const (
	leastAlike = 3  // cycles with the same events before a leap
	leastLeap  = 2  // cycles; fewer are not worth it
	leapReach  = 6  // times the cycles between the first and the last of those that a leap goes by
	leapMargin = 3  // cycles that are simulated before anything that comes at a time of its own
	leapRest   = 12 // cycles that are simulated after a leap was taken back
)

// A leaper watches the cycles of a pump, from start to start, and passes many at once where they change so evenly that
// those to come are known.
type leaper struct {
	off    bool
	device int32 // whose starts part the cycles; −1: none has started yet
	number float64
	alike  int      // cycles in a row that had the same events and modes
	last   [4]cycle // the last of them, the newest at the end
	room   cycle
	start  moment    // the last start
	far    []float64 // its watches' a cycle before: below zero, by how much each was from falling due
	events int       // of the last cycle that was simulated: its first in the record, …
	count  int       // … how many, …
	modes  []byte    // … and the modes it went through
	rest   int       // cycles to go before the next leap

	leapt  float64 // cycles of the leap that the cycle under way has to bear out; 0: none has to
	left   moment  // where that left from
	landed bool    // one cycle was simulated after it, and was off
	next   forecast
	due    []float64 // what the cycle under way has to do
}

// A cycle is what happened from one start to the next: when each event came after the first, the last being the other
// start, and then by how much more water each store held, each path had carried and each store had spilled.
type cycle struct {
	n   float64 // its number
	did []float64
}

// A moment is where a run and its record stood at a start.
type moment struct {
	t                              float64
	number                         float64
	step, event, segment, warnings int
	water                          []float64 // by store, by path, spilled by store
	strain, far                    []float64 // far: by watch
	states                         []uint8
	warned                         map[string]bool
	fast                           fastStarts
}

// leap looks at the step just taken: at the start of a pump it takes the cycle that has ended into account and, where it
// can, goes on many cycles later.
func (r *Run) leap() error {
	l := &r.leaper
	if l.off || !l.started(r) || r.work.Waits() {
		return nil
	}
	if l.start.water != nil {
		same := r.takeIn(&l.room)
		if l.leapt > 0 && !r.bornOut(&l.room, same) {
			if l.landed || !same {
				r.takeBack()
				return nil
			}
			l.landed = true // it may land a little off where the cycles will settle: the next one tells
			l.due = l.next.all(l.due[:0], l.leapt+2)
			r.mark(&l.start)
			return nil
		}
		l.leapt, l.landed = 0, false
		l.last[0], l.last[1], l.last[2], l.last[3], l.room = l.last[1], l.last[2], l.last[3], l.room, l.last[0]
		l.rest = max(l.rest-1, 0)
	}
	l.far, l.start.far = l.start.far, l.far
	r.mark(&l.start)
	if l.alike >= leastAlike && l.rest == 0 {
		return r.tryLeap()
	}
	return nil
}

// started reports whether the step just taken ended with a start of the pump that is watched, the first that ever
// started.
func (l *leaper) started(r *Run) bool {
	for _, e := range r.out {
		if e.Is == emitPumpStarts && (l.device < 0 || l.device == e.Device) {
			l.device = e.Device
			return true
		}
	}
	return false
}

// takeIn writes down the cycle that has just ended, and reports whether it had the events and modes of the one before.
func (r *Run) takeIn(c *cycle) (same bool) {
	l, rec, from := &r.leaper, r.rec, &r.leaper.start
	l.number++
	c.n, c.did = l.number, c.did[:0]
	for _, e := range rec.Events[from.event:] {
		c.did = append(c.did, e.At-from.t)
	}
	n := len(c.did)
	c.did = r.water(c.did)
	for i, w := range from.water {
		c.did[n+i] -= w
	}
	modes := rec.modes[from.segment*len(r.low.sys.Devices):]
	same = n == l.count && bytes.Equal(modes, l.modes)
	for i := 0; i < n && same; i++ {
		a, b := &rec.Events[l.events+i], &rec.Events[from.event+i]
		same = a.Part == b.Part && a.What == b.What
	}
	if same {
		l.alike++
		return true
	}
	if l.leapt == 0 { // else it is taken back
		l.alike, l.events, l.count, l.modes = 1, from.event, n, append(l.modes[:0], modes...)
	}
	return false
}

// water appends what each store holds, each path has carried and each store has spilled.
func (r *Run) water(dst []float64) []float64 {
	w := r.work
	w.Flush()
	return append(append(append(dst, w.Volumes()...), w.PathMoved...), w.Spilled...)
}

// mark notes where the run stands.
func (r *Run) mark(m *moment) {
	rec, w := r.rec, r.work
	m.t, m.number = w.T(), r.leaper.number
	m.step, m.event, m.segment, m.warnings = len(rec.t)-1, len(rec.Events), len(rec.segments), len(rec.Warnings)
	m.water = r.water(m.water[:0])
	m.strain = append(m.strain[:0], w.Strains()...)
	m.states = append(m.states[:0], w.States()...)
	m.far = w.Far(m.far[:0])
	m.fast = r.fast
}

// tryLeap goes on as many cycles as are known, if there are some.
func (r *Run) tryLeap() error {
	l, w := &r.leaper, r.work
	f := newForecast(l.last, l.alike, l.count, r.bears(l.last[3].did[l.count-1]))
	if f.length(0) < chatterPeriod { // it ends as a finding
		return nil
	}
	most := leapReach * (f.from[3].n - f.from[2+1-min(l.alike-1, 2)].n)
	for k, now := range l.start.far { // whatever falls due while the tank empties or fills
		if now < 0 && k < len(l.far) && now > l.far[k] {
			most = min(most, now/(l.far[k]-now)*0.9)
		}
	}
	room := min(r.until, r.halt)
	if r.knot < len(r.knots) {
		room = min(room, r.knots[r.knot].at)
	}
	if r.stop < len(r.stops) {
		room = min(room, r.stops[r.stop])
	}
	room -= w.T() + leapMargin*f.length(1)
	m := math.Floor(min(most, room/f.length(0)))
	for m >= leastLeap && f.span(m) > room {
		m = math.Floor(0.99 * m)
	}
	if !(m >= leastLeap) {
		return nil
	}
	r.mark(&l.left)
	l.left.warned = maps.Clone(r.warned)
	l.leapt = m
	l.next = f.clone()
	l.due = f.all(l.due[:0], m+1)
	return r.fly(m)
}

// fly puts run and record m cycles on.
func (r *Run) fly(m float64) error {
	l, rec, w := &r.leaper, r.rec, r.work
	f := &l.next
	t := w.T()
	rec.Events = slices.Grow(rec.Events, int(m)*f.events)
	for s := 1.0; s <= m; s++ {
		for i := range f.events {
			e := &rec.Events[l.events+i]
			rec.Events = append(rec.Events, Event{t + f.at(i, s), e.Part, e.What})
		}
		t += f.length(s)
	}
	rec.leaps = append(rec.leaps, leap{forecast: *f, step: l.start.step, cycles: m, end: t})
	ns, np := len(w.Volumes()), len(w.PathMoved)
	for i := range l.start.water {
		l.start.water[i] += f.over(f.events+i, m)
	}
	vol, moved, spilled := l.start.water[:ns], l.start.water[ns:ns+np], l.start.water[ns+np:]
	if err := w.Jump(t, vol, moved, spilled); err != nil {
		return err
	}
	r.keep()
	l.number += m
	r.rec.Effort.Leapt += int(m)
	l.start.t, l.start.number = t, l.number
	l.start.step, l.start.event, l.start.segment = len(rec.t)-1, len(rec.Events), len(rec.segments)
	l.start.far = w.Far(l.start.far[:0])
	return nil
}

// bornOut reports whether the cycle after a leap is what it was to be.
func (r *Run) bornOut(c *cycle, same bool) bool {
	l := &r.leaper
	if !same {
		return false
	}
	bears := r.bears(c.did[l.count-1])
	off := func(i int) float64 { return math.Abs(c.did[i] - l.due[i]) }
	for i := range l.count {
		if off(i) > bears {
			return false
		}
	}
	for i := l.count; i < len(c.did); i++ {
		if off(i) > r.work.VolumeTolerance() {
			return false
		}
	}
	return true
}

// bears is by how much a forecast may be off where a leap lands, s: it grows from nothing to this, so that the leap is off
// by half of it a cycle, and a cycle, of that length, has its share of what the whole simulation may be off by.
func (r *Run) bears(length float64) float64 {
	return 2 * leapTolerance[r.opts.Tolerance] * length / r.until
}

// takeBack puts run and record where the last leap left from.
func (r *Run) takeBack() {
	l, rec, w, m := &r.leaper, r.rec, r.work, &r.leaper.left
	ns, np, nd := len(w.Volumes()), len(w.PathMoved), len(r.low.sys.Devices)
	rec.t = rec.t[:m.step+1]
	rec.vol = rec.vol[:(m.step+1)*ns]
	rec.strain = rec.strain[:(m.step+1)*len(m.strain)]
	rec.segments, rec.modes = rec.segments[:m.segment], rec.modes[:m.segment*nd]
	rec.Events, rec.Warnings = rec.Events[:m.event], rec.Warnings[:m.warnings]
	rec.leaps, rec.opened = rec.leaps[:len(rec.leaps)-1], nil
	rec.Effort.Leapt -= int(l.leapt)
	r.warned, r.fast = m.warned, m.fast
	w.Restore(r.low.sys, m.t, m.water[:ns], m.strain, m.states)
	copy(w.PathMoved, m.water[ns:ns+np])
	copy(w.Spilled, m.water[ns+np:])
	l.number, l.leapt, l.landed, l.alike, l.rest = m.number, 0, false, 0, leapRest
	l.start, l.left = l.left, l.start
}
