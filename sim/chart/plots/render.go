// Package plots puts the figures of package chart into files that SVG does not
// serve, PNG and PDF, and draws what is too much for SVG, such as a cloud of ten
// thousand simulations. It stands on gonum/plot, so a program for the browser
// does without it.
//
//	err := plots.PNG(w, chart.Figure{Picture: timeline, Width: 720}, unit.US, 192)
package plots

import (
	"fmt"
	"io"

	weight "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/font/liberation"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgpdf"

	"quietpump/hydraulics/unit"
	"quietpump/sim/chart"
)

// screenDPI is the resolution at which one px of a drawing is one of the image:
// a px of CSS is 1/96 in (CSS Values and Units Module Level 3, section 5.2).
const screenDPI = 96

// px is one px of a drawing.
const px = vg.Inch / screenDPI

// most is the longest side of an image, in its own pixels: more does not fit into
// the memory of a small machine.
const most = 20000

// PNG writes a figure as a PNG image of so many dots per inch; 96, which zero
// stands for, gives the figure's width in pixels, 192 twice that.
func PNG(w io.Writer, f chart.Figure, sys unit.System, dpi int) error {
	d, err := f.Drawing(sys)
	if err != nil {
		return err
	}
	c, err := image(d.Width, d.Height, dpi)
	if err != nil {
		return err
	}
	draw(c, d, f.Theme, boldFace)
	_, err = vgimg.PngCanvas{Canvas: c}.WriteTo(w)
	return err
}

// image is an empty image of a size in px.
func image(width, height float64, dpi int) (*vgimg.Canvas, error) {
	if dpi == 0 {
		dpi = screenDPI
	}
	if dpi < 1 || width*float64(dpi)/screenDPI > most || height*float64(dpi)/screenDPI > most {
		return nil, fmt.Errorf("plots: %.0f × %.0f px at %d dots per inch is no image that can be made; keep its sides below %d", width, height, dpi, most)
	}
	return vgimg.NewWith(vgimg.UseWH(vg.Length(width)*px, vg.Length(height)*px), vgimg.UseDPI(dpi)), nil
}

// PDF writes a figure as a PDF page of its size, its letters embedded. They are
// all of one weight, for vgpdf keeps one face a document.
func PDF(w io.Writer, f chart.Figure, sys unit.System) error {
	d, err := f.Drawing(sys)
	if err != nil {
		return err
	}
	c := vgpdf.New(vg.Length(d.Width)*px, vg.Length(d.Height)*px)
	c.EmbedFonts(true)
	draw(c, d, f.Theme, plainFace)
	_, err = c.WriteTo(w)
	return err
}

// The faces, which are narrower than what a drawing measured its labels in, so
// they fit.
var (
	plainFace = font.Font{Typeface: "Liberation", Variant: "Sans"}
	boldFace  = font.Font{Typeface: "Liberation", Variant: "Sans", Weight: weight.WeightBold}
	faces     = font.NewCache(liberation.Collection())
)

// draw puts a drawing on a canvas, whose y runs up. Bold labels are in strong.
func draw(c vg.Canvas, d chart.Drawing, t chart.Theme, strong font.Font) {
	at := func(p chart.Point) vg.Point {
		return vg.Point{X: vg.Length(p.X) * px, Y: vg.Length(d.Height-p.Y) * px}
	}
	var sheet vg.Path
	sheet.Move(at(chart.Point{X: 0, Y: 0}))
	sheet.Line(at(chart.Point{X: d.Width, Y: 0}))
	sheet.Line(at(chart.Point{X: d.Width, Y: d.Height}))
	sheet.Line(at(chart.Point{X: 0, Y: d.Height}))
	sheet.Close()
	c.SetColor(chart.Paper.Colour(t))
	c.Fill(sheet)
	for _, m := range d.Marks {
		switch m := m.(type) {
		case chart.Shape:
			shape(c, m, at, t)
		case chart.Label:
			label(c, m, at, t, strong)
		}
	}
}

func shape(c vg.Canvas, m chart.Shape, at func(chart.Point) vg.Point, t chart.Theme) {
	if len(m.Points) == 0 {
		return
	}
	var path vg.Path
	path.Move(at(m.Points[0]))
	for _, p := range m.Points[1:] {
		path.Line(at(p))
	}
	if m.Closed {
		path.Close()
	}
	if m.Fill != chart.None {
		c.SetColor(m.Fill.Colour(t))
		c.Fill(path)
	}
	if m.Line != chart.None {
		c.SetColor(m.Line.Colour(t))
		c.SetLineWidth(vg.Length(m.Width) * px)
		c.SetLineDash(nil, 0)
		if m.Dash > 0 {
			c.SetLineDash([]vg.Length{vg.Length(m.Dash) * px, vg.Length(m.Dash) * px}, 0)
		}
		c.Stroke(path)
	}
}

func label(c vg.Canvas, m chart.Label, at func(chart.Point) vg.Point, t chart.Theme, strong font.Font) {
	as := plainFace
	if m.Bold {
		as = strong
	}
	f := faces.Lookup(as, vg.Length(m.Size)*px)
	p, width := at(m.At), f.Width(m.Text)
	switch m.Side {
	case chart.Middle:
		p.X -= width / 2
	case chart.End:
		p.X -= width
	}
	if m.Halo {
		// Paper behind the letters, as high as they are.
		size := vg.Length(m.Size) * px
		var rim vg.Path
		rim.Move(vg.Point{X: p.X - px, Y: p.Y - size/5})
		rim.Line(vg.Point{X: p.X + width + px, Y: p.Y - size/5})
		rim.Line(vg.Point{X: p.X + width + px, Y: p.Y + size*4/5})
		rim.Line(vg.Point{X: p.X - px, Y: p.Y + size*4/5})
		rim.Close()
		c.SetColor(chart.Paper.Colour(t))
		c.Fill(rim)
	}
	c.SetColor(m.Ink.Colour(t))
	c.FillString(f, p, m.Text)
}
