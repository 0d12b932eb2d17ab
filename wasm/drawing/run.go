package drawing

import (
	"math"
	"slices"

	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

// straightened leaves out the points at which a path does not turn.
func straightened(p []chart.Point) []chart.Point {
	out := p[:0:0]
	for i, q := range p {
		if i > 0 && i+1 < len(p) {
			a, b := out[len(out)-1], p[i+1]
			if math.Abs((q.X-a.X)*(b.Y-q.Y)-(q.Y-a.Y)*(b.X-q.X)) < 0.01 && (q.X-a.X)*(b.X-q.X)+(q.Y-a.Y)*(b.Y-q.Y) >= 0 {
				continue
			}
		}
		out = append(out, q)
	}
	return out
}

// rounded bends a path round its corners.
func rounded(p []chart.Point, radius float64) []chart.Point {
	if len(p) < 3 {
		return p
	}
	out := []chart.Point{p[0]}
	for i := 1; i+1 < len(p); i++ {
		a, q, b := p[i-1], p[i], p[i+1]
		la, lb := math.Hypot(q.X-a.X, q.Y-a.Y), math.Hypot(b.X-q.X, b.Y-q.Y)
		r := min(radius, la/2, lb/2)
		if r < 0.5 || la == 0 || lb == 0 {
			out = append(out, q)
			continue
		}
		s := chart.Point{X: q.X + (a.X-q.X)*r/la, Y: q.Y + (a.Y-q.Y)*r/la}
		e := chart.Point{X: q.X + (b.X-q.X)*r/lb, Y: q.Y + (b.Y-q.Y)*r/lb}
		const parts = 4
		for k := 0; k <= parts; k++ {
			t := float64(k) / parts
			u := 1 - t
			out = append(out, chart.Point{X: u*u*s.X + 2*u*t*q.X + t*t*e.X, Y: u*u*s.Y + 2*u*t*q.Y + t*t*e.Y})
		}
	}
	return append(out, p[len(p)-1])
}

// set gives a run its path.
func (r *run) set(path []chart.Point) {
	r.path = path
	r.along = make([]float64, len(path))
	r.reach = frame.Box{X0: path[0].X, Y0: path[0].Y, X1: path[0].X, Y1: path[0].Y}
	for _, q := range path {
		r.reach = frame.Box{X0: min(r.reach.X0, q.X), Y0: min(r.reach.Y0, q.Y), X1: max(r.reach.X1, q.X), Y1: max(r.reach.Y1, q.Y)}
	}
	for i := 1; i < len(path); i++ {
		r.along[i] = r.along[i-1] + math.Hypot(path[i].X-path[i-1].X, path[i].Y-path[i-1].Y)
	}
	r.long = r.along[len(path)-1]
}

// point is the place so far along a run, and its direction there.
func (r *run) point(s float64) (at chart.Point, dx, dy float64) {
	n := len(r.path)
	if n == 1 || r.long == 0 {
		return r.path[0], 1, 0
	}
	i, _ := slices.BinarySearch(r.along, s)
	i = min(max(i, 1), n-1)
	for i < n-1 && r.along[i] == r.along[i-1] {
		i++
	}
	a, b := r.path[i-1], r.path[i]
	l := r.along[i] - r.along[i-1]
	if l == 0 {
		return b, 1, 0
	}
	t := min(max((s-r.along[i-1])/l, 0), 1)
	return chart.Point{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)}, (b.X - a.X) / l, (b.Y - a.Y) / l
}

// slice is the path between two lengths along a run.
func (r *run) slice(from, to float64) []chart.Point {
	a, _, _ := r.point(from)
	out := []chart.Point{a}
	for i, s := range r.along {
		if s > from+1e-6 && s < to-1e-6 {
			out = append(out, r.path[i])
		}
	}
	b, _, _ := r.point(to)
	return append(out, b)
}

// away is how far a point lies from a run.
func (r *run) away(x, y float64) float64 {
	best := math.Inf(1)
	for i := range r.path {
		a := r.path[max(i-1, 0)]
		b := r.path[i]
		best = min(best, fromSegment(a, b, x, y))
	}
	return best
}

