package change

import (
	"fmt"
	"math"
	"time"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/chart"
	"quietpump/sim/waves"
	"quietpump/wasm/frame"
	"quietpump/wasm/live"
)

// A wave is what runs through the tubes once a tap is flicked shut, computed by the
// library as it is shown and drawn from what it has come to.
type wave struct {
	tap   string
	joint string // where the tap is
	run   *waves.Run
	legs  []waves.Leg // from where the water comes to the tap
	long  unit.Length // of them
	over  time.Duration
	flow  unit.Speed    // of the water before, in the tube before the tap
	speed unit.Speed    // of the wave there
	rest  unit.Pressure // at the tap before
	rise  unit.Pressure // ρ·a·v: what stopping that flow at once would add

	trace   []instant // at the tap, by step
	highest waves.Peak
	tore    bool // the water has torn apart somewhere
	spots   []waves.Place
}

// An instant is the pressure at the tap at a time.
type instant struct {
	at float64 // s
	p  unit.Pressure
}

// trickle is a flow below which nothing is heard, m³/s.
const trickle = 1e-6

const (
	flick    = 10 * time.Millisecond // in which a lever is thrown shut: common practice, no source
	shownFor = 250 * time.Millisecond
	slower   = 60 // times slower than life it is shown
)

// waveAt is the wave that shutting a tap would send; ok is false of one that is shut,
// or that no tube leads to.
func waveAt(l *live.Live, source, tap string) (w *wave, ok bool) {
	p, _ := l.Rig().Part(tap)
	f, is := p.(network.Fixture)
	q, flows := l.Sample().Flow(tap)
	rest, decided := l.Sample().Pressure(f.At)
	if !is || !flows || q < trickle || !decided {
		return nil, false
	}
	w = &wave{tap: tap, joint: f.At, over: flick, rest: rest}
	if w.legs = waves.Way(l.Rig(), l.Lineup(), source, f.At); w.legs == nil {
		for _, p := range l.Rig().Parts() { // no way from there: the tube before the tap
			if t, is := p.(network.Tube); is && (t.From == f.At || t.To == f.At) {
				w.legs = []waves.Leg{{Tube: t, Back: t.From == f.At}}
			}
		}
	}
	if w.legs == nil {
		return nil, false
	}
	var err error
	w.run, err = waves.Begin(l.Model(), l.Lineup(), l.Faults(), waves.Options{
		From: l.Sample(), Until: shownFor,
		Moves: []waves.Move{{Over: w.over, Lineup: network.Lineup{tap: network.Shut()}}},
	})
	if err != nil {
		return nil, false
	}
	for _, leg := range w.legs {
		w.long += leg.Tube.Length
	}
	last := w.legs[len(w.legs)-1].Tube
	area := math.Pi / 4 * float64(last.Bore) * float64(last.Bore)
	w.flow = unit.Speed(float64(q) / area)
	for _, t := range w.run.Result().Tubes {
		if t.Name == last.Name {
			w.speed = t.Speed
		}
	}
	w.rise = unit.Pressure(float64(hydraulics.WaterAt(unit.Celsius(20)).Density) * float64(w.speed) * float64(w.flow))
	w.note()
	w.highest = waves.Peak{Pressure: rest, Joint: f.At}
	return w, true
}

// note keeps what stands at the tap now, and the highest that was anywhere.
func (w *wave) note() {
	p, _ := w.run.Pressure(w.joint)
	w.trace = append(w.trace, instant{w.run.Time(), p})
}

// end is when it is shown no more, s.
func (w *wave) end() float64 { return shownFor.Seconds() }

// mostSteps is how many steps are taken in one frame, some milliseconds in a browser:
// who wants nothing to move is shown all of it, a little later.
const mostSteps = 60

// to brings the wave to a time, in no more than so many steps.
func (w *wave) to(t float64) {
	for n := 0; w.run.Time() < math.Min(t, w.end())-1e-9 && n < mostSteps; n++ {
		if w.run.Advance(1) {
			w.note()
			break
		}
		w.note()
	}
	w.highest, _ = w.run.Peaks()
	w.tore = w.run.Torn()
}

// bounds are the pressures between which it is drawn: where the wave would go if the
// flow were stopped at once, and beyond that as far as it has gone.
func (w *wave) bounds() (lo, hi unit.Pressure) {
	lo, hi = w.rest-w.rise, w.rest+w.rise
	if boils := hydraulics.WaterAt(unit.Celsius(20)).VapourPressure.Gauge(unit.Atmosphere); lo < boils {
		lo = boils
	}
	for _, x := range w.trace {
		lo, hi = min(lo, x.p), max(hi, x.p)
	}
	return lo, hi
}

