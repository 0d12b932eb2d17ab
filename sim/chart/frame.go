package chart

import (
	"fmt"
	"math"
	"sort"

	"quietpump/hydraulics/unit"
)

// An axis maps values onto px.
type axis struct {
	lo, hi   float64 // in SI units
	from, to float64 // px
	log      bool
	scale    scale
}

// over is an axis over a span of values, with a share of it to spare at the ends.
func over(lo, hi float64, log bool, sc func(unit.System, float64) scale, sys unit.System, low, high float64) axis {
	if log {
		return axis{lo: lo * math.Pow(hi/lo, -low), hi: hi * math.Pow(hi/lo, high), log: true, scale: sc(sys, math.Sqrt(lo*hi))}
	}
	if hi == lo {
		pad := math.Max(math.Abs(hi)/20, 1e-9)
		lo, hi = lo-pad, hi+pad
	}
	return axis{lo: lo - low*(hi-lo), hi: hi + high*(hi-lo), scale: sc(sys, math.Max(math.Abs(lo), math.Abs(hi)))}
}

// at is where a value stands, px.
func (a axis) at(v float64) float64 {
	t := (v - a.lo) / (a.hi - a.lo)
	if a.log {
		t = math.Log(v/a.lo) / math.Log(a.hi/a.lo)
	}
	return a.from + t*(a.to-a.from)
}

type tick struct {
	value float64
	label string
}

// ticks are at most so many round values on the axis, labelled with their unit.
func (a axis) ticks(most int) []tick {
	most = max(most, 2)
	var shown []float64
	lo, hi := a.scale.of(a.lo), a.scale.of(a.hi)
	switch {
	case a.scale.clock && a.log:
		shown = logClockTicks(lo, hi, most)
	case a.scale.clock:
		shown = clockTicks(lo, hi, most)
	case a.log:
		shown = logTicks(lo, hi, most)
	default:
		for want := most; want >= 2; want-- {
			shown = shown[:0]
			slack := 1e-9 * (hi - lo)
			for _, x := range ticks(lo, hi, want) {
				if x >= lo-slack && x <= hi+slack {
					shown = append(shown, x)
				}
			}
			if len(shown) <= most {
				break
			}
		}
	}
	out := make([]tick, len(shown))
	for i, x := range shown {
		out[i] = tick{a.scale.from(x), a.scale.format(x, a.scale.digits)}
		if a.scale.clock {
			step, last := x, x
			if len(shown) > 1 && !a.log {
				step, last = shown[1]-shown[0], shown[len(shown)-1]
			}
			out[i].label = clockTick(x, step, last)
		}
	}
	return out
}

// A frame is the field of a chart between its axes.
type frame struct {
	d                        *Drawing
	x, y                     axis
	left, top, right, bottom float64
}

// framed draws the axes of a field that is high px high, with grid lines across
// it, below what is drawn. below names the x axis.
func framed(d *Drawing, x, y axis, high float64, below string) *frame {
	f := &frame{d: d, x: x, y: y, top: d.Height + 6, right: d.Width - edge}
	f.bottom = f.top + high
	f.y.from, f.y.to = f.bottom, f.top
	yTicks := f.y.ticks(int(high / 34))
	widest := 0.0
	for _, t := range yTicks {
		widest = math.Max(widest, Wide(t.label, labelSize, false))
	}
	f.left = edge + widest + 6
	f.x.from, f.x.to = f.left, f.right

	for _, t := range yTicks {
		y := f.y.at(t.value)
		d.line(Rule, 1, Point{f.left, y}, Point{f.right, y})
		d.text(f.left-6, y+4, End, Soft, labelSize, t.label)
	}
	// As many x labels as there is room for.
	for most := int((f.right-f.left)/44) + 1; most >= 2; most-- {
		list := f.x.ticks(most)
		if most > 2 && !apart(list, f) {
			continue
		}
		for _, t := range list {
			x := f.x.at(t.value)
			d.line(Body, 1, Point{x, f.bottom}, Point{x, f.bottom + 4})
			half := Wide(t.label, labelSize, false) / 2
			side, at := Middle, x
			if x+half > d.Width-2 {
				side, at = End, d.Width-2
			}
			d.text(at, f.bottom+17, side, Soft, labelSize, t.label)
		}
		break
	}
	d.line(Body, 1.5, Point{f.left, f.bottom}, Point{f.right, f.bottom})
	d.Height = f.bottom + 22
	for _, line := range wrap(below, d.Width-f.left-edge, labelSize, false) {
		d.text(f.left, d.Height+11, Start, Soft, labelSize, line)
		d.Height += 16
	}
	d.Height += edge
	return f
}

