package paint

import (
	"image"
	"image/color"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"quietpump/sim/chart"
)

// rim is how wide the halo of a label is, CSS px: half the stroke it has in SVG.
const rim = 1.5

// A Setter sets labels in type; the zero Setter is ready. It keeps the faces it has opened and the glyphs it
// has cut, for a drawing's labels are the same few letters over and over.
type Setter struct {
	faces map[size]*face
}

type size struct {
	px   float64
	bold bool
}

// A face is one size of type.
type face struct {
	font.Face
	nib  float64 // radius of the glyphs' rims, device pixels
	cuts map[cut]glyph
}

// A cut is a letter that begins so many quarters of a pixel right of a whole one.
type cut struct {
	letter   rune
	quarters fixed.Int26_6
}

// A glyph is a letter's ink and the rim round it, about the point on the base line
// at which it begins; what has no ink is nil.
type glyph struct{ ink, rim *image.Alpha }

// A Piece is a label as an image, and where its upper left corner stands from the
// label's point, device pixels.
type Piece struct {
	Image *image.RGBA
	X, Y  float64
}

// Set sets a label, with so many device pixels in a CSS px. The error is of a size that
// type cannot be cut in.
func (s *Setter) Set(l chart.Label, scale float64, theme chart.Theme) (Piece, error) {
	reach := 0.0
	if l.Halo {
		reach = rim * scale
	}
	f, err := s.face(size{l.Size * scale, l.Bold}, rim*scale)
	if err != nil {
		return Piece{}, err
	}
	type letter struct {
		glyph
		x int
	}
	var row []letter
	var dot fixed.Int26_6
	before := rune(-1)
	for _, r := range l.Text {
		if before >= 0 {
			dot += f.Kern(before, r)
		}
		advance, _ := f.GlyphAdvance(r)
		quarters := dot & 0x30
		row = append(row, letter{f.glyph(cut{r, quarters}), (dot - quarters).Floor()})
		dot, before = dot+advance, r
	}
	pad := int(math.Ceil(reach)) + 1
	m := f.Metrics()
	at := image.Pt(pad, pad+m.Ascent.Ceil())
	p := Piece{Image: image.NewRGBA(image.Rect(0, 0, dot.Ceil()+2*pad, m.Ascent.Ceil()+m.Descent.Ceil()+2*pad)), X: -float64(at.X), Y: -float64(at.Y)}
	switch l.Side {
	case chart.Middle:
		p.X -= float64(dot) / 64 / 2
	case chart.End:
		p.X -= float64(dot) / 64
	}
	mask := image.NewAlpha(p.Image.Rect)
	if l.Halo {
		for _, g := range row {
			press(mask, g.rim, at.Add(image.Pt(g.x, 0)))
		}
		over(p.Image, mask, chart.Paper.Colour(theme))
		clear(mask.Pix)
	}
	for _, g := range row {
		press(mask, g.ink, at.Add(image.Pt(g.x, 0)))
	}
	over(p.Image, mask, l.Ink.Colour(theme))
	return p, nil
}

// press puts a glyph down with its point at a place; where two meet the darker stays.
func press(mask, glyph *image.Alpha, at image.Point) {
	if glyph == nil {
		return
	}
	to := glyph.Rect.Add(at).Intersect(mask.Rect)
	for y := to.Min.Y; y < to.Max.Y; y++ {
		from := glyph.Pix[glyph.PixOffset(to.Min.X-at.X, y-at.Y):]
		row := mask.Pix[mask.PixOffset(to.Min.X, y) : mask.PixOffset(to.Max.X-1, y)+1]
		for i, a := range from[:len(row)] {
			row[i] = max(row[i], a)
		}
	}
}

func (s *Setter) face(of size, nib float64) (*face, error) {
	if f, ok := s.faces[of]; ok && f.nib == nib {
		return f, nil
	}
	data := goregular.TTF
	if of.bold {
		data = gobold.TTF
	}
	parsed, err := opentype.Parse(data)
	if err != nil {
		return nil, err
	}
	opened, err := opentype.NewFace(parsed, &opentype.FaceOptions{Size: of.px, DPI: 72})
	if err != nil {
		return nil, err
	}
	if s.faces == nil {
		s.faces = map[size]*face{}
	}
	f := &face{opened, nib, map[cut]glyph{}}
	s.faces[of] = f
	return f, nil
}

// glyph is cut when it is first asked for.
func (f *face) glyph(c cut) glyph {
	if g, ok := f.cuts[c]; ok {
		return g
	}
	var g glyph
	place, mask, from, _, ok := f.Glyph(fixed.Point26_6{X: c.quarters}, c.letter)
	if a, is := mask.(*image.Alpha); ok && is && !place.Empty() {
		n := int(math.Ceil(f.nib))
		g.ink = image.NewAlpha(place.Inset(-n))
		for y := place.Min.Y; y < place.Max.Y; y++ {
			i := a.PixOffset(from.X, from.Y+y-place.Min.Y)
			copy(g.ink.Pix[g.ink.PixOffset(place.Min.X, y):], a.Pix[i:i+place.Dx()])
		}
		g.rim = spread(g.ink, f.nib)
	}
	f.cuts[c] = g
	return g
}

// spread is ink made wider by a round nib of radius r, pixels.
func spread(ink *image.Alpha, r float64) *image.Alpha {
	type dot struct {
		by     int
		weight uint32
	}
	var nib []dot
	n := int(math.Ceil(r))
	for y := -n; y <= n; y++ {
		for x := -n; x <= n; x++ {
			if w := math.Min(r+0.5-math.Hypot(float64(x), float64(y)), 1); w > 0 {
				nib = append(nib, dot{y*ink.Stride + x, uint32(255 * w)})
			}
		}
	}
	out := image.NewAlpha(ink.Rect)
	for at, a := range ink.Pix {
		if a == 0 {
			continue
		}
		for _, d := range nib {
			// The margin is as wide as the nib, so that only the first and last
			// rows could be left.
			if to := at + d.by; to >= 0 && to < len(out.Pix) {
				out.Pix[to] = max(out.Pix[to], uint8(uint32(a)*d.weight/255))
			}
		}
	}
	return out
}

// over puts a colour where the mask is above what is there.
func over(dst *image.RGBA, mask *image.Alpha, c color.RGBA) {
	for i, a := range mask.Pix {
		if a == 0 {
			continue
		}
		p := dst.Pix[4*i : 4*i+4]
		put := func(k int, v uint8) {
			p[k] = uint8((uint32(v)*uint32(a) + uint32(p[k])*(255-uint32(a)) + 127) / 255)
		}
		put(0, c.R)
		put(1, c.G)
		put(2, c.B)
		put(3, c.A)
	}
}