// draw puts the wave into a box: the tubes laid straight, and below them the pressure
// at the tap.
func (w *wave) draw(d *chart.Drawing, in frame.Box, look frame.Look) {
	p := pen{d}
	x0, x1, y := in.X0+14, in.X1-46, in.Y0+40
	if in.High() < 140 {
		y = in.Y0 + 28
	}
	lo, hi := w.bounds()
	w.straight(p, x0, x1, y, lo, hi)
	slow := two(slower) + "× slower than life"
	if straight := "the way to the tap, laid straight"; chart.Wide(straight+slow, 12, false)+20 < in.Wide() {
		p.words(x0, in.Y0+11, chart.Start, chart.Soft, straight)
	}
	p.words(x1-14, in.Y0+11, chart.End, chart.Soft, slow) // clear of the handle
	w.told(p, frame.Box{X0: x0, Y0: y + 17, X1: in.X1 - 8, Y1: in.Y1}, look.Units, lo, hi)
}

type pen struct{ *chart.Drawing }

func (p pen) line(ink chart.Ink, width float64, at ...chart.Point) {
	p.Add(chart.Shape{Points: at, Line: ink, Width: width})
}

func (p pen) words(x, y float64, side chart.Side, ink chart.Ink, text string) {
	p.Add(chart.Label{At: chart.Point{X: x, Y: y}, Text: text, Ink: ink, Size: 12, Side: side, Halo: true})
}

// straight is the tubes end to end, with as much ink in them as there is pressure, and
// arrows by the water's speed.
func (w *wave) straight(p pen, x0, x1, y float64, lo, hi unit.Pressure) {
	const half = 9.0 // of the tube, px
	at := func(x unit.Length) float64 { return x0 + float64(x/w.long)*(x1-x0) }
	p.line(chart.Body, 2*half+5, chart.Point{X: x0, Y: y}, chart.Point{X: x1, Y: y})
	p.line(chart.Paper, 2*half+1, chart.Point{X: x0, Y: y}, chart.Point{X: x1, Y: y})
	var upper, lower []chart.Point
	type arrow struct{ x, v float64 }
	var arrows []arrow
	var gaps, joints []float64
	base, last := unit.Length(0), math.Inf(-1)
	for k, leg := range w.legs {
		w.spots = w.run.Look(leg.Tube.Name, w.spots[:0])
		n := len(w.spots)
		for i := range n {
			s := w.spots[i]
			x := base + s.X
			if leg.Back {
				s = w.spots[n-1-i]
				x, s.Speed = base+leg.Tube.Length-s.X, -s.Speed
			}
			px := at(x)
			if s.Vapour > 0 {
				gaps = append(gaps, px)
			}
			if px-last < 1 && i < n-1 { // no finer than a px
				continue
			}
			last = px
			share := math.Min(math.Max(float64((s.Pressure-lo)/(hi-lo)), 0.04), 1)
			upper, lower = append(upper, chart.Point{X: px, Y: y - half*share}), append(lower, chart.Point{X: px, Y: y + half*share})
			if len(arrows) == 0 && px > x0+16 || len(arrows) > 0 && px-arrows[len(arrows)-1].x > 70 {
				arrows = append(arrows, arrow{px, float64(s.Speed / w.flow)})
			}
		}
		base += leg.Tube.Length
		if k < len(w.legs)-1 {
			joints = append(joints, at(base))
		}
	}
	for i := len(lower) - 1; i >= 0; i-- {
		upper = append(upper, lower[i])
	}
	p.Add(chart.Shape{Points: upper, Closed: true, Fill: chart.Cold})
	for _, x := range joints {
		p.line(chart.Body, 1, chart.Point{X: x, Y: y - half - 2}, chart.Point{X: x, Y: y + half + 2})
	}
	for _, x := range gaps {
		p.line(chart.Paper, 5, chart.Point{X: x, Y: y})
	}
	for _, a := range arrows {
		if math.Abs(a.v) < 0.05 {
			continue
		}
		back := math.Copysign(3+4*math.Min(math.Abs(a.v), 1), a.v)
		p.line(chart.Body, 2, chart.Point{X: a.x - back, Y: y - 6}, chart.Point{X: a.x, Y: y}, chart.Point{X: a.x - back, Y: y + 6})
	}
	// The tap: a plate that comes down across the tube's end, its handle on top.
	share := math.Min(w.run.Time()/w.over.Seconds(), 1)
	p.line(chart.Body, 5, chart.Point{X: x1 + 2, Y: y - half - 4}, chart.Point{X: x1 + 2, Y: y - half - 4 + share*(2*half+8)})
	p.line(chart.Body, 3, chart.Point{X: x1 + 2, Y: y - half - 4}, chart.Point{X: x1 + 2, Y: y - half - 11})
	p.line(chart.Body, 4, chart.Point{X: x1 - 8, Y: y - half - 11}, chart.Point{X: x1 + 14, Y: y - half - 11})
	p.words(x1+18, y+5, chart.Start, chart.Body, "tap")
}

