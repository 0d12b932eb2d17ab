package chart

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"quietpump/hydraulics/unit"
)

// A Timeline is pressure against time: how it sinks while the pump rests, and
// jumps when it runs.
type Timeline struct {
	Heading  string          // zero: one that says how often the pump starts
	At       []float64       // s, rising
	Pressure []unit.Pressure // at each; NaN where nothing decides it
	Runs     []Span          // when the pump ran, in order
	Switch   Switch
}

// A Span is a stretch of time, s.
type Span struct{ From, To float64 }

// A Switch is the pressures at which a pump starts and stops.
type Switch struct{ Starts, Stops unit.Pressure }

// Title says how often the pump starts, unless it was given.
func (t Timeline) Title(unit.System) string {
	if t.Heading != "" {
		return t.Heading
	}
	if len(t.At) == 0 {
		return "Nothing was watched"
	}
	span := said(t.At[len(t.At)-1] - t.At[0])
	rest, told := t.rest()
	switch n := len(t.Runs); {
	case n == 0:
		return "The pump stays quiet for " + span
	case !told:
		return "The pump runs once in " + span
	case n == 1:
		return "The pump is quiet for " + said(rest) + ", then it starts"
	default:
		times := fmt.Sprintf("%d times", n)
		if n == 2 {
			times = "twice"
		}
		return fmt.Sprintf("The pump starts %s in %s, after about %s of quiet each time", times, span, said(rest))
	}
}

// rest is the mean time between runs; with one run, the time before it.
func (t Timeline) rest() (mean float64, told bool) {
	switch n := len(t.Runs); {
	case n == 0 || len(t.At) == 0:
		return 0, false
	case n == 1:
		return t.Runs[0].From - t.At[0], t.Runs[0].From > t.At[0]
	default:
		sum := 0.0
		for i := 1; i < n; i++ {
			sum += t.Runs[i].From - t.Runs[i-1].To
		}
		return sum / float64(n-1), true
	}
}

// Words tells the span, the range of the pressure and when the pump ran.
func (t Timeline) Words(sys unit.System) string {
	lo, hi, ok := Quantities(t.Pressure...).span()
	if !ok || len(t.At) == 0 {
		return "Pressure against time; nothing was watched."
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Pressure against time, over %s. It lies between %s and %s. The pump starts at %s and stops at %s.",
		said(t.At[len(t.At)-1]-t.At[0]), sys.Format(unit.Pressure(lo), 2), sys.Format(unit.Pressure(hi), 2),
		sys.Format(t.Switch.Starts, 2), sys.Format(t.Switch.Stops, 2))
	if len(t.Runs) == 0 {
		b.WriteString(" It does not run.")
		return b.String()
	}
	const most = 6
	for i, r := range t.Runs {
		if i == most {
			fmt.Fprintf(&b, " And so on, %d runs in all.", len(t.Runs))
			break
		}
		fmt.Fprintf(&b, " It runs at %s for %s.", said(r.From), said(r.To-r.From))
	}
	return b.String()
}

func (t Timeline) check() error {
	if len(t.At) != len(t.Pressure) {
		return fmt.Errorf("timeline: %d times and %d pressures; give as many of each", len(t.At), len(t.Pressure))
	}
	if err := rising("times", t.At, false); err != nil {
		return err
	}
	if !finite(float64(t.Switch.Starts)) || !finite(float64(t.Switch.Stops)) || t.Switch.Starts >= t.Switch.Stops {
		return fmt.Errorf("timeline: a pump that starts at %v and stops at %v cannot be", t.Switch.Starts, t.Switch.Stops)
	}
	for i, r := range t.Runs {
		if !(r.From <= r.To) || !finite(r.From) || !finite(r.To) || i > 0 && r.From < t.Runs[i-1].To {
			return fmt.Errorf("timeline: run %d, from %g s to %g s, does not follow the one before", i+1, r.From, r.To)
		}
	}
	if _, _, ok := Quantities(t.Pressure...).span(); !ok {
		return errors.New("timeline: no pressure is known at any time")
	}
	return nil
}

