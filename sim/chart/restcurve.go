package chart

import (
	"errors"
	"fmt"
	"math"
	"time"

	"quietpump/hydraulics/unit"
)

// A RestCurve is how long the pump rests against how much gets away, with what
// was seen on it.
type RestCurve struct {
	Heading string // zero: one that says how much the rest tells
	Sizes   []unit.Flow
	Rests   []time.Duration // at each
	// Seen is the rest that was watched, 95 %, and Size what it tells; both zero
	// where nothing was watched.
	Seen struct{ Low, Mid, High time.Duration }
	Size struct{ Low, Mid, High unit.Flow }
}

// Title says how much gets away.
func (r RestCurve) Title(sys unit.System) string {
	switch {
	case r.Heading != "":
		return r.Heading
	case r.Seen.Mid > 0 && r.Size.High > 0:
		return "A rest of " + said(r.Seen.Mid.Seconds()) + " tells of a leak of " + sys.SayBetween(r.Size.Low, r.Size.High)
	}
	return "The smaller the leak, the longer the pump rests"
}

// Words tells the ends of the curve and what was seen.
func (r RestCurve) Words(sys unit.System) string {
	if len(r.Sizes) == 0 || len(r.Rests) != len(r.Sizes) {
		return "Rest against the size of a leak; nothing is drawn."
	}
	last := len(r.Sizes) - 1
	text := fmt.Sprintf("Rest against the size of a leak, both on scales that grow tenfold. A leak of %s leaves a rest of %s, one of %s a rest of %s.",
		sys.Say(r.Sizes[0]), said(r.Rests[0].Seconds()), sys.Say(r.Sizes[last]), said(r.Rests[last].Seconds()))
	if r.Seen.Mid > 0 {
		text += " You saw a rest of " + said(r.Seen.Mid.Seconds())
		if r.Size.High > 0 {
			text += ", so " + sys.SayBetween(r.Size.Low, r.Size.High) + " is getting away"
		}
		text += "."
	}
	return text
}

func (r RestCurve) draw(d *Drawing, sys unit.System) error {
	if len(r.Sizes) != len(r.Rests) {
		return fmt.Errorf("rest curve: %d sizes and %d rests; give as many of each", len(r.Sizes), len(r.Rests))
	}
	x, y := Quantities(r.Sizes...), Times(r.Rests...)
	if err := rising("leak sizes", x.list, true); err != nil {
		return err
	}
	lo, hi, _ := y.span()
	if !(lo > 0) {
		return errors.New("rest curve: a rest is above zero")
	}
	if m := r.Seen.Mid.Seconds(); m > 0 {
		lo, hi = math.Min(lo, m), math.Max(hi, m)
	}
	d.text(edge, d.Height+14, Start, Soft, labelSize, "how long the pump rests")
	d.Height += 18
	below := "how much gets away"
	if r.Seen.Mid > 0 && r.Size.High > 0 {
		below += "; hatched: yours"
	}
	f := framed(d, over(x.list[0], x.list[len(x.list)-1], true, x.scale, sys, 0, 0), over(lo, hi, true, clockScale, sys, 0.06, 0.08),
		math.Min(0.5*d.Width, 300), below)
	within := func(v, lo, hi float64) float64 { return math.Min(math.Max(v, lo), hi) }

	seen, size := r.Seen, r.Size
	if seen.Mid > 0 && size.High > 0 {
		// The band of sizes that the rest speaks for, up to the curve.
		top := f.y.at(seen.Mid.Seconds())
		x0 := within(f.x.at(math.Max(float64(size.Low), f.x.lo)), f.left, f.right)
		x1 := within(f.x.at(math.Max(float64(size.High), f.x.lo)), f.left, f.right)
		if x1-x0 < 3 {
			x0, x1 = x0-1.5, x1+1.5
		}
		d.hatched(x0, top, x1, f.bottom)
	}
	f.curve(Cold, 2, 0, x.list, y.list)
	if seen.Mid <= 0 {
		return nil
	}
	at := f.y.at(seen.Mid.Seconds())
	d.Add(Shape{Points: []Point{{f.left, at}, {f.right, at}}, Line: Seep, Width: 1.5, Dash: 5})
	words := "you saw " + said(seen.Mid.Seconds())
	px := f.right
	if size.Mid > 0 {
		px = within(f.x.at(float64(size.Mid)), f.left, f.right)
		if seen.High > seen.Low && seen.Low > 0 {
			y0, y1 := within(f.y.at(seen.Low.Seconds()), f.top, f.bottom), within(f.y.at(seen.High.Seconds()), f.top, f.bottom)
			d.line(Seep, 2, Point{px, y0}, Point{px, y1})
		}
		d.Add(drop(px, at, 7))
	}
	// The words stand on the roomier side of the drop, above the line.
	size2 := Wide(words, labelSize, true)
	side, wx := End, f.right-4
	if f.right-px < size2+20 {
		side, wx = Start, f.left+6
	}
	d.Add(Label{At: Point{wx, at - 6}, Text: words, Ink: Seep, Size: labelSize, Side: side, Bold: true, Halo: true})
	return nil
}

// drop is a drop of water about a point, r px to its side.
func drop(x, y, r float64) Shape {
	var p []Point
	const n = 20
	for i := range n {
		a := 2 * math.Pi * float64(i) / n
		// The teardrop x = sin a·sin(a/2), y = −cos a, point upward.
		p = append(p, Point{x + r*math.Sin(a)*math.Sin(a/2), y - r*1.15*math.Cos(a)})
	}
	return Shape{Points: p, Closed: true, Fill: Seep, Line: Paper, Width: 1}
}
