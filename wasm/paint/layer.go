// Package paint turns the marks of a [chart.Drawing] into what a graphics card
// takes: triangles, and the labels to put above them.
//
//	var l paint.Layer
//	l.Reset(2, chart.Light) // two device pixels in a CSS px
//	l.Add(&drawing)
//	for _, b := range l.Batches { … one call each … }
//
// Every line is a row of capsules, rectangles with round ends, whose edge the
// shader finds by distance, so that ends and joins are round and smooth at any
// scale. An area is cut into triangles, its rim drawn as a capsule no wider than
// the smoothing.
package paint

import (
	"image/color"
	"math"

	"quietpump/sim/chart"
)

// most is the number of vertices one call can number in 16 bits.
const most = 1 << 16

// A Vertex is a corner of a triangle as the shader takes it, place for place
// that of the window library. Dst is where it stands, device pixels, y down; Src is not
// used; Color is 0 to 1. Custom0 and Custom1 are how far the corner lies
// along its capsule and across it, Custom2 the capsule's length and Custom3 half
// its width, device pixels. Within an area Custom3 is so wide that no edge shows.
type Vertex struct {
	DstX, DstY                         float32
	SrcX, SrcY                         float32
	ColorR, ColorG, ColorB, ColorA     float32
	Custom0, Custom1, Custom2, Custom3 float32
}

// A Batch is what one call draws: three Indices into Vertices for each triangle.
type Batch struct {
	Vertices []Vertex
	Indices  []uint16
}

// A Layer is drawings laid out for the card; [Layer.Reset] comes first. Its slices are used again after
// [Layer.Reset]: what it hands out is good until then.
type Layer struct {
	Batches []Batch
	Labels  []chart.Label // above all shapes, CSS px

	scale  float64
	theme  chart.Theme
	used   int // batches in use, of those whose room is kept
	kept   []Batch
	points []chart.Point
	cut    cutter
}

// Reset empties the layer. Scale is the number of device pixels in a CSS px, above zero.
func (l *Layer) Reset(scale float64, theme chart.Theme) {
	copy(l.kept, l.Batches) // their room may have grown
	l.Batches, l.Labels = l.Batches[:0], l.Labels[:0]
	l.scale, l.theme, l.used = scale, theme, 0
}

// Add puts a drawing above what is there. Marks with a place that is no number
// are left out.
func (l *Layer) Add(d *chart.Drawing) {
	for _, m := range d.Marks {
		switch m := m.(type) {
		case chart.Shape:
			l.shape(&m)
		case chart.Label:
			if m.Text != "" && m.Size > 0 && finite(m.At.X) && finite(m.At.Y) {
				l.Labels = append(l.Labels, m)
			}
		}
	}
}

func (l *Layer) shape(s *chart.Shape) {
	p := l.points[:0]
	for _, q := range s.Points {
		if !finite(q.X) || !finite(q.Y) {
			return
		}
		q = chart.Point{X: q.X * l.scale, Y: q.Y * l.scale}
		if len(p) == 0 || p[len(p)-1] != q {
			p = append(p, q)
		}
	}
	l.points = p
	if len(p) == 0 {
		return
	}
	if s.Fill != chart.None {
		ink := s.Fill.Colour(l.theme)
		l.area(p, ink)
		if s.Line == chart.None {
			l.rim(p, ink)
		}
	}
	if s.Line != chart.None && s.Width > 0 {
		ink, half := s.Line.Colour(l.theme), s.Width*l.scale/2
		if s.Dash > 0 {
			l.dashed(p, s.Closed, s.Dash*l.scale, half, ink)
			return
		}
		l.solid(p, s.Closed, half, ink)
	}
}

// rim smooths the edge of an area that has no line of its own.
func (l *Layer) rim(p []chart.Point, ink color.RGBA) { l.solid(p, true, 0, ink) }

func (l *Layer) solid(p []chart.Point, closed bool, half float64, ink color.RGBA) {
	if len(p) == 1 {
		l.capsule(p[0], p[0], half, ink)
		return
	}
	for i := 1; i < len(p); i++ {
		l.capsule(p[i-1], p[i], half, ink)
	}
	if closed && len(p) > 2 {
		l.capsule(p[len(p)-1], p[0], half, ink)
	}
}

