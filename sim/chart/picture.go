package chart

import (
	"fmt"
	"io"

	"quietpump/hydraulics/unit"
)

// A Picture is one of this package's: [Timeline], [Envelope], [RestCurve], [Suspects],
// [Outcomes], [Sweep], [HeatMap] or [PumpCurve].
type Picture interface {
	// Title says what the picture shows to be so.
	Title(sys unit.System) string
	// Words tells the whole of it to those who do not see it.
	Words(sys unit.System) string
	// draw lays the picture out below what is drawn already.
	draw(d *Drawing, sys unit.System) error
}

// A Figure is a picture as it is put on a page. The zero fields are the ordinary
// case.
type Figure struct {
	Picture Picture
	Width   float64 // px; zero: 360, a phone's, which prints a column wide
	Theme   Theme
	Bare    bool // without its title, for a page that says it in type of its own
}

const (
	ordinaryWidth = 360
	leastWidth    = 240
	titleSize     = 15
	labelSize     = 12
	smallSize     = 11
	edge          = 6 // kept clear all round, px
)

// Drawing lays the figure out. It refuses data that cannot be drawn, saying
// which.
func (f Figure) Drawing(sys unit.System) (Drawing, error) {
	if f.Picture == nil {
		return Drawing{}, fmt.Errorf("chart: a figure without a picture")
	}
	d := Drawing{Width: f.Width, Title: f.Picture.Title(sys), Words: f.Picture.Words(sys)}
	if d.Width == 0 {
		d.Width = ordinaryWidth
	}
	if !(d.Width >= leastWidth) || !finite(d.Width) {
		return Drawing{}, fmt.Errorf("chart: a width of %g px is too narrow for words; give %d or more", f.Width, leastWidth)
	}
	d.Height = edge
	if !f.Bare {
		for _, line := range wrap(d.Title, d.Width-2*edge, titleSize, true) {
			d.Height += 19
			d.Add(Label{At: Point{edge, d.Height - 5}, Text: line, Ink: Body, Size: titleSize, Bold: true})
		}
		d.Height += 4
	}
	if err := f.Picture.draw(&d, sys); err != nil {
		return Drawing{}, fmt.Errorf("chart: %w", err)
	}
	return d, nil
}

// SVG writes the figure as one SVG element that stands alone or within a page.
// The id begins the ids within it, which must be its own on a page.
func (f Figure) SVG(w io.Writer, sys unit.System, id string) error {
	d, err := f.Drawing(sys)
	if err != nil {
		return err
	}
	return d.SVG(w, f.Theme, id)
}

// Title is the picture's.
func (f Figure) Title(sys unit.System) string { return f.Picture.Title(sys) }

// Words is the picture's.
func (f Figure) Words(sys unit.System) string { return f.Picture.Words(sys) }
