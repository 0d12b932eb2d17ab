//go:build js

package window

import (
	_ "embed"
	"fmt"
	"image"
	"math"
	"slices"
	"unsafe"

	"github.com/hajimehoshi/ebiten/v2"

	"quietpump/sim/chart"
	"quietpump/wasm/frame"
	"quietpump/wasm/paint"
)

//go:embed capsule.kage
var capsule []byte

// A canvas puts frames on the screen. What stands still is laid out when it
// changes, what moves each time, and nothing is drawn where neither differs from
// what is on the screen.
type canvas struct {
	shader        *ebiten.Shader
	still, moving paint.Layer
	before        []paint.Vertex // of what moves, as it was drawn last
	labelled      []chart.Label
	paper         frame.Box
	look          frame.Look
	density       float64
	stale         bool
	below         *ebiten.Image // paper and the shapes that stand still
	texts         texts
	last          *frame.Frame
}

func (c *canvas) draw(screen *ebiten.Image, f *frame.Frame, density float64) {
	theme := f.Look.Theme()
	if f != c.last || f.Changed || f.Paper != c.paper || f.Look != c.look || density != c.density || c.below == nil || c.below.Bounds() != screen.Bounds() {
		c.last, c.paper, c.look, c.density, c.stale = f, f.Paper, f.Look, density, true
		c.still.Reset(density, theme)
		c.still.Add(&f.Still)
		c.lay(screen.Bounds(), theme)
	}
	c.moving.Reset(density, theme)
	c.moving.Add(&f.Moving)
	if !c.moved() && !c.stale {
		return
	}
	c.stale = false
	screen.DrawImage(c.below, nil)
	c.shapes(screen, c.moving.Batches)
	c.texts.begin(density, theme)
	c.texts.draw(screen, c.still.Labels)
	c.texts.draw(screen, c.moving.Labels)
	c.texts.end()
}

// lay puts the shapes that stand still on paper once, for handing thousands of corners
// to the card in every frame is dear, and copying a picture there is not.
func (c *canvas) lay(bounds image.Rectangle, theme chart.Theme) {
	if c.below == nil || c.below.Bounds() != bounds {
		if c.below != nil {
			c.below.Deallocate()
		}
		c.below = ebiten.NewImageWithOptions(bounds, &ebiten.NewImageOptions{Unmanaged: true})
	}
	c.below.Fill(chart.Paper.Colour(theme))
	c.shapes(c.below, c.still.Batches)
}

// moved reports whether what moves differs from what was drawn, and keeps it.
func (c *canvas) moved() bool {
	same := slices.Equal(c.labelled, c.moving.Labels)
	at := 0
	for _, b := range c.moving.Batches {
		n := len(b.Vertices)
		same = same && at+n <= len(c.before) && slices.Equal(c.before[at:at+n], b.Vertices)
		at += n
	}
	if same && at == len(c.before) {
		return false
	}
	c.labelled = append(c.labelled[:0], c.moving.Labels...)
	c.before = c.before[:0]
	for _, b := range c.moving.Batches {
		c.before = append(c.before, b.Vertices...)
	}
	return true
}

// A vertex of ours is one of the window library's, place for place; this does
// not compile otherwise.
var _ = ebiten.Vertex(paint.Vertex{})

func (c *canvas) shapes(screen *ebiten.Image, batches []paint.Batch) {
	if c.shader == nil {
		shader, err := ebiten.NewShader(capsule)
		if err != nil {
			fmt.Println(err)
			return
		}
		c.shader = shader
	}
	for _, b := range batches {
		if len(b.Vertices) == 0 {
			continue
		}
		corners := unsafe.Slice((*ebiten.Vertex)(unsafe.Pointer(&b.Vertices[0])), len(b.Vertices))
		screen.DrawTrianglesShader(corners, b.Indices, c.shader, nil)
	}
}

// texts keeps each label as an image, for setting type is dear and copying it is
// not.
type texts struct {
	setter  paint.Setter
	pieces  map[label]*piece
	density float64
	theme   chart.Theme
	turn    int
}

// A label is what its picture depends on: all but its place.
type label struct {
	chart.Label
	density float64
	theme   chart.Theme
}

type piece struct {
	*ebiten.Image
	x, y float64
	used int
}

func (t *texts) begin(density float64, theme chart.Theme) {
	t.density, t.theme = density, theme
	t.turn++
}

// keeps is how many turns a label that is not shown is kept: a number that runs
// makes a new one each.
const keeps = 60

func (t *texts) end() {
	for l, p := range t.pieces {
		if t.turn-p.used > keeps {
			p.Deallocate()
			delete(t.pieces, l)
		}
	}
}

func (t *texts) draw(screen *ebiten.Image, labels []chart.Label) {
	for _, l := range labels {
		p, err := t.piece(l)
		if err != nil {
			fmt.Println(err)
			return
		}
		var o ebiten.DrawImageOptions
		o.GeoM.Translate(math.Round(l.At.X*t.density+p.x), math.Round(l.At.Y*t.density+p.y))
		screen.DrawImage(p.Image, &o)
	}
}

func (t *texts) piece(l chart.Label) (*piece, error) {
	l.At = chart.Point{}
	key := label{l, t.density, t.theme}
	if p, ok := t.pieces[key]; ok {
		p.used = t.turn
		return p, nil
	}
	set, err := t.setter.Set(l, t.density, t.theme)
	if err != nil {
		return nil, err
	}
	p := &piece{ebiten.NewImageFromImage(set.Image), set.X, set.Y, t.turn}
	if t.pieces == nil {
		t.pieces = map[label]*piece{}
	}
	t.pieces[key] = p
	return p, nil
}
