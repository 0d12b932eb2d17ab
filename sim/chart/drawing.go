package chart

// A Point is a place in a drawing, in px from its upper left corner, y down.
type Point struct{ X, Y float64 }

// A Drawing is a picture laid out: its marks in the order they are put down.
type Drawing struct {
	Width, Height float64 // px
	Title, Words  string
	Marks         []Mark
}

// A Mark is a [Shape] or a [Label].
type Mark interface{ mark() }

// A Shape is a line through points, or an area within them.
type Shape struct {
	Points []Point
	Closed bool    // the last point joins the first
	Fill   Ink     // None: not filled
	Line   Ink     // None: no line
	Width  float64 // of the line, px; its ends and corners are round
	Dash   float64 // length of a dash and of the gap after it, px; zero: unbroken
}

// A Label is one line of text.
type Label struct {
	At   Point // on its base line: its start, middle or end as Side says
	Text string
	Ink  Ink
	Size float64 // px
	Side Side
	Bold bool
	Halo bool // a rim of paper keeps it apart from the lines it crosses
}

// A Side says which part of a label stands at its point.
type Side int

// The sides of a label.
const (
	Start Side = iota
	Middle
	End
)

func (Shape) mark() {}
func (Label) mark() {}

// Add puts marks above what is drawn already.
func (d *Drawing) Add(m ...Mark) { d.Marks = append(d.Marks, m...) }

// line puts down a line of the usual width.
func (d *Drawing) line(ink Ink, width float64, p ...Point) {
	d.Add(Shape{Points: p, Line: ink, Width: width})
}

func (d *Drawing) text(x, y float64, side Side, ink Ink, size float64, text string) {
	d.Add(Label{At: Point{x, y}, Text: text, Ink: ink, Size: size, Side: side, Halo: true})
}

// box is the four corners of an upright rectangle.
func box(x0, y0, x1, y1 float64) []Point { return []Point{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}} }

// hatched fills a rectangle with the band of a running pump and strokes across
// it, which stay when colours do not.
func (d *Drawing) hatched(x0, y0, x1, y1 float64) {
	d.Add(Shape{Points: box(x0, y0, x1, y1), Closed: true, Fill: Band})
	const apart = 6.0
	// Each stroke runs up to the right at 45°: x + y = c.
	for c := x0 + y0 + apart/2; c < x1+y1; c += apart {
		a, b := Point{x0, c - x0}, Point{c - y0, y0}
		if a.Y > y1 {
			a = Point{c - y1, y1}
		}
		if b.X > x1 {
			b = Point{x1, c - x1}
		}
		if a.X < b.X {
			d.line(Hatch, 1, a, b)
		}
	}
	d.line(Hatch, 1, Point{x0, y0}, Point{x0, y1})
	d.line(Hatch, 1, Point{x1, y0}, Point{x1, y1})
}
