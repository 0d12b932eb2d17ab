package drawing

import (
	"math"

	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

// A hull is the vehicle round the plumbing, cut open.
type hull struct {
	left, right, roof, floor, ground float64
	wall                             float64 // thickness
	wheel                            chart.Point
	radius                           float64
	slingFrom, slingTo               float64       // where waste tanks hang
	rim                              []chart.Point // the middle of the wall
	pane                             frame.Box     // a window, where the wall is free for one
}

// wallOf is how thick the walls are over a floor so far above the ground.
func wallOf(under float64) float64 { return min(max(under*0.13, 4), 9) }

func (p *Plan) hull(pic *picture, under float64) hull {
	h := hull{
		left: pic.x(float64(pic.l.wall)), right: pic.x(float64(pic.l.w)), roof: pic.y(0) - pic.headroom, floor: pic.y(float64(pic.l.h)),
		wall: wallOf(under),
	}
	h.ground = h.floor + under - 4
	h.radius = (h.ground - h.floor) * 0.46
	h.wheel = chart.Point{X: h.left + 0.36*(h.right-h.left), Y: h.ground - h.radius}
	h.slingFrom, h.slingTo = h.wheel.X+1.7*h.radius, h.right-0.1*(h.right-h.left)
	h.rim = h.skin(h.wall / 2)
	return h
}

// part moves the wheel away from what hangs down under the floor at x.
func (h *hull) part(x float64) {
	room := 1.32*h.radius + 14
	if math.Abs(h.wheel.X-x) >= room {
		return
	}
	if h.wheel.X = x + room; h.wheel.X < x || x-room > h.left+0.3*(h.right-h.left) {
		h.wheel.X = x - room
	}
	h.slingFrom = h.wheel.X + 1.7*h.radius
}

// skin is the body's outline, d px outside its inner face: upright at the back,
// leaning at the front, as nothing on the road quite is.
func (h *hull) skin(d float64) []chart.Point {
	back, front := min(18, 0.1*(h.floor-h.roof)), 0.26*(h.floor-h.roof)
	l, r, t, b := h.left-d, h.right+d, h.roof-d, h.floor+d
	var p []chart.Point
	p = append(p, chart.Point{X: l, Y: b})
	p = append(p, turn(l+back+d, t+back+d, back+d, back+d, 180, 270)...)
	lean := min(0.5*front, 0.06*(h.right-h.left))
	p = append(p, turn(r-lean-d, t+front+d, lean+d, front+d, 270, 360)...)
	p = append(p, chart.Point{X: r, Y: b})
	return p
}

// turn is a piece of an ellipse, degrees clockwise from three o'clock.
func turn(x, y, rx, ry, from, to float64) []chart.Point {
	n := max(4, int(math.Abs(to-from)/12))
	p := make([]chart.Point, n+1)
	for i := range p {
		a := (from + (to-from)*float64(i)/float64(n)) * math.Pi / 180
		p[i] = chart.Point{X: x + rx*math.Cos(a), Y: y + ry*math.Sin(a)}
	}
	return p
}

// draw draws the body and the ground it stands on.
func (h *hull) draw(d *chart.Drawing, pic *picture) {
	line := max(1, 1.5*pic.thick)
	outer, inner := h.skin(h.wall), h.skin(0)
	// The ground.
	d.Add(chart.Shape{Points: []chart.Point{{X: pic.in.X0 + 4, Y: h.ground}, {X: pic.in.X1 - 4, Y: h.ground}}, Line: chart.Rule, Width: 1.5})
	// The cut through wall and roof.
	d.Add(chart.Shape{Points: outer, Closed: true, Fill: chart.Rule})
	d.Add(chart.Shape{Points: inner, Closed: true, Fill: chart.Paper})
	d.Add(chart.Shape{Points: outer, Closed: true, Line: chart.Body, Width: line})
	d.Add(chart.Shape{Points: inner, Closed: true, Line: chart.Body, Width: 0.7 * line})
	h.window(d, line)
	// The wheel, in its arch.
	w, r := h.wheel, h.radius
	arch := turn(w.X, w.Y, 1.32*r, 1.32*r, 180, 360)
	d.Add(chart.Shape{Points: arch, Closed: true, Fill: chart.Paper})
	d.Add(chart.Shape{Points: arch, Line: chart.Body, Width: line})
	d.Add(chart.Shape{Points: turn(w.X, w.Y, r, r, 0, 348), Closed: true, Fill: chart.Rule, Line: chart.Body, Width: line})
	d.Add(chart.Shape{Points: turn(w.X, w.Y, 0.56*r, 0.56*r, 0, 348), Closed: true, Fill: chart.Paper, Line: chart.Body, Width: 0.7 * line})
	for k := range 5 {
		a := 2 * math.Pi * (float64(k) + 0.25) / 5
		d.Add(chart.Shape{Points: turn(w.X+0.32*r*math.Cos(a), w.Y+0.32*r*math.Sin(a), 0.08*r, 0.08*r, 0, 330), Closed: true, Fill: chart.Body})
	}
}

// glaze finds room for a window on the wall behind the plumbing: the largest that
// nothing stands before.
func (pic *picture) glaze() {
	h := &pic.hull
	w, t := h.right-h.left, h.floor-h.roof
	high := 0.26 * t
	if pic.in.Wide() < 600 {
		return // names need the room
	}
	for _, wide := range [...]float64{0.46, 0.38, 0.3, 0.24, 0.18, 0.13} {
		if wide*w < 1.1*high {
			return
		}
		for _, x := range [...]float64{0.08, 0.14, 0.2, 0.3, 0.4, 0.5, 0.6} {
			b := frame.Box{X0: h.left + x*w, X1: h.left + (x+wide)*w, Y0: h.roof + 0.13*t}
			b.Y1 = b.Y0 + high
			if x+wide < 0.86 && pic.free(b.Inset(-0.045*t)) {
				h.pane = b
				return
			}
		}
	}
}

// free reports whether nothing stands or runs in a box.
func (pic *picture) free(b frame.Box) bool {
	for i := range pic.parts {
		if p := pic.parts[i].box; p.X1 > p.X0 && meets(p, b) {
			return false
		}
	}
	if g := pic.dial; g.ok && meets(pic.square(g.at.X, g.at.Y, 2*g.r, 2*g.r), b) {
		return false
	}
	for i := range pic.runs {
		for k, p := 1, pic.runs[i].path; k < len(p); k++ {
			if meets(frame.Box{X0: min(p[k-1].X, p[k].X) - 3, X1: max(p[k-1].X, p[k].X) + 3, Y0: min(p[k-1].Y, p[k].Y) - 3, Y1: max(p[k-1].Y, p[k].Y) + 3}, b) {
				return false
			}
		}
	}
	return true
}

// window draws it, no louder than the ground.
func (h *hull) window(d *chart.Drawing, line float64) {
	b := h.pane
	if b.X1 <= b.X0 {
		return
	}
	r := 0.2 * b.High()
	d.Add(chart.Shape{Points: soft(b, r), Closed: true, Line: chart.Rule, Width: 1.6 * line})
	d.Add(chart.Shape{Points: soft(b.Inset(4.5*line), r-3*line), Closed: true, Line: chart.Rule, Width: 0.8 * line})
	// Light on the glass.
	for k, long := range [...]float64{0.34, 0.2} {
		x, y := b.X0+b.Wide()*(0.62+0.1*float64(k)), b.Y0+b.High()*(0.3+0.16*float64(k))
		l := long * b.High()
		d.Add(chart.Shape{Points: []chart.Point{{X: x, Y: y + l}, {X: x + l, Y: y}}, Line: chart.Rule, Width: 1.2 * line})
	}
}