// dashed walks the line, down for a dash and up for as long after it.
func (l *Layer) dashed(p []chart.Point, closed bool, dash, half float64, ink color.RGBA) {
	if closed && len(p) > 2 {
		p = append(p, p[0])
		l.points = p
	}
	down, left := true, dash
	for i := 1; i < len(p); i++ {
		a, b := p[i-1], p[i]
		long := math.Hypot(b.X-a.X, b.Y-a.Y)
		if long/dash > most { // finer than can be seen
			l.capsule(a, b, half, ink)
			continue
		}
		for at := 0.0; at < long; {
			to := math.Min(at+left, long)
			if down {
				l.capsule(between(a, b, at/long), between(a, b, to/long), half, ink)
			}
			left -= to - at
			if at = to; left <= 0 {
				down, left = !down, dash
			}
		}
	}
}

func between(a, b chart.Point, t float64) chart.Point {
	return chart.Point{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)}
}

// soft is how far beyond a capsule its smoothed edge can reach, device pixels.
const soft = 1.0

func (l *Layer) capsule(a, b chart.Point, half float64, ink color.RGBA) {
	long := math.Hypot(b.X-a.X, b.Y-a.Y)
	tx, ty := 1.0, 0.0
	if long > 0 {
		tx, ty = (b.X-a.X)/long, (b.Y-a.Y)/long
	}
	out, first := l.room(4)
	reach := half + soft
	for _, c := range [4][2]float64{{-reach, -reach}, {long + reach, -reach}, {long + reach, reach}, {-reach, reach}} {
		v := inked(a.X+c[0]*tx-c[1]*ty, a.Y+c[0]*ty+c[1]*tx, ink)
		v.Custom0, v.Custom1, v.Custom2, v.Custom3 = float32(c[0]), float32(c[1]), float32(long), float32(half)
		out.Vertices = append(out.Vertices, v)
	}
	out.Indices = append(out.Indices, first, first+1, first+2, first, first+2, first+3)
}

// within is the half width of what has no edge of its own.
const within = 1e6

// area cuts a polygon into triangles.
func (l *Layer) area(p []chart.Point, ink color.RGBA) {
	triangles := l.cut.triangles(p)
	if len(p) > most { // too many to be numbered together
		for t := 0; t+2 < len(triangles); t += 3 {
			out, first := l.room(3)
			for i := range 3 {
				out.Vertices = append(out.Vertices, inner(p[triangles[t+i]], ink))
				out.Indices = append(out.Indices, first+uint16(i))
			}
		}
		return
	}
	out, first := l.room(len(p))
	for _, q := range p {
		out.Vertices = append(out.Vertices, inner(q, ink))
	}
	for _, i := range triangles {
		out.Indices = append(out.Indices, first+uint16(i))
	}
}

func inner(p chart.Point, ink color.RGBA) Vertex {
	v := inked(p.X, p.Y, ink)
	v.Custom3 = within
	return v
}

func inked(x, y float64, c color.RGBA) Vertex {
	return Vertex{
		DstX: float32(x), DstY: float32(y),
		ColorR: float32(c.R) / 255, ColorG: float32(c.G) / 255, ColorB: float32(c.B) / 255, ColorA: float32(c.A) / 255,
	}
}

// room is the batch that takes n more vertices, and the number of the first.
func (l *Layer) room(n int) (*Batch, uint16) {
	if len(l.Batches) == 0 || len(l.Batches[len(l.Batches)-1].Vertices)+n > most {
		if l.used == len(l.kept) {
			l.kept = append(l.kept, Batch{})
		}
		fresh := l.kept[l.used]
		l.used++
		l.Batches = append(l.Batches, Batch{fresh.Vertices[:0], fresh.Indices[:0]})
	}
	b := &l.Batches[len(l.Batches)-1]
	return b, uint16(len(b.Vertices))
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }
