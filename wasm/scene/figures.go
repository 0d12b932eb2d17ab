package scene

import (
	"strings"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

// A figure is a line of the account: what, and how much.
type figure struct{ what, much string }

// An account is the figures as they were written last: numbers that ran with every
// frame could not be read.
type account struct {
	at    time.Time
	units unit.System
	lines []figure
	press string // the pressure at the pen
	runs  bool   // the pump
	state []string
}

// every is how often figures are written anew.
const every = 250 * time.Millisecond

// rows is how high a line of figures is, px.
const rows = 19

func (s *Scene) account(look frame.Look, now time.Time, secret bool) *account {
	a := &s.figures
	if d := now.Sub(a.at); d >= 0 && d < every && a.units == look.Units && a.press != "" {
		return a
	}
	a.at, a.units = now, look.Units
	l, sys := s.live, look.Units
	is := l.Account()
	a.lines = a.lines[:0]
	put := func(what string, v unit.Volume) { a.lines = append(a.lines, figure{what, Water(sys, v)}) }
	if is.Room > 0 {
		a.lines = append(a.lines, figure{"in the tank", Share(Water(sys, is.Tanks), Water(sys, is.Room))})
	}
	if !secret {
		put("got away", is.Away)
	}
	if q, ok := l.Charge(); ok {
		a.lines = append(a.lines, figure{"battery use", charge(q)})
	}
	if is.Spilled > unit.Millilitre {
		put("over the brim", is.Spilled)
	}
	if is.Hose > unit.Millilitre {
		put("from the hose", is.Hose)
	}
	put("pumped", is.Pumped)
	put("from taps", is.Drawn)

	a.press, a.runs, a.state = "", false, a.state[:0]
	if p, ok := l.Sample().Pressure(l.Gauge()); ok {
		a.press = sys.Format(round(p), 2)
	} else {
		a.press = "no pressure"
	}
	pump, has := l.Pump()
	switch {
	case !has:
	case l.Lineup().Of(pump) == network.Off():
		a.state = append(a.state, "pump is off")
	case l.Running(pump.Name):
		a.runs, a.state = true, append(a.state, "PUMP", "RUNS")
	default:
		a.state = append(a.state, "quiet for", Span(l.Habit().Quiet))
	}
	return a
}

// Water is an amount in litres or gallons; below a gallon or a litre in what people
// hold in a hand. Less than a millilitre is nothing.
func Water(sys unit.System, v unit.Volume) string {
	if v < unit.Millilitre {
		v = 0
	}
	if v == 0 {
		if sys == unit.Metric {
			return "0 L"
		}
		return "0 gal"
	}
	return sys.Format(v, 2)
}

// Share says how much of how much, the unit once where both have the same:
// "3 of 40 gal".
func Share(part, whole string) string {
	if _, unit, ok := strings.Cut(whole, " "); ok {
		part = strings.TrimSuffix(part, " "+unit)
	}
	return part + " of " + whole
}

func charge(q unit.Charge) string {
	switch ah := q.AmpereHours(); {
	case ah < 0.0005:
		return "0 Ah"
	case ah < 0.01:
		return "hardly any"
	default:
		return figures(ah, 2) + " Ah"
	}
}

// block is the title block's frame, with the watch in it.
func (s *Scene) block(d *chart.Drawing) {
	b := s.places.figures
	if s.places.small {
		return
	}
	d.Add(chart.Shape{Points: []chart.Point{{X: b.X0, Y: b.Y0}, {X: b.X1, Y: b.Y0}, {X: b.X1, Y: b.Y1}, {X: b.X0, Y: b.Y1}}, Closed: true, Line: chart.Body, Width: 1.5})
	y := s.places.watch.y + s.places.watch.r + 6
	for i := 0; y+rows < b.Y1+2; i++ {
		d.Add(stroke(chart.Rule, 1, []chart.Point{{X: b.X0, Y: y}, {X: b.X1, Y: y}}))
		y += rows
	}
}

// written puts the figures down.
func (s *Scene) written(d *chart.Drawing, look frame.Look, now time.Time, o Shown) {
	a := s.account(look, now, o.Secret)
	b := s.places.figures
	s.rate(d, o.Off)
	if s.places.small {
		words := ""
		for _, f := range a.lines[:min(3, len(a.lines))] {
			next := f.what + " " + f.much
			if words != "" {
				next = words + "  ·  " + next
			}
			if chart.Wide(next, 12, false) > b.Wide() {
				break
			}
			words = next
		}
		d.Add(label(b.X0, b.Y1-5, chart.Start, 12, chart.Soft, words))
	} else {
		y := s.places.watch.y + s.places.watch.r + 6
		for _, f := range a.lines {
			if y += rows; y > b.Y1+2 {
				break
			}
			t := label(b.X1-8, y-5, chart.End, 13, chart.Body, f.much)
			t.Bold = true
			d.Add(label(b.X0+8, y-5, chart.Start, 12, chart.Soft, f.what), t)
		}
	}
	if o.Off {
		return
	}
	// What the pen stands at.
	h := s.places.pen
	x, y := (h.X0+h.X1)/2+4, (h.Y0+h.Y1)/2-12
	t := label(x, y, chart.Middle, 19, chart.Body, a.press)
	t.Bold = true
	if h.Wide() < 100 {
		t.Size = 16
	}
	d.Add(t)
	if a.runs {
		d.Add(solid(chart.Band, chart.None, 0, s.points.box(h.X0+14, y+6, h.X1-5, y+42)))
	}
	for i, words := range a.state {
		t := label(x, y+20+16*float64(i), chart.Middle, 12, chart.Soft, words)
		if a.runs {
			t.Ink, t.Bold = chart.Body, true
		}
		d.Add(t)
	}
}
