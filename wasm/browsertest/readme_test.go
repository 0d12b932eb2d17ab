//go:build !js

package browsertest

import (
	"bytes"
	"cmp"
	"image"
	"image/color"
	"image/png"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// readme is what the README shows of each chapter.
var readme = []struct {
	chapter, state string
	wide, high     int
}{{"watch", "cycles", 1040, 640}, {"change", "begins", 1040, 640}, {"find", "named", 1040, 640}, {"yours", "tapped", 390, 844}}

// TestPicturesOfTheReadme takes them anew, into the folder that -shots names:
//
//	go test ./wasm/browsertest -run PicturesOfTheReadme -shots ../../testdata/demo
func TestPicturesOfTheReadme(t *testing.T) {
	if *shots == "" {
		t.Skip("pictures are taken with -shots DIR")
	}
	require.NoError(t, os.MkdirAll(*shots, 0o755))
	for _, want := range readme {
		t.Run(want.chapter, func(t *testing.T) {
			for _, c := range states {
				if c.chapter != want.chapter {
					continue
				}
				p := opened(t, 400, 300, 1)
				p.visit("?chapter=" + c.chapter + c.query)
				for _, s := range c.list {
					s.to(p)
					if s.name == want.state {
						break
					}
				}
				// What takes long has been worked out, and the clock goes as fast as it says.
				eval[bool](p, `new Promise((done) => { const look = () => document.getElementById("note").textContent.includes("still being worked out") ? setTimeout(look, 500) : done(true); look(); })`)
				p.resize(want.wide, want.high, 1)
				p.do(`(() => { const rate = document.querySelector('[data-do="rate"] input'); if (rate) { rate.value = Math.log(8) / Math.log(600); rate.oninput(); } })()`)
				for range 10 {
					p.drawn()
				}
				small := reduced(t, p.picture())
				assert.LessOrEqual(t, len(small), 60_000)
				require.NoError(t, os.WriteFile(filepath.Join(*shots, c.chapter+".png"), small, 0o644))
				p.leave()
			}
		})
	}
}

// reduced is a picture in the 40 colours that it has most of: ink, paper and what
// lies between them.
func reduced(t *testing.T, data []byte) []byte {
	t.Helper()
	full, err := png.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	count := map[color.RGBA]int{}
	b := full.Bounds()
	at := func(x, y int) color.RGBA { return color.RGBAModel.Convert(full.At(x, y)).(color.RGBA) }
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			count[at(x, y)]++
		}
	}
	most := slices.SortedFunc(maps.Keys(count), func(a, b color.RGBA) int {
		return cmp.Or(cmp.Compare(count[b], count[a]), cmp.Compare(uint32(a.R)<<16|uint32(a.G)<<8|uint32(a.B), uint32(b.R)<<16|uint32(b.G)<<8|uint32(b.B)))
	})
	var palette color.Palette
	for _, c := range most { // none that the eye does not tell from one there is
		near := false
		for _, have := range palette {
			h := have.(color.RGBA)
			near = near || max(apart(c.R, h.R), apart(c.G, h.G), apart(c.B, h.B)) < 12
		}
		if !near {
			palette = append(palette, c)
		}
		if len(palette) == 40 {
			break
		}
	}
	small := image.NewPaletted(b, palette)
	index := map[color.RGBA]uint8{}
	for y := b.Min.Y; y < b.Max.Y; y++ {
		for x := b.Min.X; x < b.Max.X; x++ {
			c := at(x, y)
			i, known := index[c]
			if !known {
				i = uint8(palette.Index(c))
				index[c] = i
			}
			small.SetColorIndex(x, y, i)
		}
	}
	var out bytes.Buffer
	require.NoError(t, (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&out, small))
	return out.Bytes()
}

func apart(a, b uint8) int { return max(int(a)-int(b), int(b)-int(a)) }

// The README's pictures are there, and small.
func TestTheReadmeHasItsPictures(t *testing.T) {
	for _, want := range readme {
		data, err := os.ReadFile(filepath.Join("..", "..", "testdata", "demo", want.chapter+".png"))
		require.NoError(t, err)
		assert.LessOrEqual(t, len(data), 60_000, want.chapter)
		c, err := png.DecodeConfig(bytes.NewReader(data))
		require.NoError(t, err)
		assert.Equal(t, [2]int{want.wide, want.high}, [2]int{c.Width, c.Height}, want.chapter)
	}
}
