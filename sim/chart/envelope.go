package chart

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"quietpump/hydraulics/unit"
)

// An Envelope is how high and how low the pressure went along a way through tubes.
type Envelope struct {
	Heading  string        // zero: one that says how high it went
	At       []unit.Length // along the way, rising
	Stops    []Stop        // joints on it
	Before   []unit.Pressure
	Extremes []Extreme     // up to six
	Limit    unit.Pressure // what the weakest part bears; zero: not drawn
}

// A Stop is a joint on the way.
type Stop struct {
	At   unit.Length
	Name string
}

// An Extreme is the most and the least at each place, of one case.
type Extreme struct {
	Name            string
	Highest, Lowest []unit.Pressure
}

// top is the highest pressure of a case, and where it stood.
func (e Envelope) top(k int) (p unit.Pressure, at unit.Length) {
	p = unit.Pressure(math.Inf(-1))
	for i, x := range e.Extremes[k].Highest {
		if x > p && i < len(e.At) {
			p, at = x, e.At[i]
		}
	}
	return p, at
}

// Title says how high the pressure went, in the first case and the last.
func (e Envelope) Title(sys unit.System) string {
	if e.Heading != "" {
		return e.Heading
	}
	if e.check() != nil {
		return "Pressure along the tubes"
	}
	p, _ := e.top(0)
	title := "The pressure goes up to " + sys.Format(p, 2)
	if n := len(e.Extremes); n > 1 {
		q, _ := e.top(n - 1)
		title += fmt.Sprintf(" %s, and to %s %s", e.Extremes[0].Name, sys.Format(q, 2), e.Extremes[n-1].Name)
	}
	return title
}

// Words tells the highest and lowest of each case.
func (e Envelope) Words(sys unit.System) string {
	if e.check() != nil {
		return "Pressure along the tubes; nothing is known of it."
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Highest and lowest pressure along %s of tube.", sys.Format(e.At[len(e.At)-1]-e.At[0], 2))
	for k, x := range e.Extremes {
		p, at := e.top(k)
		low, _, _ := Quantities(x.Lowest...).span()
		fmt.Fprintf(&b, " %s: at most %s, %s along it, and at least %s.", capital(x.Name), sys.Format(p, 2), sys.Format(at, 2), sys.Format(unit.Pressure(low), 2))
	}
	if e.Limit > 0 {
		fmt.Fprintf(&b, " The weakest part bears %s.", sys.Format(e.Limit, 2))
	}
	return b.String()
}

func (e Envelope) check() error {
	if err := rising("places", Quantities(e.At...).list, false); err != nil {
		return fmt.Errorf("envelope: %w", err)
	}
	if n := len(e.Extremes); n == 0 || n > len(styles) {
		return fmt.Errorf("envelope: %d cases; from 1 to %d can be told apart", n, len(styles))
	}
	if e.Before != nil && len(e.Before) != len(e.At) {
		return fmt.Errorf("envelope: %d pressures before, for %d places", len(e.Before), len(e.At))
	}
	for _, x := range e.Extremes {
		if len(x.Highest) != len(e.At) || len(x.Lowest) != len(e.At) {
			return fmt.Errorf("envelope: %q has %d and %d pressures for %d places", x.Name, len(x.Highest), len(x.Lowest), len(e.At))
		}
		if _, _, ok := Quantities(x.Highest...).span(); !ok {
			return errors.New("envelope: no pressure is known anywhere")
		}
	}
	return nil
}

func (e Envelope) draw(d *Drawing, sys unit.System) error {
	if err := e.check(); err != nil {
		return err
	}
	lines := Sweep{}
	lo, hi := math.Inf(1), math.Inf(-1)
	widen := func(list []unit.Pressure) {
		if a, b, ok := Quantities(list...).span(); ok {
			lo, hi = math.Min(lo, a), math.Max(hi, b)
		}
	}
	for _, x := range e.Extremes {
		lines.Lines = append(lines.Lines, Line{Name: x.Name})
		widen(x.Highest)
		widen(x.Lowest)
	}
	if e.Limit > 0 {
		hi = math.Max(hi, float64(e.Limit))
	}
	d.Height += 4
	lines.key(d)
	d.Height += 8 + 14 // the stops' names stand above the field
	names := d.Height - 4
	x, p := Quantities(e.At...), Quantities(e.Extremes[0].Highest...)
	f := framed(d, over(x.list[0], x.list[len(x.list)-1], false, x.scale, sys, 0, 0), over(lo, hi, false, p.scale, sys, 0.04, 0.08), math.Min(0.6*d.Width, 320), "along the tubes")
	last := math.Inf(-1)
	for i := len(e.Stops) - 1; i >= 0; i-- { // the last is what it is about
		s := e.Stops[i]
		at := f.x.at(float64(s.At))
		d.line(Rule, 1, Point{at, f.top}, Point{at, f.bottom})
		half := Wide(s.Name, smallSize, false) / 2
		from := math.Max(edge, math.Min(at-half, d.Width-edge-2*half))
		if last > 0 && from+2*half+6 > last {
			continue
		}
		last = from
		d.text(from, names, Start, Soft, smallSize, s.Name)
	}
	if e.Limit > 0 {
		at := f.y.at(float64(e.Limit))
		d.Add(Shape{Points: []Point{{f.left, at}, {f.right, at}}, Line: Body, Width: 1, Dash: 5})
		d.text(f.left+4, at-5, Start, Body, labelSize, "the weakest part bears "+sys.Format(e.Limit, 2))
	}
	if e.Before != nil {
		f.curve(Soft, 1, 3, x.list, Quantities(e.Before...).list)
	}
	for k, c := range e.Extremes {
		st := styles[k]
		for _, list := range [][]float64{Quantities(c.Highest...).list, Quantities(c.Lowest...).list} {
			f.curve(st.ink, 2, st.dash, x.list, list)
			last := f.left + 20*float64(k)
			for i, p := range list { // marks as in the key, here and there
				if px := f.x.at(x.list[i]); finite(p) && px-last >= 60 {
					last = px
					d.Add(marker(k, px, f.y.at(p)))
				}
			}
		}
	}
	return nil
}
