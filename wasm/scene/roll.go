package scene

import (
	"math"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

// A roll is how the paper lies: the newest pressure at the pen, time running away
// from it.
type roll struct {
	end     float64 // s, the time at the pen where the reader has pulled it back; NaN: the present
	perPx   float64 // s
	lo, hi  float64 // Pa, that the paper's edges stand for
	clock   time.Time
	calm    time.Time // under reduced motion: when the paper was moved on last
	newest  float64   // s, what has come to the pen
	columns []column
	tagged  float64 // px, how far the tags reach over the paper
}

// A column is what the curve does within a pixel of the paper.
type column struct{ first, low, high, last float64 }

const (
	feed = 20.0        // px a second of the reader's, at which paper comes out
	step = time.Second // between two moves of the paper under reduced motion
	rim  = 9.0         // px at either edge, for the holes it is pulled by
)

// paper is the part of it that does not move.
func (s *Scene) paper(d *chart.Drawing) {
	b := s.places.paper
	a := &s.points
	keep := func(p []chart.Point) []chart.Point { return append([]chart.Point(nil), p...) }
	d.Add(stroke(chart.Soft, 1, keep(a.line(chart.Point{X: b.X0, Y: b.Y0}, chart.Point{X: b.X1, Y: b.Y0}))),
		stroke(chart.Soft, 1, keep(a.line(chart.Point{X: b.X0, Y: b.Y1}, chart.Point{X: b.X1, Y: b.Y1}))))
	// It is wound up at its far end.
	x := b.X0 - 13
	body := solid(chart.Paper, chart.Body, 1.5, keep(a.box(x, b.Y0-4, x+13, b.Y1+4)))
	d.Add(body, stroke(chart.Soft, 1, keep(a.line(chart.Point{X: x + 4, Y: b.Y0 - 3}, chart.Point{X: x + 4, Y: b.Y1 + 3}))),
		stroke(chart.Rule, 1, keep(a.line(chart.Point{X: x + 8, Y: b.Y0 - 3}, chart.Point{X: x + 8, Y: b.Y1 + 3}))))
	for _, y := range []float64{b.Y0 - 4, b.Y1 + 4} {
		d.Add(stroke(chart.Body, 4, keep(a.line(chart.Point{X: x + 3, Y: y}, chart.Point{X: x + 10, Y: y}))))
	}
}

// housing is what the paper comes out of, joined to the pump.
func (s *Scene) housing(d *chart.Drawing) {
	b, pump := s.places.pen, s.places.pump
	if pump != (frame.Box{}) {
		x := math.Min(math.Max((pump.X0+pump.X1)/2, b.X0+12), b.X1-12)
		from := chart.Point{X: (pump.X0 + pump.X1) / 2, Y: pump.Y1 + 2}
		if from.Y < b.Y0 {
			p := []chart.Point{from, {X: from.X, Y: b.Y0 - 10}, {X: x, Y: b.Y0 - 6}, {X: x, Y: b.Y0}}
			d.Add(stroke(chart.Body, 3.5, p), stroke(chart.Paper, 1, p))
		}
		d.Add(solid(chart.Body, chart.None, 0, []chart.Point{{X: x - 5, Y: b.Y0 - 5}, {X: x + 5, Y: b.Y0 - 5}, {X: x + 6, Y: b.Y0}, {X: x - 6, Y: b.Y0}}))
	}
	var p []chart.Point
	for i, c := range [4][2]float64{{b.X1, b.Y0}, {b.X1, b.Y1}, {b.X0, b.Y1}, {b.X0, b.Y0}} {
		r := 7.0
		if c[0] == b.X0 {
			r = 3
		}
		x, y := c[0]-r, c[1]-r
		if c[0] == b.X0 {
			x = c[0] + r
		}
		if c[1] == b.Y0 {
			y = c[1] + r
		}
		for k := range 5 {
			p = append(p, polar(x, y, r, 90*float64(i)+22.5*float64(k)))
		}
	}
	d.Add(solid(chart.Paper, chart.Body, 2, p))
	// The slit in which the pen slides.
	d.Add(stroke(chart.Body, 3, []chart.Point{{X: b.X0 + 1, Y: s.places.paper.Y0}, {X: b.X0 + 1, Y: s.places.paper.Y1}}))
}

// settle brings the paper's scales to what is shown, gliding.
func (s *Scene) settle(now time.Time, calm bool) {
	r, l := &s.roll, s.live
	dt := math.Min(math.Max(now.Sub(r.clock).Seconds(), 0), 0.25)
	first := r.clock.IsZero() || r.perPx == 0
	r.clock = now
	if calm && !first && now.Sub(r.calm) < step && !now.Before(r.calm) {
		return // until the next whole second nothing moves
	}
	r.newest, r.calm = l.Roll().Ends(), now
	pace := l.Pace()
	if pace < live1 {
		pace = l.Rate()
	}
	want := pace / feed
	glide := 1 - math.Exp(-dt/0.25)
	if first || calm {
		glide, r.perPx = 1, want
	}
	r.perPx *= math.Exp(glide * math.Log(want/r.perPx))

	starts, stops := l.Switch()
	lo, hi := 0.0, float64(45*unit.PSI)
	if _, ok := l.Pump(); ok {
		gap := float64(stops - starts)
		lo, hi = float64(starts)-0.6*gap, float64(stops)+0.5*gap
	}
	from, to := s.span()
	l.Roll().Each(from, to, func(_ float64, p unit.Pressure) {
		if v := float64(p); !math.IsNaN(v) {
			lo, hi = math.Min(lo, v-7e3), math.Max(hi, v+7e3)
		}
	})
	r.lo += glide * (lo - r.lo)
	r.hi += glide * (hi - r.hi)
}

// live1 is a pace below which the clock as good as stands.
const live1 = 0.5

// span is the time on the paper, from its far end to the pen.
func (s *Scene) span() (from, to float64) {
	to = math.Min(s.roll.newest, s.live.Roll().Ends())
	if !math.IsNaN(s.roll.end) {
		to = math.Min(s.roll.end, to)
	}
	return to - s.places.paper.Wide()*s.roll.perPx, to
}

// height is where a pressure lies on the paper.
func (s *Scene) height(p float64) float64 {
	b, r := s.places.paper, &s.roll
	f := (p - r.lo) / (r.hi - r.lo)
	return b.Y1 - rim - math.Min(math.Max(f, 0), 1)*(b.High()-2*rim)
}

// trace writes what moves on the paper: bands where the pump ran, the two printed
// lines, the pressure.
func (s *Scene) trace(d *chart.Drawing, look frame.Look, now time.Time) {
	s.settle(now, look.Calm)
	b := s.places.paper
	from, to := s.span()
	at := func(t float64) float64 { return b.X1 - (to-t)/s.roll.perPx }
	s.holes(d, to)
	s.bands(d, at, from, to)
	s.lines(d)
	s.curve(d, from, to)
	s.tags(d, look)
	s.rests(d, at, from, to)
	s.ago(d, to)
	s.nib(d, to)
}

// holes show that the paper moves where the line on it is level.
func (s *Scene) holes(d *chart.Drawing, to float64) {
	const apart = 14.0
	b := s.places.paper
	phase := math.Mod(to/s.roll.perPx, apart)
	for x := b.X1 - phase; x > b.X0+1; x -= apart {
		for _, y := range [2]float64{b.Y0 + 4.5, b.Y1 - 4.5} {
			d.Add(stroke(chart.Rule, 4, s.points.line(chart.Point{X: x, Y: y})))
		}
	}
}

// bands are hatched where they are wide enough for strokes to be told apart.
func (s *Scene) bands(d *chart.Drawing, at func(float64) float64, from, to float64) {
	b := s.places.paper
	y0, y1 := b.Y0+rim, b.Y1-rim
	done := b.X0 // where the last one ends
	for _, r := range s.live.Roll().Runs(from, to) {
		x0, x1 := math.Max(at(math.Max(r.From, from)), b.X0), math.Min(at(math.Min(r.To, to)), b.X1)
		const least = 3 // so that a blip is seen
		if x1-x0 < least {
			x1 = math.Min(x0+least, b.X1)
		}
		if x0 = math.Max(x0, done); x1 <= x0 {
			continue
		}
		done = x1
		d.Add(solid(chart.Band, chart.None, 0, s.points.box(x0, y0, x1, y1)))
		for _, x := range [2]float64{x0, x1} {
			if x1-x0 > 4 || x == x0 {
				d.Add(stroke(chart.Hatch, 1, s.points.line(chart.Point{X: x, Y: y0}, chart.Point{X: x, Y: y1})))
			}
		}
		if x1-x0 < 7 {
			continue
		}
		// Each stroke runs up to the right at 45°, and belongs to the paper: it
		// moves with it.
		const apart = 7.0
		high := y1 - y0
		for c := x0 - high + math.Mod(at(0)-x0, apart); c < x1; c += apart {
			a, e := chart.Point{X: c, Y: y1}, chart.Point{X: c + high, Y: y0}
			if a.X < x0 {
				a = chart.Point{X: x0, Y: y1 - (x0 - c)}
			}
			if e.X > x1 {
				e = chart.Point{X: x1, Y: y1 - (x1 - c)}
			}
			if a.X < e.X && a.Y <= y1 && e.Y >= y0 {
				d.Add(stroke(chart.Hatch, 1, s.points.line(a, e)))
			}
		}
	}
}

// lines are those at which the pump starts and stops.
func (s *Scene) lines(d *chart.Drawing) {
	if _, ok := s.live.Pump(); !ok {
		return
	}
	b := s.places.paper
	starts, stops := s.live.Switch()
	for _, p := range [2]unit.Pressure{stops, starts} {
		y := s.height(float64(p))
		d.Add(chart.Shape{Points: s.points.line(chart.Point{X: b.X0, Y: y}, chart.Point{X: b.X1, Y: y}), Line: chart.Body, Width: 1, Dash: 5})
	}
}

// tags say what the lines are. They are stuck on the paper, on the far side of the
// lines from where the pressure is wont to be, and what is written there goes on
// behind them.
func (s *Scene) tags(d *chart.Drawing, look frame.Look) {
	s.roll.tagged = 0
	if _, ok := s.live.Pump(); !ok {
		return
	}
	b := s.places.paper
	starts, stops := s.live.Switch()
	for _, l := range [2]struct {
		p     unit.Pressure
		words string
		off   float64
	}{{stops, "stops at ", -5}, {starts, "starts at ", 14}} {
		y := s.height(float64(l.p)) + l.off
		t := label(b.X0+5, y, chart.Start, 12, chart.Body, l.words+look.Units.Format(l.p, 2))
		x := t.At.X + chart.Wide(t.Text, t.Size, false) + 3
		d.Add(solid(chart.Paper, chart.None, 0, s.points.box(b.X0+1, y-11.5, x, y+3.5)), t)
		s.roll.tagged = math.Max(s.roll.tagged, x)
	}
}

// curve is the pressure, no finer than the paper's pixels.
func (s *Scene) curve(d *chart.Drawing, from, to float64) {
	b, r := s.places.paper, &s.roll
	n := int(math.Ceil(b.Wide())) + 1
	if cap(r.columns) < n {
		r.columns = make([]column, n)
	}
	cols := r.columns[:n]
	for i := range cols {
		cols[i] = column{math.NaN(), math.Inf(1), math.Inf(-1), math.NaN()}
	}
	put := func(i int, p float64) {
		c := &cols[i]
		if math.IsNaN(c.first) {
			c.first = p
		}
		c.low, c.high, c.last = math.Min(c.low, p), math.Max(c.high, p), p
	}
	lastT, lastP := math.NaN(), math.NaN()
	s.live.Roll().Each(from, to, func(t float64, q unit.Pressure) {
		p := float64(q)
		if !math.IsNaN(lastP) && !math.IsNaN(p) && t >= lastT {
			// The straight piece crosses columns: it touches each.
			i0, i1 := int(math.Floor((to-t)/r.perPx)), int(math.Floor((to-lastT)/r.perPx))
			for i := min(i1, n-1); i >= max(i0, 0); i-- {
				// where the piece enters and leaves the column
				tin, tout := math.Max(lastT, to-float64(i+1)*r.perPx), math.Min(t, to-float64(i)*r.perPx)
				tout = math.Max(tout, tin)
				if tin > to {
					break
				}
				tout = math.Min(tout, to)
				if t > lastT {
					put(i, lastP+(p-lastP)*(tin-lastT)/(t-lastT))
					put(i, lastP+(p-lastP)*(tout-lastT)/(t-lastT))
				} else {
					put(i, lastP)
					put(i, p)
				}
			}
		}
		lastT, lastP = t, p
	})
	pts := s.points.lend(4*n + 4)
	flush := func() {
		if len(pts) > 1 {
			d.Add(stroke(chart.Cold, 2, pts))
			pts = pts[len(pts):len(pts):cap(pts)]
		} else {
			pts = pts[:0]
		}
	}
	for i := 0; i < n; i++ {
		c := &cols[i]
		if math.IsNaN(c.first) {
			flush()
			continue
		}
		x := b.X1 - float64(i)
		add := func(dx, p float64) {
			q := chart.Point{X: math.Max(x-dx, b.X0), Y: s.height(p)}
			if k := len(pts); k > 1 && math.Abs(pts[k-1].Y-q.Y) < 0.05 && math.Abs(pts[k-2].Y-q.Y) < 0.05 {
				pts[k-1] = q
				return
			}
			pts = append(pts, q)
		}
		add(0, c.last) // the newest is nearest to the pen
		if c.high-math.Max(c.first, c.last) > 0 {
			add(0.5, c.high)
		}
		if math.Min(c.first, c.last)-c.low > 0 {
			add(0.5, c.low)
		}
		add(0.9, c.first)
	}
	flush()
}

// rests says how long the pump was quiet, between bands that leave room for it.
func (s *Scene) rests(d *chart.Drawing, at func(float64) float64, from, to float64) {
	b := s.places.paper
	runs := s.live.Roll().Runs(from, to)
	y := b.Y0 + rim + 11
	for i := 1; i < len(runs); i++ {
		rest := runs[i].From - runs[i-1].To
		x0, x1 := at(runs[i-1].To), at(runs[i].From)
		words := Span(rest) + " quiet"
		wide := chart.Wide(words, 12, false)
		x0, x1 = math.Max(x0, s.roll.tagged), math.Min(x1, b.X1)
		if x1-x0 < wide+8 || x0 < b.X0 {
			continue
		}
		mid := (x0 + x1) / 2
		for _, side := range [2][2]float64{{x0 + 3, mid - wide/2 - 4}, {x1 - 3, mid + wide/2 + 4}} {
			d.Add(stroke(chart.Soft, 1, s.points.line(chart.Point{X: side[0], Y: y - 4}, chart.Point{X: side[1], Y: y - 4})))
		}
		d.Add(label(mid, y, chart.Middle, 12, chart.Soft, words))
	}
}

var steps = []float64{1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 10800, 21600, 43200, 86400}

// ago prints how long ago a place on the paper was at the pen.
func (s *Scene) ago(d *chart.Drawing, to float64) {
	b := s.places.paper
	off := math.Max(s.roll.newest-to, 0) // the reader has pulled it back by so much
	step := steps[len(steps)-1]
	for _, t := range steps {
		if t/s.roll.perPx > 84 {
			step = t
			break
		}
	}
	for k := math.Ceil(off / step); ; k++ {
		x := b.X1 - (k*step-off)/s.roll.perPx
		if x < b.X0+2 {
			return
		}
		d.Add(stroke(chart.Soft, 1, s.points.line(chart.Point{X: x, Y: b.Y1 - 3}, chart.Point{X: x, Y: b.Y1 + 3})))
		words, side := Span(k*step)+" ago", chart.Middle
		if k == 0 {
			words, side, x = "now", chart.End, x-5
		}
		if half := chart.Wide(words, 12, false) / 2; k == 0 || x-half > b.X0-1 && x+half < b.X1-30 {
			d.Add(label(x, b.Y1+15, side, 12, chart.Soft, words))
		}
	}
}

// nib is the pen at the newest pressure.
func (s *Scene) nib(d *chart.Drawing, to float64) {
	p, ok := s.live.Roll().At(to)
	if !ok {
		return
	}
	x, y := s.places.paper.X1, s.height(float64(p))
	d.Add(solid(chart.Body, chart.None, 0, s.points.line(chart.Point{X: x + 13, Y: y - 5}, chart.Point{X: x + 4, Y: y - 5}, chart.Point{X: x - 4, Y: y},
		chart.Point{X: x + 4, Y: y + 5}, chart.Point{X: x + 13, Y: y + 5})))
}
