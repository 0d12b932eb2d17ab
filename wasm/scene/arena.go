package scene

import (
	"math"

	"quietpump/sim/chart"
)

// An arena lends points that are good until the next frame, so that a frame needs
// no new memory.
type arena struct{ all []chart.Point }

func (a *arena) reset() { a.all = a.all[:0] }

// lend is room for up to n points. What was lent before stays good: a full arena
// is left to those who have it.
func (a *arena) lend(n int) []chart.Point {
	if cap(a.all)-len(a.all) < n {
		a.all = make([]chart.Point, 0, max(2*cap(a.all), 4096, n))
	}
	from := len(a.all)
	a.all = a.all[:from+n]
	return a.all[from : from : from+n]
}

func (a *arena) line(p ...chart.Point) []chart.Point { return append(a.lend(len(p)), p...) }

func (a *arena) box(x0, y0, x1, y1 float64) []chart.Point {
	return append(a.lend(4), chart.Point{X: x0, Y: y0}, chart.Point{X: x1, Y: y0}, chart.Point{X: x1, Y: y1}, chart.Point{X: x0, Y: y1})
}

// round is a circle, or with from and to a piece of one, degrees clockwise from
// twelve o'clock.
func (a *arena) round(x, y, r, from, to float64) []chart.Point {
	n := max(4, int(math.Abs(to-from)/360*math.Max(16, 3*math.Sqrt(r)*math.Sqrt(10))))
	p := a.lend(n + 1)
	for i := range n + 1 {
		p = append(p, polar(x, y, r, from+(to-from)*float64(i)/float64(n)))
	}
	return p
}

// polar is a point around another, degrees clockwise from twelve o'clock.
func polar(x, y, r, degrees float64) chart.Point {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return chart.Point{X: x + r*sin, Y: y - r*cos}
}

func stroke(ink chart.Ink, width float64, p []chart.Point) chart.Shape {
	return chart.Shape{Points: p, Line: ink, Width: width}
}

func solid(fill, line chart.Ink, width float64, p []chart.Point) chart.Shape {
	return chart.Shape{Points: p, Closed: true, Fill: fill, Line: line, Width: width}
}

func label(x, y float64, side chart.Side, size float64, ink chart.Ink, text string) chart.Label {
	return chart.Label{At: chart.Point{X: x, Y: y}, Text: text, Ink: ink, Size: size, Side: side}
}
