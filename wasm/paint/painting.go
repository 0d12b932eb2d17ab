package paint

import (
	"image"
	"image/draw"
	"slices"

	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

// A Painting is a chapter's frames, one after the other, as the card takes them: what stands
// still laid out when it changes, what moves each time, and labels set when they are first
// shown.
type Painting struct {
	Still, Moving Layer

	density  float64
	setter   Setter
	last     *frame.Frame
	paper    frame.Box
	look     frame.Look
	before   []Vertex // of what moved, as it was laid out last
	labelled []chart.Label
	letters  map[lettered]*Lettering
	turn     int
	spent    []*Sheet
}

// A Lettering is a label set on a sheet: the part of it that the label takes, and where its
// upper left corner stands from the label's point, device pixels.
type Lettering struct {
	Sheet *Sheet
	On    image.Rectangle
	X, Y  float64
	turn  int // when it was shown last
}

// A Sheet is labels that were set together, for the card takes one picture sooner than many.
type Sheet struct {
	image *image.RGBA
	left  int // of its labels
}

// Take hands over the sheet's picture, once; it is not kept.
func (s *Sheet) Take() *image.RGBA {
	i := s.image
	s.image = nil
	return i
}

// lettered is what a label's picture depends on: all but its place.
type lettered struct {
	chart.Label
	theme chart.Theme
}

func (p *Painting) key(l chart.Label) lettered {
	l.At = chart.Point{}
	return lettered{l, p.look.Theme()}
}

// NewPainting is a painting with nothing on it, with so many device pixels in a CSS px, more
// than none.
func NewPainting(density float64) *Painting {
	return &Painting{density: density, letters: map[lettered]*Lettering{}}
}

// Density is the number of device pixels in a CSS px.
func (p *Painting) Density() float64 { return p.density }

// Follow lays out a frame, and reports whether what stands still is another than last time,
// and whether what moves is. The error is that of [Setter.Set]; what it is about is left out.
func (p *Painting) Follow(f *frame.Frame) (still, moves bool, err error) {
	still = f != p.last || f.Changed || f.Paper != p.paper || f.Look != p.look
	theme := f.Look.Theme()
	if still {
		p.last, p.paper, p.look = f, f.Paper, f.Look
		p.Still.Reset(p.density, theme)
		p.Still.Add(&f.Still)
	}
	p.Moving.Reset(p.density, theme)
	p.Moving.Add(&f.Moving)
	moves = p.moved()
	if still || moves {
		err = p.letter()
	}
	return still, moves, err
}

// moved reports whether what moves differs from last time, and keeps it.
func (p *Painting) moved() bool {
	same := slices.Equal(p.labelled, p.Moving.Labels)
	at := 0
	for _, b := range p.Moving.Batches {
		n := len(b.Vertices)
		same = same && at+n <= len(p.before) && slices.Equal(p.before[at:at+n], b.Vertices)
		at += n
	}
	if same && at == len(p.before) {
		return false
	}
	p.labelled = append(p.labelled[:0], p.Moving.Labels...)
	p.before = p.before[:0]
	for _, b := range p.Moving.Batches {
		p.before = append(p.before, b.Vertices...)
	}
	return true
}

// Lettering is how a label of the layers is set; nil: it could not be.
func (p *Painting) Lettering(l chart.Label) *Lettering { return p.letters[p.key(l)] }

// Spent are the sheets of which nothing will be shown again, each handed out once.
func (p *Painting) Spent() []*Sheet {
	s := p.spent
	p.spent = nil
	return s
}

// keeps is how many turns a label that is not shown is kept: a number that runs makes a new
// one each.
const keeps = 60

// letter sets the labels that are not set yet, all on one sheet, and lets those go that have
// not been shown for long.
func (p *Painting) letter() error {
	p.turn++
	var problem error
	var set []Piece
	var on []*Lettering
	for _, labels := range [][]chart.Label{p.Still.Labels, p.Moving.Labels} {
		for _, l := range labels {
			key := p.key(l)
			is := p.letters[key]
			if is == nil {
				piece, err := p.setter.Set(l, p.density, key.theme)
				if err != nil {
					problem = err
					continue
				}
				is = &Lettering{X: piece.X, Y: piece.Y}
				p.letters[key] = is
				set, on = append(set, piece), append(on, is)
			}
			is.turn = p.turn
		}
	}
	gather(set, on)
	for key, l := range p.letters {
		if p.turn-l.turn <= keeps {
			continue
		}
		delete(p.letters, key)
		if l.Sheet.left--; l.Sheet.left == 0 {
			p.spent = append(p.spent, l.Sheet)
		}
	}
	return problem
}

// wide is how wide a sheet is that holds no longer label, device pixels.
const wide = 512

// gather puts pieces on one sheet, in rows from the top.
func gather(pieces []Piece, on []*Lettering) {
	if len(pieces) == 0 {
		return
	}
	var at, size image.Point
	size.X = wide
	high := 0 // of the row
	for i, p := range pieces {
		is := p.Image.Rect.Size()
		if at.X > 0 && at.X+is.X > wide {
			at, high = image.Pt(0, at.Y+high), 0
		}
		on[i].On = image.Rectangle{at, at.Add(is)}
		at.X += is.X
		high = max(high, is.Y)
		size = image.Pt(max(size.X, is.X), at.Y+high)
	}
	s := &Sheet{image.NewRGBA(image.Rectangle{Max: size}), len(pieces)}
	for i, p := range pieces {
		draw.Draw(s.image, on[i].On, p.Image, p.Image.Rect.Min, draw.Src)
		on[i].Sheet = s
	}
}
