package chart

import (
	"fmt"
	"math"

	"quietpump/hydraulics/unit"
)

// A HeatMap is what followed as two quantities went through their values. In
// each cell stands a square, the larger and deeper in colour the larger the
// value, and where there is room the value itself.
type HeatMap struct {
	Heading string // zero: one that says where the most is
	X, Y    Axis
	Z       string // what the cells show, such as "rest"
	Cells   Values // of X.Values.Len() × Y.Values.Len(), a row of X for each of Y; NaN where there is none
	Log     bool   // squares grow with the logarithm of the value
}

// most and least are the cells with the largest and smallest values.
func (h HeatMap) most() (least, most int, ok bool) {
	least, most = -1, -1
	for i, v := range h.Cells.list {
		if !finite(v) {
			continue
		}
		if least < 0 || v < h.Cells.list[least] {
			least = i
		}
		if most < 0 || v > h.Cells.list[most] {
			most = i
		}
	}
	return least, most, most >= 0
}

func (h HeatMap) where(i int, sys unit.System) string {
	n := h.X.Values.Len()
	return fmt.Sprintf("%s at %s of %s and %s of %s", h.Cells.Say(i, sys), h.X.Name, h.X.Values.Say(i%n, sys), h.Y.Name, h.Y.Values.Say(i/n, sys))
}

func (h HeatMap) fits() bool {
	return h.X.Values.Len() > 0 && h.Y.Values.Len() > 0 && h.Cells.Len() == h.X.Values.Len()*h.Y.Values.Len()
}

// Title says where the most is.
func (h HeatMap) Title(sys unit.System) string {
	_, most, ok := h.most()
	switch {
	case h.Heading != "":
		return h.Heading
	case !ok || !h.fits():
		return fmt.Sprintf("%s by %s and %s", capital(h.Z), h.X.Name, h.Y.Name)
	}
	return "The most " + h.Z + ": " + h.where(most, sys)
}

// Words tells where the most and the least are.
func (h HeatMap) Words(sys unit.System) string {
	text := fmt.Sprintf("%s by %s and %s.", capital(h.Z), h.X.Name, h.Y.Name)
	if least, most, ok := h.most(); ok && h.fits() {
		text += " The least is " + h.where(least, sys) + "; the most is " + h.where(most, sys) + "."
	}
	return text
}

func (h HeatMap) draw(d *Drawing, sys unit.System) error {
	nx, ny := h.X.Values.Len(), h.Y.Values.Len()
	for _, a := range []Axis{h.X, h.Y} {
		if err := rising(a.Name, a.Values.list, a.Log); err != nil {
			return fmt.Errorf("heat map: %w", err)
		}
	}
	if !h.fits() {
		return fmt.Errorf("heat map: %d cells for %d × %d values", h.Cells.Len(), nx, ny)
	}
	lo, hi, ok := h.Cells.span()
	if !ok || h.Log && lo <= 0 {
		return fmt.Errorf("heat map: %s has no value that can be drawn in some or all of its cells", h.Z)
	}
	share := func(v float64) float64 {
		switch {
		case hi == lo:
			return 1
		case h.Log:
			return math.Log(v/lo) / math.Log(hi/lo)
		}
		return (v - lo) / (hi - lo)
	}
	square := func(x, y, side, share float64) {
		s := side * (0.3 + 0.7*share) / 2
		d.Add(Shape{Points: box(x-s, y-s, x+s, y+s), Closed: true, Fill: Shade(int(share * Shades)), Line: Still, Width: 0.75})
	}

	// The key: squares of a few values between the least and the most.
	d.text(edge, d.Height+14, Start, Soft, labelSize, h.Z)
	x := edge + Wide(h.Z, labelSize, false) + 12
	d.Height += 20
	sc := h.Cells.scale(sys, hi)
	steps := ticks(sc.of(lo), sc.of(hi), 4)
	if h.Log {
		steps = logTicks(sc.of(lo), sc.of(hi), 4)
	}
	if sc.clock {
		steps = clockTicks(lo, hi, 4)
		if h.Log {
			steps = logClockTicks(lo, hi, 4)
		}
	}
	for _, v := range steps {
		si := sc.from(v)
		text := sc.format(v, sc.digits)
		if si < lo || si > hi || x+24+Wide(text, labelSize, false) > d.Width-edge {
			continue
		}
		square(x+8, d.Height-10, 16, share(si))
		d.text(x+20, d.Height-6, Start, Soft, labelSize, text)
		x += 34 + Wide(text, labelSize, false)
	}

	// Rows from below upward, each with its own value of Y.
	left := 0.0
	for i := range ny {
		left = math.Max(left, Wide(h.Y.Values.Say(i, sys), labelSize, false))
	}
	left += edge + 6
	d.text(edge, d.Height+14, Start, Soft, labelSize, h.Y.Name+" upward")
	top := d.Height + 22
	cw := (d.Width - edge - left) / float64(nx)
	ch := math.Min(math.Max(cw, 20), 34)
	numbers := true
	widest := 0.0
	for i := range h.Cells.list {
		if finite(h.Cells.list[i]) {
			widest = math.Max(widest, Wide(h.Cells.Say(i, sys), smallSize, false))
		}
	}
	numbers = widest+4 <= cw
	skip := 1
	for ch*float64(skip) < 16 {
		skip++
	}
	for j := range ny {
		y := top + (float64(ny-1-j)+0.5)*ch
		if j%skip == 0 {
			d.text(left-6, y+4, End, Soft, labelSize, h.Y.Values.Say(j, sys))
		}
		for i := range nx {
			x, k := left+(float64(i)+0.5)*cw, j*nx+i
			v := h.Cells.list[k]
			if !finite(v) {
				d.line(Soft, 1, Point{x - 3, y - 3}, Point{x + 3, y + 3})
				d.line(Soft, 1, Point{x - 3, y + 3}, Point{x + 3, y - 3})
				continue
			}
			square(x, y, math.Min(cw, ch)-2, share(v))
			if numbers {
				d.Add(Label{At: Point{x, y + 4}, Text: h.Cells.Say(k, sys), Ink: Body, Size: smallSize, Side: Middle})
			}
		}
	}
	bottom := top + float64(ny)*ch
	d.Add(Shape{Points: box(left, top, left+cw*float64(nx), bottom), Closed: true, Line: Body, Width: 1.5})
	d.Height = bottom
	last := math.Inf(-1)
	for i := range nx {
		text := h.X.Values.Say(i, sys)
		x, half := left+(float64(i)+0.5)*cw, Wide(h.X.Values.Say(i, sys), labelSize, false)/2
		if x-half < last+8 || x+half > d.Width {
			continue
		}
		last = x + half
		d.line(Body, 1, Point{x, bottom}, Point{x, bottom + 4})
		d.text(x, bottom+17, Middle, Soft, labelSize, text)
	}
	d.Height += 22
	d.text(left, d.Height+11, Start, Soft, labelSize, h.X.Name)
	d.Height += 16 + edge
	return nil
}
