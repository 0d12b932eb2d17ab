package sim

import (
	"math"
	"slices"

	"quietpump/sim/internal/kernel"
)

// A forecast says what cycles to come will do: each thing as the newest of those that were simulated did it, or by the line
// or the parabola in their number through the last two or three.
type forecast struct {
	from   [4]cycle // ascending
	degree int
	missed float64 // by how much it would have missed the length of the newest, s
	events int     // how many of what a cycle does are times
}

// newForecast takes the last cycles, of which so many have had the same events. It is the plainest forecast that may be
// expected to be off by no more than bears, s, as far on as leaps go, from what it would have told of how long the newest
// took; else the one that would have told that best. What cycles differ by at random is no slope to go on by.
func newForecast(last [4]cycle, alike, events int, bears float64) forecast {
	best := forecast{from: last, events: events, missed: math.Inf(1)}
	newest := len(last) - 1
	at := last[newest].n - last[newest-1].n
	far := leapReach * (last[newest].n - last[newest-2].n) / at
	grown := 1.0
	for degree := range min(alike-1, 3) {
		before := forecast{degree: degree, events: events}
		copy(before.from[1:], last[:newest])
		missed := math.Abs(before.length(at) - last[newest].did[events-1])
		if missed < best.missed {
			best.degree, best.missed = degree, missed
		}
		if grown *= far; missed*grown <= bears {
			best.degree, best.missed = degree, missed
			break
		}
	}
	return best
}

// parabola is c + s·(slope + (s + apart)·bend), s cycles after the newest, in Newton's form.
type parabola struct{ c, slope, bend, apart float64 }

func (f *forecast) of(i int) parabola {
	a, b, z := &f.from[1], &f.from[2], &f.from[3]
	p := parabola{c: z.did[i]}
	if f.degree > 0 {
		p.apart = z.n - b.n
		p.slope = (z.did[i] - b.did[i]) / p.apart
	}
	if f.degree > 1 {
		p.bend = (p.slope - (b.did[i]-a.did[i])/(b.n-a.n)) / (z.n - a.n)
	}
	return p
}

// at returns what the i-th of what a cycle does will be, s cycles after the newest.
func (f *forecast) at(i int, s float64) float64 {
	p := f.of(i)
	return p.c + s*(p.slope+(s+p.apart)*p.bend)
}

// over returns the sum of that over the next m cycles.
func (f *forecast) over(i int, m float64) float64 {
	p := f.of(i)
	ones := m * (m + 1) / 2
	squares := ones * (2*m + 1) / 3
	return m*p.c + ones*p.slope + (squares+ones*p.apart)*p.bend
}

// length is how long a cycle will take, s cycles after the newest, and span how long the next m will.
func (f *forecast) length(s float64) float64 { return f.at(f.events-1, s) }
func (f *forecast) span(m float64) float64   { return f.over(f.events-1, m) }

// all appends everything that a cycle will do.
func (f *forecast) all(dst []float64, s float64) []float64 {
	for i := range f.from[3].did {
		dst = append(dst, f.at(i, s))
	}
	return dst
}

func (f *forecast) clone() forecast {
	c := *f
	for i := range c.from {
		c.from[i].did = slices.Clone(c.from[i].did)
	}
	return c
}

// A leap is a stretch of a record whose cycles were not simulated one by one.
type leap struct {
	forecast
	step   int // of the record: the start that it leaves from
	cycles float64
	end    float64 // s
}

// leapFrom returns the leap that leaves from step k, or nil.
func (r *Record) leapFrom(k int) *leap {
	i, found := slices.BinarySearchFunc(r.leaps, k, func(l leap, k int) int { return l.step - k })
	if !found {
		return nil
	}
	return &r.leaps[i]
}

// open simulates the cycle of a leap that holds time t.
func (r *Record) open(l *leap, t float64) error {
	if o := r.opened; o != nil && o.t[0] <= t && t <= o.Until {
		return nil
	}
	w := works.Get().(*kernel.Work)
	defer works.Put(w)
	w.Without = kernel.Following
	r.stand(w, l.step)
	low := r.segmentOf(l.step).low
	start, s := r.t[l.step], 1.0
	for ; s < l.cycles && start+l.length(s) <= t; s++ {
		start += l.length(s)
	}
	vol := slices.Clone(w.Volumes())
	for i := range vol {
		vol[i] += l.over(l.events+i, s-1)
	}
	w.Restore(low.sys, start, vol, w.Strains(), w.States())
	o := &Record{Until: min(start+l.length(s), l.end), model: r.model, tol: r.tol}
	o.keep(low, w)
	for w.T() < o.Until {
		if _, err := w.Advance(o.Until, nil); err != nil {
			return err
		}
		o.keep(low, w)
	}
	r.opened = o
	return nil
}
