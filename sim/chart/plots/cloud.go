package plots

import (
	"fmt"
	"io"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	vgdraw "gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"

	"quietpump/hydraulics/unit"
	"quietpump/sim/chart"
)

// A Cloud is many simulations at once: what followed against what was drawn, a
// point for each. SVG of so many points would choke a phone.
type Cloud struct {
	Title string
	X, Y  chart.Axis // as many values of each; in any order; those that are no number are left out
}

// PNG writes the cloud as an image so many px wide and high, at so many dots per
// inch; see [PNG].
func (c Cloud) PNG(w io.Writer, sys unit.System, theme chart.Theme, width, height float64, dpi int) error {
	p, err := c.plot(sys, theme)
	if err != nil {
		return err
	}
	if !(width >= 240) || !(height >= 180) {
		return fmt.Errorf("plots: %g × %g px is too small for a cloud; give 240 × 180 or more", width, height)
	}
	img, err := image(width, height, dpi)
	if err != nil {
		return err
	}
	p.Draw(vgdraw.New(img))
	_, err = vgimg.PngCanvas{Canvas: img}.WriteTo(w)
	return err
}

func (c Cloud) plot(sys unit.System, theme chart.Theme) (*plot.Plot, error) {
	if c.X.Values.Len() != c.Y.Values.Len() {
		return nil, fmt.Errorf("plots: a cloud of %d values of %s and %d of %s; give as many of each", c.X.Values.Len(), c.X.Name, c.Y.Values.Len(), c.Y.Name)
	}
	x, ticksX := c.X.Values.In(sys)
	y, ticksY := c.Y.Values.In(sys)
	var points plotter.XYs
	for i := range x {
		if known(x[i], c.X.Log) && known(y[i], c.Y.Log) {
			points = append(points, plotter.XY{X: x[i], Y: y[i]})
		}
	}
	if len(points) == 0 {
		return nil, fmt.Errorf("plots: a cloud of %s against %s without a point", c.Y.Name, c.X.Name)
	}
	p := plot.New()
	body, soft := chart.Body.Colour(theme), chart.Soft.Colour(theme)
	p.BackgroundColor = chart.Paper.Colour(theme)
	p.Title.Text, p.X.Label.Text, p.Y.Label.Text = c.Title, c.X.Name, c.Y.Name
	for _, s := range []*text.Style{&p.Title.TextStyle, &p.X.Label.TextStyle, &p.Y.Label.TextStyle, &p.X.Tick.Label, &p.Y.Tick.Label} {
		s.Color, s.Font, s.Handler = body, font.From(plainFace, 12*px), text.Plain{Fonts: faces}
	}
	p.Title.TextStyle.Font = font.From(boldFace, 15*px)
	p.Title.Padding = 8 * px
	for _, a := range []struct {
		axis  *plot.Axis
		ticks func(lo, hi float64, log bool, most int) []chart.Tick
		log   bool
		most  int
	}{{&p.X, ticksX, c.X.Log, 8}, {&p.Y, ticksY, c.Y.Log, 8}} {
		a.axis.LineStyle.Color, a.axis.Tick.LineStyle.Color, a.axis.Tick.Label.Color = body, body, soft
		if a.log {
			a.axis.Scale = plot.LogScale{}
		}
		a.axis.Tick.Marker = plot.TickerFunc(func(lo, hi float64) []plot.Tick {
			var list []plot.Tick
			for _, t := range a.ticks(lo, hi, a.log, a.most) {
				list = append(list, plot.Tick{Value: t.At, Label: t.Label})
			}
			return list
		})
	}
	s, err := plotter.NewScatter(points)
	if err != nil {
		return nil, fmt.Errorf("plots: %w", err)
	}
	ink := chart.Cold.Colour(theme)
	ink.A = 0x60 // premultiplied below, so that crowds look darker
	ink.R, ink.G, ink.B = uint8(int(ink.R)*0x60/0xFF), uint8(int(ink.G)*0x60/0xFF), uint8(int(ink.B)*0x60/0xFF)
	s.GlyphStyle = vgdraw.GlyphStyle{Color: ink, Radius: 1.6 * px, Shape: vgdraw.CircleGlyph{}}
	p.Add(s)
	return p, nil
}

func known(x float64, log bool) bool {
	return !math.IsNaN(x) && !math.IsInf(x, 0) && (!log || x > 0)
}
