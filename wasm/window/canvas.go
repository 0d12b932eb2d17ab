//go:build js

package window

import (
	_ "embed"
	"fmt"
	"image"
	"math"
	"unsafe"

	"github.com/hajimehoshi/ebiten/v2"

	"quietpump/sim/chart"
	"quietpump/wasm/frame"
	"quietpump/wasm/paint"
)

//go:embed capsule.kage
var capsule []byte

// A canvas puts a painting on the screen, and draws nothing where it is as it was.
type canvas struct {
	painting *paint.Painting
	shader   *ebiten.Shader
	stale    bool
	below    *ebiten.Image // paper and the shapes that stand still
	sheets   map[*paint.Sheet]sheet
}

// A sheet is one of the painting's on the card, and the parts of it that were asked for.
type sheet struct {
	*ebiten.Image
	parts map[image.Rectangle]*ebiten.Image
}

func (c *canvas) draw(screen *ebiten.Image, f *frame.Frame) {
	still, moves, err := c.painting.Follow(f)
	if err != nil {
		fmt.Println(err)
	}
	if still || c.below == nil || c.below.Bounds() != screen.Bounds() {
		c.lay(screen.Bounds(), f.Look.Theme())
		c.stale = true
	}
	if !moves && !c.stale {
		return
	}
	c.stale = false
	screen.DrawImage(c.below, nil)
	c.shapes(screen, c.painting.Moving.Batches)
	c.labels(screen, c.painting.Still.Labels)
	c.labels(screen, c.painting.Moving.Labels)
	for _, s := range c.painting.Spent() {
		if on, ok := c.sheets[s]; ok {
			on.Deallocate()
			delete(c.sheets, s)
		}
	}
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
	c.shapes(c.below, c.painting.Still.Batches)
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

// labels puts labels down from their sheets: setting type is dear, and copying it is not.
func (c *canvas) labels(screen *ebiten.Image, labels []chart.Label) {
	d := c.painting.Density()
	for _, l := range labels {
		set := c.painting.Lettering(l)
		if set == nil {
			continue
		}
		var o ebiten.DrawImageOptions
		o.GeoM.Translate(math.Round(l.At.X*d+set.X), math.Round(l.At.Y*d+set.Y))
		screen.DrawImage(c.part(set), &o)
	}
}

// part is a label on the card.
func (c *canvas) part(l *paint.Lettering) *ebiten.Image {
	on, ok := c.sheets[l.Sheet]
	if !ok {
		on = sheet{ebiten.NewImageFromImage(l.Sheet.Take()), map[image.Rectangle]*ebiten.Image{}}
		c.sheets[l.Sheet] = on
	}
	part, ok := on.parts[l.On]
	if !ok {
		part = on.SubImage(l.On).(*ebiten.Image)
		on.parts[l.On] = part
	}
	return part
}