// from is how far a point lies from a box; 0 within it.
func from(b frame.Box, x, y float64) float64 {
	return math.Hypot(max(b.X0-x, x-b.X1, 0), max(b.Y0-y, y-b.Y1, 0))
}

func fromSegment(a, b chart.Point, x, y float64) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	t := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		t = min(max(((x-a.X)*dx+(y-a.Y)*dy)/l, 0), 1)
	}
	return math.Hypot(a.X+t*dx-x, a.Y+t*dy-y)
}

// cross lets the runs drawn first pass under those drawn later, where they cross.
func (pic *picture) cross() {
	for i := range pic.runs {
		r := &pic.runs[i]
		for k := i + 1; k < len(pic.runs); k++ {
			o := &pic.runs[k]
			if !meets(r.reach.Inset(-1), o.reach) {
				continue
			}
			for a := 1; a < len(r.path); a++ {
				for b := 1; b < len(o.path); b++ {
					if t, ok := meet(r.path[a-1], r.path[a], o.path[b-1], o.path[b]); ok {
						s := r.along[a-1] + t*(r.along[a]-r.along[a-1])
						if at, _, _ := r.point(s); pic.joined(r, o, at) {
							continue
						}
						half := o.wide/2 + 3.4*pic.thick
						if s > half && s < r.long-half {
							r.gaps = append(r.gaps, [2]float64{s - half, s + half})
						}
					}
				}
			}
		}
		slices.SortFunc(r.gaps, func(a, b [2]float64) int {
			if a[0] < b[0] {
				return -1
			}
			return 1
		})
		at := 0.0
		for _, gap := range r.gaps {
			if gap[0] > at {
				r.water = append(r.water, r.slice(at, gap[0]))
			}
			at = max(at, gap[1])
		}
		if len(r.gaps) == 0 {
			r.water = [][]chart.Point{r.path}
		} else if at < r.long {
			r.water = append(r.water, r.slice(at, r.long))
		}
	}
}

// meet tells whether two stretches cross, upright and level ones, and where along
// the first.
func meet(a, b, c, d chart.Point) (t float64, ok bool) {
	ux, uy, vx, vy := b.X-a.X, b.Y-a.Y, d.X-c.X, d.Y-c.Y
	det := ux*vy - uy*vx
	if math.Abs(det) < 1e-9 {
		return 0, false
	}
	t = ((c.X-a.X)*vy - (c.Y-a.Y)*vx) / det
	s := ((c.X-a.X)*uy - (c.Y-a.Y)*ux) / det
	const e = 1e-3
	return t, t > e && t < 1-e && s > e && s < 1-e
}

// clear finds the place of each tube that lies farthest from parts and other
// tubes, and of equal ones the nearest to its middle.
func (pic *picture) clear() {
	for i := range pic.runs {
		r := &pic.runs[i]
		best := math.Inf(-1)
		const n = 24
		for k := range n + 1 {
			s := r.long * float64(k) / n
			at, _, _ := r.point(s)
			free := 30.0
			for j := range pic.parts {
				if b := pic.parts[j].box; b.X1 > b.X0 {
					free = min(free, from(b, at.X, at.Y))
				}
			}
			for j := range pic.runs {
				if o := &pic.runs[j]; j != i && free > 0 && from(o.reach, at.X, at.Y) < free {
					free = min(free, o.away(at.X, at.Y))
				}
			}
			if free -= 0.1 * math.Abs(s-r.long/2) / (r.long + 1); free > best {
				best, r.clear = free, at
			}
		}
	}
}

// joined reports whether two runs meet at a joint where they seem to cross.
func (pic *picture) joined(r, o *run, at chart.Point) bool {
	for _, n := range r.nodes {
		if n < 0 || n != o.nodes[0] && n != o.nodes[1] || pic.l.g.nodes[n].sort != bar {
			continue
		}
		s := &pic.l.spots[n]
		if math.Abs(at.Y-pic.y(float64(s.y))) < 1.2*pic.sy && at.X > pic.x(float64(s.x)-1.2) && at.X < pic.x(float64(s.x+s.w)+1.2) {
			return true
		}
	}
	return false
}