// told is the pressure at the tap, up to now.
func (w *wave) told(p pen, in frame.Box, sys unit.System, low, high unit.Pressure) {
	y0, y1 := in.Y0, in.Y1-20
	lo, hi := float64(low), float64(high)
	// Room for words above the highest, of a line's height.
	above := (hi - lo) * 20 / math.Max(y1-y0-26, 20)
	hi, lo = hi+above, lo-above*6/20
	// And below what it was before, where that is told, down to the line of the times.
	const told = 21
	if high := y1 - y0; high > 2*told {
		lo = math.Min(lo, float64(w.rest)-told/(high-told)*(hi-float64(w.rest)))
	}
	const before = 0.06 // of the span
	x := func(t float64) float64 { return in.X0 + (t/w.end()+before)/(1+before)*(in.Wide()-12) }
	y := func(p unit.Pressure) float64 { return y1 - (float64(p)-lo)/(hi-lo)*(y1-y0) }
	p.line(chart.Soft, 1, chart.Point{X: in.X0, Y: y1}, chart.Point{X: in.X1, Y: y1})
	p.Add(chart.Shape{Points: []chart.Point{{X: in.X0, Y: y(w.rest)}, {X: in.X1, Y: y(w.rest)}}, Line: chart.Body, Width: 1, Dash: 5})
	curve := []chart.Point{{X: in.X0, Y: y(w.rest)}}
	top := w.trace[0]
	for _, s := range w.trace {
		if s.p > top.p {
			top = s
		}
		if q := (chart.Point{X: x(s.at), Y: y(s.p)}); q.X-curve[len(curve)-1].X >= 0.7 || math.Abs(q.Y-curve[len(curve)-1].Y) > 0.7 {
			curve = append(curve, q)
		}
	}
	p.line(chart.Cold, 2.5, curve...)
	p.line(chart.Body, 7, curve[len(curve)-1])
	if words := sys.Format(w.rest, 2) + " before"; y1-y(w.rest) >= 0.9*told {
		p.words(in.X0, y(w.rest)+14, chart.Start, chart.Body, words)
	} else { // where there is no room below, at the end, where the wave has died down
		p.words(in.X1, y(w.rest)-4, chart.End, chart.Body, words)
	}
	if top.p-w.rest > 0.05*w.rise {
		p.words(math.Min(x(top.at)+7, in.X1-130), y(top.p)-4, chart.Start, chart.Body, "up to "+sys.Format(top.p, 2))
	}
	step := 0.05 // s
	if in.Wide() < 320 {
		step = 0.1
	}
	for t := 0.0; t <= w.end()*1.001; t += step {
		side := chart.Middle
		if t >= w.end()*0.999 {
			side = chart.End
		}
		p.line(chart.Soft, 1, chart.Point{X: x(t), Y: y1 - 3}, chart.Point{X: x(t), Y: y1 + 3})
		p.words(x(t), in.Y1-3, side, chart.Soft, two(1e3*t)+" ms")
	}
}

// says tells the wave in words.
func (w *wave) says(sys unit.System) []string {
	out := []string{
		fmt.Sprintf("The water ran at %s and had to stop in %s ms. The stop runs back through the tubes at %s as a rise of pressure, comes back as a fall, and so on: that is the knock you hear.",
			sys.Format(w.flow, 2), two(1e3*w.over.Seconds()), sys.Format(w.speed, 2)),
		fmt.Sprintf("Stopped at once, this flow would lift the pressure by %s. A tap shut slowly, and an accumulator near it, take most of that away.", sys.Format(w.rise, 2)),
	}
	if w.tore {
		out = append(out, "Somewhere the pressure fell so low that the water tore apart. From there on the picture is a sketch.")
	}
	return append(out, "It is computed, not drawn by hand: every tube of this system, its walls as stiff as they are. Real walls damp it more.")
}

// soFar is the highest of all, for the note.
func (w *wave) soFar(sys unit.System) string {
	where := "elsewhere in the tubes"
	if w.highest.Joint == w.joint {
		where = "at the " + w.tap
	}
	return fmt.Sprintf("Up to %s so far, %s; it was %s.", sys.Format(w.highest.Pressure, 2), where, sys.Format(w.rest, 2))
}

// two is a number to two figures.
func two(x float64) string {
	if x == 0 {
		return "0"
	}
	p := math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-1)
	return fmt.Sprintf("%.10g", math.Round(x/p)*p)
}
