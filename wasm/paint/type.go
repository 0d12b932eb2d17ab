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

// A Setter sets labels in type. It keeps the faces it has opened.
type Setter struct {
	faces map[size]font.Face
}

type size struct {
	px   float64
	bold bool
}

// A Piece is a label as an image, and where its upper left corner stands from the
// label's point, device pixels.
type Piece struct {
	Image *image.RGBA
	X, Y  float64
}

// Set sets a label, with so many device pixels in a CSS px.
func (s *Setter) Set(l chart.Label, scale float64, theme chart.Theme) (Piece, error) {
	face, err := s.face(size{l.Size * scale, l.Bold})
	if err != nil {
		return Piece{}, err
	}
	reach := 0.0
	if l.Halo {
		reach = rim * scale
	}
	pad := int(math.Ceil(reach)) + 1
	wide, m := font.MeasureString(face, l.Text), face.Metrics()
	ink := image.NewAlpha(image.Rect(0, 0, wide.Ceil()+2*pad, m.Ascent.Ceil()+m.Descent.Ceil()+2*pad))
	d := font.Drawer{Dst: ink, Src: image.Opaque, Face: face, Dot: fixed.P(pad, pad+m.Ascent.Ceil())}
	d.DrawString(l.Text)
	p := Piece{Image: image.NewRGBA(ink.Rect), X: -float64(pad), Y: -float64(pad + m.Ascent.Ceil())}
	switch l.Side {
	case chart.Middle:
		p.X -= float64(wide) / 64 / 2
	case chart.End:
		p.X -= float64(wide) / 64
	}
	if l.Halo {
		over(p.Image, spread(ink, reach), chart.Paper.Colour(theme))
	}
	over(p.Image, ink, l.Ink.Colour(theme))
	return p, nil
}

func (s *Setter) face(of size) (font.Face, error) {
	if f, ok := s.faces[of]; ok {
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
	f, err := opentype.NewFace(parsed, &opentype.FaceOptions{Size: of.px, DPI: 72})
	if err != nil {
		return nil, err
	}
	if s.faces == nil {
		s.faces = map[size]font.Face{}
	}
	s.faces[of] = f
	return f, nil
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
			// The margin is wider than the nib, so that only the first and last
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