// apart reports whether labels along x keep clear of each other.
func apart(list []tick, f *frame) bool {
	last := math.Inf(-1)
	for _, t := range list {
		x, half := f.x.at(t.value), Wide(t.label, labelSize, false)/2
		from, to := x-half, x+half
		if to > f.d.Width-2 {
			from, to = f.d.Width-2-2*half, f.d.Width-2
		}
		if from < last+8 {
			return false
		}
		last = to
	}
	return true
}

// curve draws a line through values, cut off at the edges of the field; a value
// that is no number breaks it.
func (f *frame) curve(ink Ink, width, dash float64, x, y []float64) {
	var run []Point
	flush := func() {
		if len(run) > 1 {
			f.d.Add(Shape{Points: thinned(run), Line: ink, Width: width, Dash: dash})
		}
		run = nil
	}
	for i := range x {
		if !finite(x[i]) || !finite(y[i]) || f.x.log && x[i] <= 0 || f.y.log && y[i] <= 0 {
			flush()
			continue
		}
		p := Point{f.x.at(x[i]), f.y.at(y[i])}
		if i > 0 && finite(x[i-1]) && finite(y[i-1]) && !(f.x.log && x[i-1] <= 0 || f.y.log && y[i-1] <= 0) {
			a, b, seen := f.clip(Point{f.x.at(x[i-1]), f.y.at(y[i-1])}, p)
			if !seen {
				flush()
				continue
			}
			if len(run) == 0 || run[len(run)-1] != a {
				flush()
				run = append(run, a)
			}
			run = append(run, b)
		}
	}
	flush()
}

// clip keeps the part of a stretch that lies within the field (Liang and Barsky,
// ACM Trans. Graphics 3 (1984) 1).
func (f *frame) clip(a, b Point) (from, to Point, seen bool) {
	t0, t1 := 0.0, 1.0
	dx, dy := b.X-a.X, b.Y-a.Y
	for _, e := range [4][2]float64{{-dx, a.X - f.left}, {dx, f.right - a.X}, {-dy, a.Y - f.top}, {dy, f.bottom - a.Y}} {
		p, q := e[0], e[1]
		switch {
		case p == 0 && q < 0:
			return a, b, false
		case p < 0:
			t0 = math.Max(t0, q/p)
		case p > 0:
			t1 = math.Min(t1, q/p)
		}
	}
	if t0 > t1 {
		return a, b, false
	}
	from, to = a, b
	if t0 > 0 {
		from = Point{a.X + t0*dx, a.Y + t0*dy}
	}
	if t1 < 1 {
		to = Point{a.X + t1*dx, a.Y + t1*dy}
	}
	return from, to, true
}

// thinned leaves out points that a line without them passes within a tenth of a
// px (Douglas and Peucker, Cartographica 10 (1973) 112).
func thinned(p []Point) []Point {
	if len(p) < 3 {
		return p
	}
	keep := make([]bool, len(p))
	keep[0], keep[len(p)-1] = true, true
	todo := [][2]int{{0, len(p) - 1}}
	for len(todo) > 0 {
		i, j := todo[len(todo)-1][0], todo[len(todo)-1][1]
		todo = todo[:len(todo)-1]
		far, at := 0.1, -1
		for k := i + 1; k < j; k++ {
			if off := offLine(p[k], p[i], p[j]); off > far {
				far, at = off, k
			}
		}
		if at > 0 {
			keep[at] = true
			todo = append(todo, [2]int{i, at}, [2]int{at, j})
		}
	}
	var out []Point
	for k, kept := range keep {
		if kept {
			out = append(out, p[k])
		}
	}
	return out
}

// offLine is how far a point lies from a stretch, px.
func offLine(p, a, b Point) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	t := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		t = math.Min(1, math.Max(0, ((p.X-a.X)*dx+(p.Y-a.Y)*dy)/l))
	}
	return math.Hypot(p.X-a.X-t*dx, p.Y-a.Y-t*dy)
}

// rising checks that values along an axis rise and can be drawn.
func rising(name string, list []float64, log bool) error {
	if len(list) < 2 {
		return fmt.Errorf("%s: %d values; an axis needs two or more", name, len(list))
	}
	if !sort.SliceIsSorted(list, func(i, j int) bool { return list[i] < list[j] }) {
		return fmt.Errorf("%s: the values must rise; sort them", name)
	}
	for i, x := range list {
		if !finite(x) || i > 0 && x == list[i-1] || log && x <= 0 {
			return fmt.Errorf("%s: value %d is %g, which has no place of its own on the axis", name, i+1, x)
		}
	}
	return nil
}
