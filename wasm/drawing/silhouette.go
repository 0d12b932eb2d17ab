package drawing

import (
	"math"

	"quietpump/network"
	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

// A pen draws in a box of 24 by 24 that is put anywhere, mirrored or not.
type pen struct {
	d    *chart.Drawing
	x, y float64
	k    float64
	flip bool
	line float64 // width of an ink line, px
}

func (pic *picture) pen(d *chart.Drawing, b frame.Box, flip bool) pen {
	return pen{d, b.X0, b.Y0, b.Wide() / 24, flip, max(1.1, 1.5*pic.thick)}
}

func (p pen) at(x, y float64) chart.Point {
	if p.flip {
		x = 24 - x
	}
	return chart.Point{X: p.x + p.k*x, Y: p.y + p.k*y}
}

func (p pen) all(xy []float64) []chart.Point {
	out := make([]chart.Point, len(xy)/2)
	for i := range out {
		out[i] = p.at(xy[2*i], xy[2*i+1])
	}
	return out
}

// solid is a body with an outline; xy are its corners.
func (p pen) solid(fill chart.Ink, xy ...float64) {
	p.d.Add(chart.Shape{Points: p.all(xy), Closed: true, Fill: fill, Line: chart.Body, Width: p.line})
}

// stroke is a line, times as wide as an ink line is.
func (p pen) stroke(ink chart.Ink, times float64, xy ...float64) {
	p.d.Add(chart.Shape{Points: p.all(xy), Line: ink, Width: times * p.line})
}

// disc is a round body.
func (p pen) disc(fill chart.Ink, x, y, r float64) { p.solid(fill, ring24(x, y, r, r, 0, 345)...) }

// ring24 is a piece of an ellipse as corners.
func ring24(x, y, rx, ry, from, to float64) []float64 {
	q := turn(x, y, rx, ry, from, to)
	out := make([]float64, 0, 2*len(q))
	for _, p := range q {
		out = append(out, p.X, p.Y)
	}
	return out
}

// pads is a rectangle with its corners taken off.
func pads(x0, y0, x1, y1, c float64) []float64 {
	return []float64{x0 + c, y0, x1 - c, y0, x1, y0 + c, x1, y1 - c, x1 - c, y1, x0 + c, y1, x0, y1 - c, x0, y0 + c}
}

// nuts are the swivel nuts at either end of an inline part.
func (p pen) nuts() {
	p.solid(chart.Paper, pads(0.4, 7.4, 4.6, 16.6, 0.8)...)
	p.solid(chart.Paper, pads(19.4, 7.4, 23.6, 16.6, 0.8)...)
	p.stroke(chart.Body, 0.6, 2.5, 8, 2.5, 16)
	p.stroke(chart.Body, 0.6, 21.5, 8, 21.5, 16)
}

// shutoff is a ball valve seen from above: its lever lies along the tube when it
// is open, and across when it is shut.
func (p pen) shutoff(open float64) {
	p.solid(chart.Paper, 4.6, 9, 19.4, 9, 19.4, 15, 4.6, 15)
	p.nuts()
	p.disc(chart.Paper, 12, 12, 5.6)
	a := (1 - open) * math.Pi / 2
	c, s := math.Cos(a), -math.Sin(a)
	tip := 13.0
	at := func(u, v float64) (x, y float64) { return 12 + u*c - v*s, 12 + u*s + v*c }
	var xy []float64
	for _, q := range [][2]float64{{-2.2, -1.3}, {3, -1.5}, {tip - 2, -2.1}, {tip, -1}, {tip, 1}, {tip - 2, 2.1}, {3, 1.5}, {-2.2, 1.3}} {
		x, y := at(q[0], q[1])
		xy = append(xy, x, y)
	}
	p.solid(chart.Body, xy...)
	p.disc(chart.Paper, 12, 12, 1.5)
}

// check is cut open: its flap hangs from the top of the seat.
func (p pen) check() {
	p.solid(chart.Paper, 3, 9, 6, 9, 8, 4.4, 16, 4.4, 18, 9, 21, 9, 21, 15, 18, 15, 16, 19.6, 8, 19.6, 6, 15, 3, 15)
	p.solid(chart.Paper, pads(0.4, 7.4, 4.4, 16.6, 0.8)...)
	p.solid(chart.Paper, pads(19.6, 7.4, 23.6, 16.6, 0.8)...)
	p.stroke(chart.Body, 1.6, 8.4, 4.6, 8.4, 7.6)
	p.stroke(chart.Body, 1.6, 8.4, 16.4, 8.4, 19.4)
}

// flap is a check's, as far open as it is.
func (p pen) flap(open float64) {
	a := open * 58 * math.Pi / 180
	p.stroke(chart.Body, 2, 9.6, 7, 9.6+10*math.Sin(a), 7+10*math.Cos(a))
	p.disc(chart.Body, 9.6, 7, 0.8)
}

// pump is a diaphragm head with three lobes, seen from its end, on its feet.
func (p pen) pump(fill chart.Ink) {
	p.solid(chart.Paper, pads(0.2, 9.2, 5, 14.8, 1)...)
	p.solid(chart.Paper, pads(19, 9.2, 23.8, 14.8, 1)...)
	p.solid(chart.Body, 3.6, 22.2, 20.4, 22.2, 20.4, 23.8, 3.6, 23.8)
	p.solid(chart.Paper, 6.2, 18, 8.8, 18, 8, 22.2, 5, 22.2)
	p.solid(chart.Paper, 17.8, 18, 15.2, 18, 16, 22.2, 19, 22.2)
	p.solid(chart.Paper, pads(9, 0.4, 15, 4.6, 0.8)...) // the switch
	xy := make([]float64, 0, 96)
	for i := range 48 {
		a := 2 * math.Pi * float64(i) / 48
		r := 8.6 * (1 + 0.13*math.Cos(3*a+math.Pi/2))
		xy = append(xy, 12+r*math.Cos(a), 11.8+r*math.Sin(a))
	}
	p.solid(fill, xy...)
	for _, a := range []float64{-90, 30, 150} {
		s, c := math.Sincos(a * math.Pi / 180)
		p.disc(chart.Paper, 12+4.6*c, 11.8+4.6*s, 2.1)
	}
	p.disc(chart.Body, 12, 11.8, 0.9)
}

func (p pen) handPump() {
	p.solid(chart.Paper, pads(0.2, 9.4, 7, 14.6, 1)...)
	p.solid(chart.Paper, pads(17, 9.4, 23.8, 14.6, 1)...)
	p.solid(chart.Paper, pads(7, 7, 17, 22.5, 1.6)...)
	p.stroke(chart.Body, 1.6, 12, 7, 12, 1.6)
	p.stroke(chart.Body, 3, 7.4, 1.6, 16.6, 1.6)
	p.stroke(chart.Body, 0.8, 7.4, 11, 16.6, 11)
	p.solid(chart.Body, 6, 22.3, 18, 22.3, 18, 23.8, 6, 23.8)
}

func (p pen) regulator() {
	p.solid(chart.Paper, 3, 9, 21, 9, 21, 15, 3, 15)
	p.nuts()
	bell := append([]float64{6.6, 12.6}, ring24(12, 8.4, 5.4, 5.6, 180, 360)...)
	p.solid(chart.Paper, append(bell, 17.4, 12.6)...)
	p.solid(chart.Paper, pads(7.4, 12.6, 16.6, 17.4, 1)...)
	p.stroke(chart.Body, 1.2, 6.6, 9.4, 17.4, 9.4)
	p.stroke(chart.Body, 2.4, 12, 2.6, 12, 0.8)
	p.stroke(chart.Body, 1, 9.6, 15, 14.4, 15)
}

func (p pen) strainer() {
	p.solid(chart.Paper, 3, 9, 21, 9, 21, 15, 3, 15)
	p.nuts()
	p.solid(chart.Paper, 6.4, 13.4, 17.6, 13.4, 16.4, 22.6, 14.8, 23.6, 9.2, 23.6, 7.6, 22.6)
	for k := range 4 {
		x := 8.6 + 2.3*float64(k)
		p.stroke(chart.Soft, 0.6, x, 14.4, x, 22)
	}
	for k := range 3 {
		y := 15.8 + 2.6*float64(k)
		p.stroke(chart.Soft, 0.6, 7.6, y, 16.4, y)
	}
	p.solid(chart.Body, 5.8, 12.2, 18.2, 12.2, 18.2, 13.8, 5.8, 13.8)
}

func (p pen) filter() {
	p.nuts()
	p.solid(chart.Paper, pads(4, 7.6, 20, 14, 1.2)...)
	p.solid(chart.Paper, 6, 14, 18, 14, 17.2, 22.6, 15.6, 23.8, 8.4, 23.8, 6.8, 22.6)
	for k := range 5 {
		x := 8 + 2*float64(k)
		p.stroke(chart.Body, 0.6, x, 16, x, 22)
	}
}

// The parts below stand on their foot, in the middle of the lower edge.

// tap is a spout over a basin's rim, its handle up when it is open.
func (p pen) tap(open float64) {
	p.solid(chart.Paper, pads(7.6, 20.4, 16.4, 24, 1)...)
	out := ring24(14.2, 9.4, 6.8, 6.2, 180, 372)
	in := ring24(14.2, 9.4, 3, 2.6, 372, 180)
	xy := append([]float64{7.4, 20.4}, out...)
	xy = append(xy, in...)
	p.solid(chart.Paper, append(xy, 11.2, 20.4)...)
	a := (8 + 40*open) * math.Pi / 180
	p.stroke(chart.Body, 2.6, 8.6, 6.4, 8.6-8*math.Cos(a), 6.4-8*math.Sin(a))
	p.disc(chart.Paper, 8.8, 6.2, 2)
}

// spout is where a tap's water leaves.
const spoutX, spoutY = 19.2, 11.6

// shower hangs from its joint.
func (p pen) shower() {
	p.stroke(chart.Body, 3.4, 12, 0, 12, 5.6, 14, 9)
	p.stroke(chart.Paper, 1.4, 12, 0, 12, 5.6, 14, 9)
	p.solid(chart.Paper, 12.2, 9.4, 15.8, 7.6, 22.2, 13.2, 10.6, 18.4)
	p.solid(chart.Body, 22.8, 13, 23.4, 14.4, 10.4, 20.2, 9.8, 18.8)
}

func (p pen) toilet() {
	p.solid(chart.Paper, 14.6, 1, 22.4, 1, 21.4, 11.6, 15, 11.6)
	p.stroke(chart.Body, 1.6, 13.8, 1, 23, 1)
	bowl := append([]float64{21.4, 11.6}, ring24(11.6, 12.6, 9.4, 7.6, 5, 150)...)
	p.solid(chart.Paper, append(bowl, 2.2, 11.6)...)
	p.solid(chart.Paper, 8.4, 19, 16.4, 18.6, 18, 24, 7, 24)
	p.stroke(chart.Body, 2.6, 2, 11.4, 16, 11.4)
	p.stroke(chart.Body, 1.2, 15.8, 4.4, 13.4, 5)
}

func (p pen) appliance() {
	p.solid(chart.Paper, pads(4, 1, 20, 22.6, 1.4)...)
	p.stroke(chart.Body, 0.8, 4, 7, 20, 7)
	p.stroke(chart.Body, 1.6, 14, 4, 17.4, 4)
	p.stroke(chart.Body, 1.4, 7, 9.4, 7, 13)
	for _, q := range [][2]float64{{9.4, 15}, {12.4, 13.2}, {14.6, 16}} { // ice
		p.solid(chart.Paper, q[0], q[1], q[0]+2.8, q[1]-0.8, q[0]+3.6, q[1]+2, q[0]+0.8, q[1]+2.8)
	}
	p.stroke(chart.Body, 2.4, 12, 22.6, 12, 24)
}

// accumulator is a vessel cut open, its skin across.
func (p pen) accumulator() {
	p.solid(chart.Paper, pads(9.8, 21, 14.2, 24, 0.6)...)
	shell := append(ring24(12, 9, 7.6, 7.4, 180, 360), ring24(12, 14, 7.6, 7.4, 0, 180)...)
	p.solid(chart.Paper, shell...)
	p.stroke(chart.Body, 2.2, 12, 1.4, 12, 0.4)
}

// skin is the height of an accumulator's skin, in its box, when it holds that
// share of what it can.
func skin(share float64) float64 { return 19.4 - 12*share }

func (p pen) relief() {
	p.solid(chart.Paper, pads(8.4, 20, 15.6, 24, 0.8)...)
	p.solid(chart.Paper, 9, 9, 15, 9, 15, 12.4, 22.6, 12.4, 22.6, 17.6, 15, 17.6, 15, 20, 9, 20)
	p.stroke(chart.Body, 0.9, 10, 8.4, 14, 7.2, 10, 6, 14, 4.8)
	p.stroke(chart.Body, 2, 9, 3.6, 15, 3.6)
	p.stroke(chart.Body, 2.2, 12, 3.2, 3, 1.4)
}

func (p pen) breaker() {
	p.solid(chart.Paper, 9.4, 10, 14.6, 10, 14.6, 24, 9.4, 24)
	p.solid(chart.Paper, append(ring24(12, 10, 8, 7.6, 180, 360), 20, 12.4, 4, 12.4)...)
	for _, x := range []float64{7, 12, 17} {
		p.stroke(chart.Body, 1, x, 12.4, x, 14.4)
	}
}

// drain hangs from its joint: a cock with a cross handle.
func (p pen) drain(open float64) {
	p.solid(chart.Paper, 9.4, 0, 14.6, 0, 14.6, 8, 9.4, 8)
	p.solid(chart.Paper, pads(7.6, 7, 16.4, 14.6, 1.6)...)
	p.solid(chart.Paper, 10, 14.6, 14, 14.6, 13.4, 18.6, 10.6, 18.6)
	a := (1 - open) * math.Pi / 2
	c, s := 7*math.Cos(a), 7*math.Sin(a)
	p.stroke(chart.Body, 2.6, 12-s, 10.8-c, 12+s, 10.8+c)
	p.disc(chart.Paper, 12, 10.8, 1.5)
}

func (p pen) bubbles() {
	p.stroke(chart.Body, 1, 12, 24, 12, 19)
	p.disc(chart.Paper, 12, 14.6, 4.4)
	p.disc(chart.Paper, 8.4, 7.8, 2.6)
	p.disc(chart.Paper, 15.6, 6, 3)
	p.stroke(chart.Soft, 0.8, 9.8, 13.4, 11.4, 12)
}

// stretch is a soft length that swells.
func (p pen) stretch() {
	p.solid(chart.Paper, append(ring24(12, 15, 6.6, 7, 150, 390), 14, 24, 10, 24)...)
	p.stroke(chart.Soft, 0.9, ring24(12, 15, 9.4, 10, 205, 245)...)
	p.stroke(chart.Soft, 0.9, ring24(12, 15, 9.4, 10, 295, 335)...)
}

// hookup is the flange in the wall and what the hose's side of it is like.
func (p pen) hookup(s network.Setting) {
	p.solid(chart.Paper, pads(15, 8.4, 23.6, 15.6, 1)...)
	p.solid(chart.Paper, pads(12, 4.4, 15.4, 19.6, 1)...)
	switch s.Word() {
	case "on", "shut at spigot":
		p.solid(chart.Body, pads(4.6, 7.4, 12, 16.6, 1.2)...)
		for _, x := range []float64{6.8, 9.4} {
			p.stroke(chart.Paper, 0.7, x, 8.6, x, 15.4)
		}
	case "capped":
		p.solid(chart.Body, pads(8.2, 6.8, 12, 17.2, 1.4)...)
	default:
		p.solid(chart.Paper, 8.4, 9, 12, 9, 12, 15, 8.4, 15)
		p.stroke(chart.Body, 0.7, 9.6, 9, 9.6, 15)
		p.stroke(chart.Body, 0.7, 10.8, 9, 10.8, 15)
	}
}

// showers tells a fixture that is a shower's head, by its name.
func showers(f network.Fixture) bool { return !f.Toilet && containsFold(f.Name, "shower") }
