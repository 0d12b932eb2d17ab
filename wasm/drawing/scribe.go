package drawing

import (
	"cmp"
	"math"
	"slices"

	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

// A scribe finds room for labels.
type scribe struct {
	pic   *picture
	size  float64
	taken []frame.Box     // silhouettes and labels
	led   [][]chart.Point // leaders there are
}

func meets(a, b frame.Box) bool { return a.X0 < b.X1 && b.X0 < a.X1 && a.Y0 < b.Y1 && b.Y0 < a.Y1 }

// obstacles are what no label may cover.
func (s *scribe) obstacles(p *Plan) {
	pic := s.pic
	for i := range pic.parts {
		if b := pic.parts[i].box; b != (frame.Box{}) {
			s.taken = append(s.taken, b.Inset(-1))
		}
	}
	for _, t := range pic.tanks {
		s.taken = append(s.taken, pic.lip(pic.parts[t].box))
	}
	if pic.dial.ok {
		r := pic.dial.r + 1
		s.taken = append(s.taken, pic.square(pic.dial.at.X, pic.dial.at.Y, 2*r, 2*r))
	}
	for _, at := range pic.joints {
		s.taken = append(s.taken, pic.square(at.X, at.Y, 4, 4))
	}
	h := &pic.hull
	s.taken = append(s.taken, pic.square(h.wheel.X, h.wheel.Y, 2.6*h.radius, 2.6*h.radius))
	if pic.dial.ok { // what hangs from the pump under the floor
		s.taken = append(s.taken, frame.Box{X0: pic.dial.at.X - 5, X1: pic.dial.at.X + 5, Y0: h.floor, Y1: pic.in.Y1})
	}
	slices.SortFunc(s.taken, func(a, b frame.Box) int {
		return cmp.Or(cmp.Compare(a.X0, b.X0), cmp.Compare(a.Y0, b.Y0), cmp.Compare(a.X1, b.X1), cmp.Compare(a.Y1, b.Y1))
	})
}

// box is the room a label takes.
func (s *scribe) box(at chart.Point, side chart.Side, wide float64) frame.Box {
	x := at.X
	switch side {
	case chart.Middle:
		x -= wide / 2
	case chart.End:
		x -= wide
	}
	return frame.Box{X0: x, X1: x + wide, Y0: at.Y - 0.86*s.size, Y1: at.Y + 0.28*s.size}
}

// room finds a place for a label of that width beside something, no farther off
// than far, and takes it. Places near come first; one over a tube costs overTube.
func (s *scribe) room(beside frame.Box, wide, far, overTube float64) (at chart.Point, side chart.Side, ok bool) {
	pic := s.pic
	cx, cy := (beside.X0+beside.X1)/2, (beside.Y0+beside.Y1)/2
	up, down := 0.86*s.size, 0.28*s.size
	best := math.Inf(1)
	var taken frame.Box
	try := func(x, y float64, sd chart.Side, cost float64) {
		if cost >= best {
			return
		}
		q := chart.Point{X: x, Y: y}
		b := s.box(q, sd, wide)
		if b.X0 < pic.in.X0+1 || b.X1 > pic.in.X1-1 || b.Y0 < pic.in.Y0+1 || b.Y1 > pic.in.Y1-1 {
			return
		}
		grown := frame.Box{X0: b.X0 - 3, X1: b.X1 + 3, Y0: b.Y0 - 1, Y1: b.Y1 + 1}
		for _, t := range s.taken {
			if meets(grown, t) {
				return
			}
		}
		for _, l := range s.led {
			if crosses(l[0], l[1], grown) {
				return
			}
		}
		cost += s.tubed(b, overTube, beside)
		if cost < best {
			cost += s.barred(q, sd, wide, beside, overTube)
		}
		if cost < best {
			best, at, side, taken, ok = cost, q, sd, grown, true
		}
	}
	for _, d := range [...]float64{3, 7, 12, 18, 26, 36, 48, 62, 80, 100, 120} {
		if d > far || d >= best {
			break
		}
		for _, shift := range [...]float64{0, -0.3, 0.3, -0.5, 0.5} {
			c := d + 12*math.Abs(shift)
			x := cx + shift*wide
			if near := wide/2 + 2; cx > pic.in.X0 && cx < pic.in.X1 { // what stands at the edge of the picture has its name within it
				x = max(min(x, pic.in.X1-near), pic.in.X0+near)
			}
			try(x, beside.Y1+d+up, chart.Middle, c)
			try(x, beside.Y0-d-down, chart.Middle, c+1)
		}
		for _, shift := range [...]float64{0, -1, 1, -2, 2} {
			c := d + 3 + 4*math.Abs(shift)
			y := cy + 0.3*s.size + shift*s.size
			try(beside.X1+d, y, chart.Start, c)
			try(beside.X0-d, y, chart.End, c)
		}
	}
	if ok {
		s.taken = append(s.taken, taken)
	}
	return at, side, ok
}

// tubed is what it costs a label of something to lie over tubes.
func (s *scribe) tubed(b frame.Box, each float64, of frame.Box) float64 {
	cost := 0.0
	if n := s.tubes(b); n > 0 {
		cost = float64(n) * each
	}
	h := &s.pic.hull
	if p := h.pane; meets(p, b) && !meets(p.Inset(8), b) {
		cost += 8
	}
	switch {
	case !s.walled(b):
	case of.X1 < h.left || of.X0 > h.right: // the name of what stands outside may break the wall
		cost += 8
	case math.IsInf(each, 1): // it gives way
		cost = each
	default:
		cost += 90
	}
	return cost
}

// walled reports whether a box meets the wall, also where it leans.
func (s *scribe) walled(b frame.Box) bool {
	h := &s.pic.hull
	for k, c := range h.rim {
		if a := h.rim[(k+len(h.rim)-1)%len(h.rim)]; meets(frame.Box{X0: min(a.X, c.X) - h.wall, X1: max(a.X, c.X) + h.wall, Y0: min(a.Y, c.Y) - h.wall, Y1: max(a.Y, c.Y) + h.wall}, b) {
			return true
		}
	}
	return false
}

// tubes counts the tubes that lie in a box.
func (s *scribe) tubes(b frame.Box) int {
	n := 0
	for i := range s.pic.runs {
		if s.pic.runs[i].over(b) {
			n++
		}
	}
	for i := range s.pic.hoses {
		if s.pic.hoses[i].over(b) {
			n++
		}
	}
	return n
}

// over reports whether a run lies in a box.
func (r *run) over(b frame.Box) bool {
	if !meets(r.reach.Inset(-r.wide), b) {
		return false
	}
	for k := 1; k < len(r.path); k++ {
		a, c := r.path[k-1], r.path[k]
		if meets(frame.Box{X0: min(a.X, c.X) - r.wide, X1: max(a.X, c.X) + r.wide, Y0: min(a.Y, c.Y) - r.wide, Y1: max(a.Y, c.Y) + r.wide}, b) {
			return true
		}
	}
	return false
}

// barred is what it costs if the leader runs over something else.
func (s *scribe) barred(at chart.Point, side chart.Side, wide float64, beside frame.Box, each float64) float64 {
	l := s.leader(at, side, wide, beside)
	if l == nil {
		return 0
	}
	cost, word := 4.0, each
	if !math.IsInf(each, 1) { // what has to be named would sooner cross a word than lie on a tube
		word = min(each, 130)
	}
	for _, t := range s.taken {
		if own := beside.Inset(-4); t.X0 >= own.X0 && t.X1 <= own.X1 && t.Y0 >= own.Y0 && t.Y1 <= own.Y1 {
			continue
		}
		if crosses(l[0], l[1], t.Inset(-2)) { // nor does it run along its edge
			cost += word
		}
	}
	for _, o := range s.led {
		if _, ok := meet(l[0], l[1], o[0], o[1]); ok {
			cost += 40
		}
	}
	for i := range s.pic.runs {
		if p := s.pic.runs[i].path; len(p) > 1 {
			for k := 1; k < len(p); k++ {
				if _, ok := meet(l[0], l[1], p[k-1], p[k]); ok {
					cost += 12
				}
			}
		}
	}
	return cost
}

// crosses tells whether a stretch runs through a box.
func crosses(a, b chart.Point, t frame.Box) bool {
	const n = 12
	for k := range n + 1 {
		f := float64(k) / n
		if t.Holds(a.X+f*(b.X-a.X), a.Y+f*(b.Y-a.Y)) {
			return true
		}
	}
	return false
}

// leader joins a label to what it names, where it does not stand right at it.
func (s *scribe) leader(at chart.Point, side chart.Side, wide float64, beside frame.Box) []chart.Point {
	b := s.box(at, side, wide)
	clampTo := func(x, lo, hi float64) float64 { return min(max(x, lo), hi) }
	cx, cy := (beside.X0+beside.X1)/2, (beside.Y0+beside.Y1)/2
	from := chart.Point{X: clampTo(cx, b.X0, b.X1), Y: clampTo(cy, b.Y0, b.Y1)}
	to := chart.Point{X: clampTo(from.X, beside.X0, beside.X1), Y: clampTo(from.Y, beside.Y0, beside.Y1)}
	if math.Hypot(to.X-from.X, to.Y-from.Y) < 8 {
		return nil
	}
	const off = 2 // from the letters
	long := math.Hypot(to.X-from.X, to.Y-from.Y)
	from.X, from.Y = from.X+off*(to.X-from.X)/long, from.Y+off*(to.Y-from.Y)/long
	return []chart.Point{from, to}
}
