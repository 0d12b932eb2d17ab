package drawing

import (
	"math"
	"strconv"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/chart"
	"quietpump/wasm/frame"
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

// motion is what the moving picture remembers from one frame to the next.
type motion struct {
	at     time.Time
	phase  []float64 // of the ripples in each run, px
	pic    *picture
	clock  float64 // s that have passed
	times  float64 // how many times faster than life slow flows are shown
	points []chart.Point
}

func wiggle(t float64) float64 { return math.Sin(2 * math.Pi * t) }

// lever is the direction of a handle that is so far open.
func lever(open float64) (dx, dy float64) {
	s, c := math.Sincos(-open * math.Pi / 2)
	return c, s
}

// Moving draws what moves, above Still. Its points are good until the next call.
func (p *Plan) Moving(d *chart.Drawing, in frame.Box, l frame.Look, now time.Time, v View) {
	pic := p.picture(in)
	p.name(pic, l, v)
	m := &p.motion
	dt := now.Sub(m.at)
	if m.at.IsZero() || dt < 0 {
		dt = 0
	}
	dt = min(dt, pause)
	m.at = now
	if m.pic != pic || len(m.phase) != len(pic.runs)+len(pic.hoses) {
		m.pic, m.phase = pic, make([]float64, len(pic.runs)+len(pic.hoses))
	}
	if l.Calm {
		dt = 0
	}
	m.clock += dt.Seconds()
	m.points = m.points[:0]
	mv := mover{p, pic, d, l, v, dt.Seconds()}
	mv.hurry()
	mv.levels()
	mv.flows()
	for i, part := range p.g.parts {
		at := &pic.parts[i]
		switch part := part.(type) {
		case network.Pump:
			mv.pump(at, part)
		case network.Check:
			q, _ := mv.flow(part.Name, "")
			open := 0.0
			if q > 0 && mv.drift(q) > 0 {
				open = 1
			}
			pic.pen(d, at.box, at.flip).flap(open)
		case network.Accumulator:
			mv.accumulator(at, part)
		case network.WasteTank:
			mv.waste(at, part)
		case network.Fixture, network.Drain, network.ReliefValve:
			mv.outflow(i, part)
		}
	}
	mv.gauge()
	mv.seeps()
	mv.picked()
	mv.numbers()
}

// A mover draws one frame.
type mover struct {
	p   *Plan
	pic *picture
	d   *chart.Drawing
	l   frame.Look
	v   View
	dt  float64 // s since the frame before
}

// flow is a part's flow, at a joint where one is named.
func (m *mover) flow(part, joint string) (q float64, ok bool) {
	if m.v.Sample == nil {
		return 0, false
	}
	var f unit.Flow
	if joint == "" {
		f, ok = m.v.Sample.Flow(part)
	} else {
		f, ok = m.v.Sample.FlowAt(part, joint)
	}
	if math.IsNaN(float64(f)) {
		return 0, false
	}
	return float64(f), ok
}

// points takes room for n points.
func (m *mover) points(n int) []chart.Point {
	all := &m.p.motion.points
	if cap(*all)-len(*all) < n {
		*all = make([]chart.Point, 0, max(2*cap(*all), 4096))
	}
	k := len(*all)
	*all = (*all)[:k+n]
	return (*all)[k : k+n : k+n]
}

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
	if shown < least {
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

// levels draws the water in the tanks.
func (m *mover) levels() {
	for _, t := range m.pic.tanks {
		tank := m.p.g.parts[t].(network.Tank)
		if m.v.Sample == nil {
			continue
		}
		h, ok := m.v.Sample.Level(tank.Name)
		if !ok {
			continue
		}
		b := m.pic.parts[t].box.Inset(0.5 * m.pic.ink())
		share := min(max(float64(h/tank.Height), 0), 1)
		y := b.Y1 - share*(b.High()-3)
		const n = 24
		q := m.points(n + 3)
		for k := range n + 1 {
			x := float64(k) / n
			q[k] = chart.Point{X: b.X0 + x*b.Wide(), Y: y}
			if share > 0 && !m.l.Calm {
				q[k].Y += 0.9 * math.Sin(2*math.Pi*(2*x)+1.3*m.p.motion.clock)
			}
		}
		q[n+1], q[n+2] = chart.Point{X: b.X1, Y: b.Y1}, chart.Point{X: b.X0, Y: b.Y1}
		m.d.Add(chart.Shape{Points: q, Closed: true, Fill: chart.Shade(2)})
		m.d.Add(chart.Shape{Points: q[:n+1], Line: chart.Cold, Width: 2})
		if float64(h) >= float64(tank.Height)*(1-1e-6) && !m.l.Calm { // it spills
			m.drops(chart.Point{X: m.pic.parts[t].box.X0 + 3, Y: m.pic.parts[t].box.Y0}, chart.Cold, 1.6)
		}
	}
}

// waste draws what a waste tank has taken.
func (m *mover) waste(at *place, part network.WasteTank) {
	if m.v.Sample == nil {
		return
	}
	w, ok := m.v.Sample.Water(part.Name)
	if !ok || w <= 0 {
		return
	}
	b := at.box.Inset(m.pic.ink())
	high := min(float64(w/part.Capacity), 1) * b.High()
	slope := 0.06 * at.box.Wide()
	in := slope * (1 - high/b.High())
	p := m.points(4)
	p[0], p[1] = chart.Point{X: b.X0 + in, Y: b.Y1 - high}, chart.Point{X: b.X1 - in, Y: b.Y1 - high}
	p[2], p[3] = chart.Point{X: b.X1 - slope, Y: b.Y1}, chart.Point{X: b.X0 + slope, Y: max(b.Y1-0.1*b.High(), b.Y1-high)}
	m.d.Add(chart.Shape{Points: p, Closed: true, Fill: chart.Shade(1)})
}

// pump draws a pump, which shakes while it runs.
func (m *mover) pump(at *place, part network.Pump) {
	b, fill := at.box, chart.Paper
	if m.v.Running[part.Name] {
		fill = chart.Band
		if !m.l.Calm {
			x := 0.9 * math.Sin(2*math.Pi*11*m.p.motion.clock)
			y := 0.5 * math.Sin(2*math.Pi*17*m.p.motion.clock)
			b = frame.Box{X0: b.X0 + x, X1: b.X1 + x, Y0: b.Y0 + y, Y1: b.Y1 + y}
		}
	}
	q := m.pic.pen(m.d, b, at.flip)
	q.pump(fill)
	if m.v.Running[part.Name] { // strokes beside it, which stay where it does not move
		for _, x := range []float64{-1.6, 25.6} {
			for _, y := range []float64{3, 6, 18} {
				q.stroke(chart.Body, 1, x, y, x+math.Copysign(1.6, x), y-1)
			}
		}
	}
}

// accumulator draws how much an accumulator has taken in.
func (m *mover) accumulator(at *place, part network.Accumulator) {
	share := 0.0
	if m.v.Sample != nil {
		if w, ok := m.v.Sample.Water(part.Name); ok && part.Volume > 0 {
			share = min(max(float64(w/part.Volume), 0), 1)
		}
	}
	q := m.pic.pen(m.d, at.box, false)
	y := skin(share)
	if share > 0.01 {
		pts := append([]float64{5, y}, 12, y+0.8)
		pts = append(pts, 19, y)
		pts = append(pts, ring24(12, 14, 7, 6.8, 0, 180)...)
		m.d.Add(chart.Shape{Points: q.all(pts), Closed: true, Fill: chart.Shade(2)})
	}

	q.stroke(chart.Body, 1.1, 5, y, 12, y+0.8, 19, y)
}

// gauge draws the dial and its needle.
func (m *mover) gauge() {
	g := m.pic.dial
	if !g.ok {
		return
	}
	pump := m.p.g.parts[m.p.g.nodes[m.p.gauge].part].(network.Pump)
	starts, stops := switchOf(pump)
	if m.v.Starts != 0 || m.v.Stops != 0 {
		starts, stops = m.v.Starts, m.v.Stops
	}
	top := 1.45 * float64(stops)
	angle := func(p float64) float64 {
		return (135 + 270*min(max(p/top, 0), 1.03)) * math.Pi / 180
	}
	line := m.pic.ink()
	b := m.pic.parts[m.p.g.nodes[m.p.gauge].part].box
	m.d.Add(chart.Shape{Points: []chart.Point{{X: g.at.X, Y: g.at.Y}, {X: g.at.X, Y: b.Y0 + 1}}, Line: chart.Body, Width: 2.6 * line})
	m.d.Add(chart.Shape{Points: turn(g.at.X, g.at.Y, g.r, g.r, 0, 348), Closed: true, Fill: chart.Paper, Line: chart.Body, Width: line})
	arc := turn(g.at.X, g.at.Y, 0.78*g.r, 0.78*g.r, deg(angle(float64(starts))), deg(angle(float64(stops))))
	m.d.Add(chart.Shape{Points: arc, Line: chart.Hatch, Width: 0.16 * g.r})
	for _, p := range [2]unit.Pressure{starts, stops} {
		s, c := math.Sincos(angle(float64(p)))
		m.d.Add(chart.Shape{Points: []chart.Point{{X: g.at.X + 0.62*g.r*c, Y: g.at.Y + 0.62*g.r*s}, {X: g.at.X + 0.94*g.r*c, Y: g.at.Y + 0.94*g.r*s}}, Line: chart.Body, Width: line})
	}
	if m.v.Sample == nil {
		return
	}
	if p, ok := m.v.Sample.Pressure(pump.Sense); ok {
		s, c := math.Sincos(angle(float64(p)))
		m.d.Add(chart.Shape{Points: []chart.Point{{X: g.at.X - 0.2*g.r*c, Y: g.at.Y - 0.2*g.r*s}, {X: g.at.X + 0.76*g.r*c, Y: g.at.Y + 0.76*g.r*s}}, Line: chart.Body, Width: 1.3 * line})
		m.d.Add(chart.Shape{Points: turn(g.at.X, g.at.Y, 0.11*g.r, 0.11*g.r, 0, 330), Closed: true, Fill: chart.Body})
	}
}

func deg(a float64) float64 { return a * 180 / math.Pi }

// outflow draws what leaves a part to the air.
func (m *mover) outflow(i int, part network.Part) {
	q, ok := m.flow(part.ID(), "")
	if !ok || q < 0 || m.drift(q) == 0 {
		return
	}
	at := &m.pic.parts[i]
	pen := m.pic.pen(m.d, at.box, at.flip)
	var from chart.Point
	fall := 0.3 * at.box.High()
	switch part := part.(type) {
	case network.Fixture:
		switch {
		case part.Toilet:
			from, fall = pen.at(15, 12), 4*pen.k
		case showers(part):
			if q > 1e-6 {
				for _, x := range []float64{11.5, 15, 18.5, 22} {
					m.stream(pen.at(x, 19.6-0.5*(x-11.5)), fall, 1.2, m.p.hot[part.At])
				}
				return
			}
			from = pen.at(15, 18)
		default:
			from, fall = pen.at(spoutX, spoutY), 0.36*at.box.High()
		}
	case network.Drain:
		from = pen.at(12, 19)
	case network.ReliefValve:
		from, fall = pen.at(21.5, 17.8), 0.2*at.box.High()
	}
	if q > 1e-6 {
		m.stream(from, fall, 2.6*m.pic.thick, m.p.hot[part.Joints()[0]])
	}
}

// stream is falling water.
func (m *mover) stream(from chart.Point, fall, wide float64, hot bool) {
	ink := chart.Cold
	if hot {
		ink = chart.Hot
	}
	p := m.points(2)
	p[0], p[1] = from, chart.Point{X: from.X, Y: from.Y + fall}
	m.d.Add(chart.Shape{Points: p, Line: ink, Width: wide})
	if m.l.Calm {
		return
	}
	t := math.Mod(2.2*m.p.motion.clock, 1)
	q := m.points(2)
	q[0], q[1] = chart.Point{X: from.X, Y: from.Y + fall*t}, chart.Point{X: from.X, Y: from.Y + fall*min(t+0.3, 1)}
	m.d.Add(chart.Shape{Points: q, Line: chart.Paper, Width: 0.4 * wide})
}

// drops fall from a place one after the other.
func (m *mover) drops(from chart.Point, ink chart.Ink, size float64) {
	const every = 0.9 // s
	const n = 2
	for k := range n {
		t := math.Mod(m.p.motion.clock/every+float64(k)/n, 1)
		if m.l.Calm {
			t = (float64(k) + 0.5) / n
		}
		m.drop(chart.Point{X: from.X, Y: from.Y + 22*t*t*max(size/3, 0.7)}, size*min(1, 0.4+2*t), ink)
	}
}

func (m *mover) drop(at chart.Point, r float64, ink chart.Ink) {
	const n = 9
	p := m.points(n + 1)
	p[0] = chart.Point{X: at.X, Y: at.Y - 2*r}
	for k := range n {
		s, c := math.Sincos((-30 + 240*float64(k)/(n-1)) * math.Pi / 180)
		p[k+1] = chart.Point{X: at.X + r*c, Y: at.Y + r*s}
	}
	m.d.Add(chart.Shape{Points: p, Closed: true, Fill: ink})
}

// seeps draws a ring by hand round what is at fault, and drops where it lets water
// by.
func (m *mover) seeps() {
	for _, f := range m.v.Faults {
		b, ok := m.pic.where(m.p, f.Faulty())
		if !ok {
			continue
		}
		r := m.pic.around(b, 0)
		if s, seep := f.(network.Seep); !seep {
			m.ring(r, chart.Soft)
		} else if !s.Tight() {
			m.ring(r, chart.Seep)
			m.drops(chart.Point{X: r.at.X + 0.2*min(b.Wide(), r.rx), Y: min(b.Y1, r.at.Y+0.7*r.ry)}, chart.Seep, 2.8)
		}
	}
}

// ring is drawn as a hand draws one: not quite round, its ends past each other.
func (m *mover) ring(r oval, ink chart.Ink) {
	const n = 44
	p := m.points(n + 1)
	for k := range n + 1 {
		t := float64(k) / n
		a := (-70 + 392*t) * math.Pi / 180
		w := 0.94 + 0.07*t + 0.02*math.Sin(3*a+1) + 0.012*math.Sin(5*a)
		p[k] = chart.Point{X: r.at.X + w*r.rx*math.Cos(a), Y: r.at.Y + w*r.ry*math.Sin(a)}
	}
	m.d.Add(chart.Shape{Points: p, Line: ink, Width: 2.4})
}

// picked draws a ring of ink round what the reader has picked.
func (m *mover) picked() {
	if m.v.Picked == "" {
		return
	}
	if b, ok := m.pic.where(m.p, m.v.Picked); ok {
		m.ring(m.pic.around(b, 5), chart.Body)
	}
}

// numbers writes the figures into the room kept for them, and the names that water
// would run over.
func (m *mover) numbers() {
	for i := range m.pic.words.names {
		if n := &m.pic.words.names[i]; n.over {
			m.d.Add(n.text)
		}
	}
	if m.v.Sample == nil {
		return
	}
	for i := range m.pic.words.numbers {
		s := &m.pic.words.numbers[i]
		if s.free {
			continue
		}
		text, ink := "", chart.Body
		switch s.what {
		case pressureOf:
			pump := m.p.g.parts[m.p.g.nodes[m.p.gauge].part].(network.Pump)
			if p, ok := m.v.Sample.Pressure(pump.Sense); ok {
				text = m.told(p, s.wide)
			}
		case waterOf:
			if w, ok := m.v.Sample.Water(m.p.g.parts[s.part].ID()); ok {
				text = m.told(w, s.wide)
			}
		case flowOf:
			if q, ok := m.v.Sample.Flow(m.p.g.parts[s.part].ID()); ok {
				text = m.told(q, s.wide)
			}
		case seepOf:
			ink = chart.Seep
			q := math.Abs(m.seeping(s.seep))
			switch x := m.p.motion.times; {
			case m.drift(q) == 0:
			case m.l.Calm:
				text = m.told(unit.Flow(q), s.wide)
			case x > 1 && honest(q) < slowest:
				text = times(x)
			}
		}
		if text != "" {
			m.d.Add(chart.Label{At: s.at, Text: text, Ink: ink, Size: m.pic.text, Side: s.side, Bold: true, Halo: true})
		}
	}
}

// told is a quantity in as many digits as there is room for, two at most; empty
// where there is none.
func (m *mover) told(q unit.Any, wide float64) string {
	for digits := 2; digits > 0; digits-- {
		if text := m.l.Units.Format(q, digits); chart.Wide(text, m.pic.text, true) <= wide {
			return text
		}
	}
	return ""
}

// seeping is the flow through what seeps, m³/s; out of a joint, by its pressure.
func (m *mover) seeping(s network.Seep) float64 {
	if q, ok := m.flow(s.Part, s.Pair[0]); ok {
		switch p, _ := m.p.rig.Part(s.Part); p.(type) {
		case network.Tube:
		case network.Pump, network.HandPump, network.Check, network.Regulator:
			return max(-q, 0) // forward it does its work
		default:
			return q
		}
	}
	if m.v.Sample == nil {
		return 0
	}
	joint := s.Part
	if t, ok := m.tube(s.Part); ok {
		joint = t.From
	}
	if p, ok := m.v.Sample.Pressure(joint); ok && p > 0 {
		return float64(s.Flow(p))
	}
	return 0
}

func (m *mover) tube(name string) (network.Tube, bool) {
	p, _ := m.p.rig.Part(name)
	t, ok := p.(network.Tube)
	return t, ok
}

// times says how many times faster than life something is shown.
func times(x float64) string { return "×" + strconv.Itoa(int(math.Round(x))) }