func (t Timeline) draw(d *Drawing, sys unit.System) error {
	if err := t.check(); err != nil {
		return err
	}
	// The key: a piece of the band, and what it means.
	d.Height += 6
	d.hatched(edge, d.Height, edge+22, d.Height+12)
	d.text(edge+28, d.Height+10, Start, Soft, labelSize, "the pump runs")
	d.Height += 18
	dimension := d.Height
	d.Height += 16

	p := Quantities(t.Pressure...)
	lo, hi, _ := p.span()
	lo, hi = math.Min(lo, float64(t.Switch.Starts)), math.Max(hi, float64(t.Switch.Stops))
	x := over(t.At[0], t.At[len(t.At)-1], false, clockScale, sys, 0, 0)
	y := over(lo, hi, false, quantityScale[unit.Pressure], sys, 0.18, 0.18)
	field := len(d.Marks)
	f := framed(d, x, y, math.Min(0.5*d.Width, 300), "")

	// Bands lie under the grid.
	over := append([]Mark(nil), d.Marks[field:]...)
	d.Marks = d.Marks[:field]
	for _, r := range t.Runs {
		x0, x1 := math.Max(f.x.at(r.From), f.left), math.Min(f.x.at(r.To), f.right)
		if x1 < f.left || x0 > f.right {
			continue
		}
		const least = 3 // px, so that a blip is seen
		if x1-x0 < least {
			x1 = math.Min(x0+least, f.right)
			x0 = x1 - least
		}
		d.hatched(x0, f.top, x1, f.bottom)
	}
	d.Add(over...)

	for _, s := range []struct {
		p     unit.Pressure
		words string
		below float64
	}{{t.Switch.Stops, "stops at ", -6}, {t.Switch.Starts, "starts at ", 15}} {
		at := f.y.at(float64(s.p))
		d.Add(Shape{Points: []Point{{f.left, at}, {f.right, at}}, Line: Body, Width: 1, Dash: 5})
		d.text(f.right-4, at+s.below, End, Body, labelSize, s.words+sys.Format(s.p, 2))
	}
	f.curve(Cold, 2, 0, t.At, p.list)
	t.dimensioned(f, dimension)
	return nil
}

// dimensioned measures the first whole rest above the field, as a drawing does,
// where there is room to say how long it is.
func (t Timeline) dimensioned(f *frame, y float64) {
	var from, to float64
	switch {
	case len(t.Runs) >= 2:
		from, to = t.Runs[0].To, t.Runs[1].From
	case len(t.Runs) == 1:
		from, to = t.At[0], t.Runs[0].From
	default:
		return
	}
	x0, x1 := f.x.at(from), f.x.at(to)
	words := said(to-from) + " quiet"
	if x0 < f.left || x1 > f.right || x1-x0 < 12 {
		return
	}
	y += 8
	d := f.d
	for _, x := range []float64{x0, x1} {
		d.line(Soft, 1, Point{x, y - 5}, Point{x, f.top})
	}
	d.line(Soft, 1, Point{x0 + 5, y - 3}, Point{x0, y}, Point{x0 + 5, y + 3})
	d.line(Soft, 1, Point{x1 - 5, y - 3}, Point{x1, y}, Point{x1 - 5, y + 3})
	size := Wide(words, labelSize, false)
	if size+24 <= x1-x0 {
		d.line(Soft, 1, Point{x0, y}, Point{(x0+x1-size)/2 - 4, y})
		d.line(Soft, 1, Point{(x0+x1+size)/2 + 4, y}, Point{x1, y})
	} else {
		d.line(Soft, 1, Point{x0, y}, Point{x1, y})
	}
	switch {
	case size+24 <= x1-x0:
		d.text((x0+x1)/2, y+4, Middle, Body, labelSize, words)
	case x1+8+size <= f.d.Width:
		d.text(x1+8, y+4, Start, Body, labelSize, words)
	}
}
