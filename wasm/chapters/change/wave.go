package change

import (
	"fmt"
	"math"
	"time"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/chart"
	"quietpump/wasm/frame"
	"quietpump/wasm/live"
)

// A wave is what runs up and down the last tube before a tap that is shut at once:
// the closed form for one straight tube without friction, its far end held at the
// pressure it has. The pressure at the tap rises by ρ·a·v and is handed back and
// forth; a is the wave's speed and v that of the water before. Source: N. Joukowsky,
// 1898; the reflections as in any text on fluid transients, such as Wylie and
// Streeter (1993), chapter 3.
type wave struct {
	tap    string
	tube   string
	length unit.Length
	speed  unit.Speed    // of the wave
	flow   unit.Speed    // of the water, before
	rest   unit.Pressure // at the far end
	rise   unit.Pressure
}

// waveAt is the wave that shutting a tap would send; ok is false of one that is shut,
// or that no tube leads to.
func waveAt(l *live.Live, tap string) (w wave, ok bool) {
	p, _ := l.Rig().Part(tap)
	f, is := p.(network.Fixture)
	q, flows := l.Sample().Flow(tap)
	if !is || !flows || q < trickle {
		return w, false
	}
	for _, p := range l.Rig().Parts() {
		t, is := p.(network.Tube)
		if !is || t.From != f.At && t.To != f.At || t.Compliance <= 0 {
			continue
		}
		far := t.From
		if far == f.At {
			far = t.To
		}
		if rest, decided := l.Sample().Pressure(far); decided {
			return waveIn(t, tap, q, rest), true
		}
	}
	return w, false
}

// trickle is a flow below which nothing is heard, m³/s.
const trickle = 1e-6

// waveIn is the wave in a tube through which water ran. A tube's compliance is that of
// its wall and of the water in it together.
func waveIn(t network.Tube, tap string, q unit.Flow, rest unit.Pressure) wave {
	area := math.Pi / 4 * float64(t.Bore) * float64(t.Bore)
	rho := hydraulics.WaterAt(unit.Celsius(20)).Density
	a := hydraulics.WaveSpeed(rho, float64(t.Compliance)/(area*float64(t.Length)), 0)
	v := unit.Speed(float64(q) / area)
	return wave{tap: tap, tube: t.Name, length: t.Length, speed: a, flow: v, rest: rest, rise: unit.Pressure(float64(rho) * float64(a) * float64(v))}
}

// trip is how long it takes through the tube, s.
func (w wave) trip() float64 { return float64(w.length) / float64(w.speed) }

// at is the pressure and the speed of the water at time t after the tap was shut, at
// x of the tube's length from its far end, 0 to 1.
func (w wave) at(x, t float64) (p unit.Pressure, v unit.Speed) {
	if t < 0 {
		return w.rest, w.flow
	}
	k := math.Floor(t / w.trip())
	front := t/w.trip() - k // how far it has come on this trip
	// The four trips of a round: what stands before the wave on each, as shares of
	// the rise and of the flow. What stands behind it is what the next begins with.
	round := [5][2]float64{{0, 1}, {1, 0}, {0, -1}, {-1, 0}, {0, 1}}
	i := int(math.Mod(k, 4))
	if i%2 == 0 && x >= 1-front || i%2 == 1 && x <= front {
		i++
	}
	return w.rest + unit.Pressure(round[i][0])*w.rise, unit.Speed(round[i][1]) * w.flow
}

// tears reports whether the pressure would fall so low that the water tears apart:
// there the formula ends, two trips after the tap was shut.
func (w wave) tears() bool {
	return w.rest-w.rise < hydraulics.WaterAt(unit.Celsius(20)).VapourPressure.Gauge(unit.Atmosphere)
}

// end is when it is shown no more, s: after two rounds, or where the water tears.
func (w wave) end() float64 {
	if w.tears() {
		return 2 * w.trip()
	}
	return 8 * w.trip()
}

// shown is how long a trip is shown, s of the reader's.
const shown = 2.5

// slower is how many times slower than life that is.
func (w wave) slower() float64 { return shown / w.trip() }

// draw puts the wave into a box: the tube laid straight, and below it the pressure at
// the tap.
func (w wave) draw(d *chart.Drawing, in frame.Box, look frame.Look, since time.Duration) {
	t := math.Min(since.Seconds()/w.slower(), w.end())
	if look.Calm { // nothing runs: all of it is shown at once
		t = w.end()
	}
	p := pen{d}
	x0, x1, y := in.X0+14, in.X1-46, in.Y0+38
	if in.High() < 140 {
		y = in.Y0 + 27
	}
	w.straight(p, x0, x1, y, t)
	slower := two(w.slower()) + "× slower than life"
	if straight := w.tube + ", laid straight"; chart.Wide(straight+slower, 12, false)+20 < in.Wide() {
		p.words(x0, in.Y0+11, chart.Start, chart.Soft, straight)
	}
	p.words(x1, in.Y0+11, chart.End, chart.Soft, slower)
	w.told(p, frame.Box{X0: x0, Y0: y + 15, X1: in.X1 - 8, Y1: in.Y1}, look.Units, t)
}

type pen struct{ *chart.Drawing }

func (p pen) line(ink chart.Ink, width float64, at ...chart.Point) {
	p.Add(chart.Shape{Points: at, Line: ink, Width: width})
}

func (p pen) words(x, y float64, side chart.Side, ink chart.Ink, text string) {
	p.Add(chart.Label{At: chart.Point{X: x, Y: y}, Text: text, Ink: ink, Size: 12, Side: side, Halo: true})
}

