//go:build js

package window

import (
	_ "embed"
	"fmt"
	"math"
	"slices"
	"unsafe"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/text/v2"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"

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
	texts         texts
	last          *frame.Frame
}

func (c *canvas) draw(screen *ebiten.Image, f *frame.Frame, density float64) {
	theme := f.Look.Theme()
	if f != c.last || f.Changed || f.Paper != c.paper || f.Look != c.look || density != c.density {
		c.last, c.paper, c.look, c.density, c.stale = f, f.Paper, f.Look, density, true
		c.still.Reset(density, theme)
		c.still.Add(&f.Still)
	}
	c.moving.Reset(density, theme)
	c.moving.Add(&f.Moving)
	if !c.moved() && !c.stale {
		return
	}
	c.stale = false
	screen.Fill(chart.Paper.Colour(theme))
	c.shapes(screen, c.still.Batches)
	c.shapes(screen, c.moving.Batches)
	c.texts.begin(density, theme)
	c.texts.draw(screen, c.still.Labels)
	c.texts.draw(screen, c.moving.Labels)
	c.texts.end()
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
	faces   map[size]*text.GoXFace
	images  map[label]*image
	density float64
	theme   chart.Theme
	turn    int
}

type size struct {
	px   float64
	bold bool
}

type label struct {
	text  string
	size  size
	ink   chart.Ink
	halo  bool
	theme chart.Theme
}

type image struct {
	*ebiten.Image
	wide, up float64 // of the text, above its base line, device pixels
	used     int
}

func (t *texts) begin(density float64, theme chart.Theme) {
	if t.density != density {
		t.density, t.faces, t.images = density, map[size]*text.GoXFace{}, map[label]*image{}
	}
	t.theme = theme
	t.turn++
}

// keeps is how many turns a label that is not shown is kept: a number that runs
// makes a new one each.
const keeps = 60

func (t *texts) end() {
	for l, i := range t.images {
		if t.turn-i.used > keeps {
			i.Deallocate()
			delete(t.images, l)
		}
	}
}

func (t *texts) face(s size) (*text.GoXFace, error) {
	if f, ok := t.faces[s]; ok {
		return f, nil
	}
	data := goregular.TTF
	if s.bold {
		data = gobold.TTF
	}
	parsed, err := opentype.Parse(data)
	if err != nil {
		return nil, err
	}
	face, err := opentype.NewFace(parsed, &opentype.FaceOptions{Size: s.px, DPI: 72})
	if err != nil {
		return nil, err
	}
	t.faces[s] = text.NewGoXFace(face)
	return t.faces[s], nil
}

func (t *texts) draw(screen *ebiten.Image, labels []chart.Label) {
	for _, l := range labels {
		i, err := t.image(l)
		if err != nil {
			fmt.Println(err)
			return
		}
		x := l.At.X * t.density
		switch l.Side {
		case chart.Middle:
			x -= i.wide / 2
		case chart.End:
			x -= i.wide
		}
		pad := rim * t.density
		var o ebiten.DrawImageOptions
		o.GeoM.Translate(math.Round(x-pad), math.Round(l.At.Y*t.density-i.up-pad))
		screen.DrawImage(i.Image, &o)
	}
}

// rim is how wide the halo of a label is, CSS px: half the stroke it has in SVG.
const rim = 2.0

func (t *texts) image(l chart.Label) (*image, error) {
	s := size{l.Size * t.density, l.Bold}
	key := label{text: l.Text, size: s, ink: l.Ink, halo: l.Halo, theme: t.theme}
	if i, ok := t.images[key]; ok {
		i.used = t.turn
		return i, nil
	}
	face, err := t.face(s)
	if err != nil {
		return nil, err
	}
	wide, m, pad := text.Advance(l.Text, face), face.Metrics(), rim*t.density
	i := &image{
		Image: ebiten.NewImage(int(math.Ceil(wide+2*pad))+1, int(math.Ceil(m.HAscent+m.HDescent+2*pad))+1),
		wide:  wide, up: m.HAscent, used: t.turn,
	}
	put := func(ink chart.Ink, dx, dy float64) {
		var o text.DrawOptions
		o.GeoM.Translate(pad+dx, pad+dy)
		o.ColorScale.ScaleWithColor(ink.Colour(t.theme))
		text.Draw(i.Image, l.Text, face, &o)
	}
	if l.Halo {
		const round = 12
		for k := range round {
			a := 2 * math.Pi * float64(k) / round
			put(chart.Paper, 0.75*pad*math.Cos(a), 0.75*pad*math.Sin(a))
		}
	}
	put(l.Ink, 0, 0)
	t.images[key] = i
	return i, nil
}