// straight is the tube, the water in it by its pressure and with arrows by its speed.
func (w wave) straight(p pen, x0, x1, y, t float64) {
	at := func(f float64) float64 { return x0 + f*(x1-x0) }
	p.line(chart.Body, 20, chart.Point{X: x0, Y: y}, chart.Point{X: x1, Y: y})
	p.line(chart.Paper, 15, chart.Point{X: x0, Y: y}, chart.Point{X: x1, Y: y})
	const pieces = 200
	t = math.Min(t, w.end()*(1-1e-9))
	from, last := 0.0, math.NaN()
	for i := 0; i <= pieces; i++ {
		f := (float64(i) + 0.5) / pieces
		q, _ := w.at(math.Min(f, 1), t)
		level := math.Round(float64((q - w.rest) / w.rise))
		if level == last && i < pieces {
			continue
		}
		if !math.IsNaN(last) {
			// More pressure, more ink: a line of it, half the tube, all of it.
			p.line(chart.Cold, 4+5*(last+1), chart.Point{X: at(from), Y: y}, chart.Point{X: at(float64(i) / pieces), Y: y})
		}
		from, last = float64(i)/pieces, level
	}
	for _, f := range []float64{0.12, 0.37, 0.62, 0.87} {
		_, v := w.at(f, t)
		if v == 0 {
			continue
		}
		back, x := math.Copysign(6, float64(v)), at(f)
		p.line(chart.Body, 2, chart.Point{X: x - back, Y: y - 6}, chart.Point{X: x, Y: y}, chart.Point{X: x - back, Y: y + 6})
	}
	// The tap, shut: a plate across the tube's end, its handle on top.
	p.line(chart.Body, 5, chart.Point{X: x1 + 2, Y: y - 13}, chart.Point{X: x1 + 2, Y: y + 13})
	p.line(chart.Body, 3, chart.Point{X: x1 + 2, Y: y - 13}, chart.Point{X: x1 + 2, Y: y - 20})
	p.line(chart.Body, 4, chart.Point{X: x1 - 8, Y: y - 20}, chart.Point{X: x1 + 14, Y: y - 20})
	p.words(x1+12, y+5, chart.Start, chart.Body, "tap")
}

// told is the pressure at the tap, up to now.
func (w wave) told(p pen, in frame.Box, sys unit.System, t float64) {
	y0, y1 := in.Y0, in.Y1-20
	rest := float64(w.rest)
	hi, lo := rest+float64(w.rise), rest
	if !w.tears() {
		lo = rest - float64(w.rise)
	}
	// Room for words above the highest, of a line's height.
	above := (hi - lo) * 20 / math.Max(y1-y0-26, 20)
	hi, lo = hi+above, lo-above*6/20
	const before = 0.08 // of the span
	span := w.end()
	x := func(t float64) float64 { return in.X0 + (t/span+before)/(1+before)*(in.Wide()-12) }
	y := func(p float64) float64 { return y1 - (p-lo)/(hi-lo)*(y1-y0) }
	p.line(chart.Soft, 1, chart.Point{X: in.X0, Y: y1}, chart.Point{X: in.X1, Y: y1})
	p.Add(chart.Shape{Points: []chart.Point{{X: in.X0, Y: y(rest)}, {X: in.X1, Y: y(rest)}}, Line: chart.Body, Width: 1, Dash: 5})
	curve := []chart.Point{{X: in.X0, Y: y(rest)}, {X: x(0), Y: y(rest)}}
	for k := 0.0; 2*k*w.trip() < t; k++ {
		from, to := 2*k*w.trip(), math.Min(2*(k+1)*w.trip(), t)
		q, _ := w.at(1, from+1e-3*w.trip())
		curve = append(curve, chart.Point{X: x(from), Y: y(float64(q))}, chart.Point{X: x(to), Y: y(float64(q))})
	}
	p.line(chart.Cold, 2.5, curve...)
	p.line(chart.Body, 7, curve[len(curve)-1])
	off := -5.0
	if w.tears() { // the line stands above it to the end
		off = 14
	}
	p.words(in.X1, y(rest)+off, chart.End, chart.Body, sys.Format(w.rest, 2)+" before")
	p.words(x(0)+5, y(rest+float64(w.rise))-6, chart.Start, chart.Body, "+"+sys.Format(w.rise, 2)+" at the tap")
	every := 2.0
	if in.Wide() < 320 && !w.tears() {
		every = 4
	}
	for k := 0.0; k <= 8; k += every {
		if at := k * w.trip(); at <= w.end()*1.001 {
			side := chart.Middle
			if k > 0 && at >= w.end()*0.999 {
				side = chart.End
			}
			p.line(chart.Soft, 1, chart.Point{X: x(at), Y: y1 - 3}, chart.Point{X: x(at), Y: y1 + 3})
			p.words(x(at), in.Y1-3, side, chart.Soft, two(1e3*at)+" ms")
		}
	}
}

// says tells the wave in words.
func (w wave) says(sys unit.System) []string {
	out := []string{
		fmt.Sprintf("The water ran at %s and had to stop at once. The stop runs back through the %s at %s and lifts the pressure by %s, for %s ms. Then it comes back.",
			sys.Format(w.flow, 2), w.tube, sys.Format(w.speed, 2), sys.Format(w.rise, 2), two(2e3*w.trip())),
		"That is the knock you hear. It is over before the pump's switch has moved: it does not explain a pump that starts at night.",
		"Worked out by Joukowsky's formula (1898) for this one tube: laid straight, shut in no time, without friction. A real knock is softer.",
	}
	if w.tears() {
		out = append(out, "When it comes back, the pressure would fall so low that the water tears apart. There the formula ends, and so does the picture.")
	}
	return out
}

// two is a number to two figures.
func two(x float64) string {
	if x == 0 {
		return "0"
	}
	p := math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-1)
	return fmt.Sprintf("%.10g", math.Round(x/p)*p)
}
