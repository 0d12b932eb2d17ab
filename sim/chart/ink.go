package chart

import (
	"fmt"
	"image/color"
)

// An Ink is what a mark is drawn in, by its use. Its colour depends on the
// [Theme].
type Ink int

// The inks.
const (
	None   Ink = iota
	Paper      // what is drawn on
	Body       // lines and words
	Soft       // words that may recede
	Rule       // lines that must recede
	Cold       // cold water, and pressure of it
	Hot        // hot water
	Still      // water at rest
	Seep       // what gets away, and what was seen of it
	Band       // the time a pump runs
	Hatch      // strokes across a Band
	shade0     // the first of the shades
)

// Shades is the number of steps between few and many that [Shade] has.
const Shades = 6

// Shade is the i-th step of [Shades] from few to many. Words in Body can be
// read on each.
func Shade(i int) Ink { return shade0 + Ink(min(max(i, 0), Shades-1)) }

const inks = int(shade0) + Shades

// A Theme is paper and what goes with it.
type Theme int

// The themes.
const (
	Auto   Theme = iota // SVG that follows the reader's setting, and Print on a printer; elsewhere Light
	Light               // warm paper, dark ink
	Dark                // dark paper, warm ink
	Print               // black on white
	themes = int(Print) + 1
)

// The colours were chosen against the contrast of WCAG 2.1 (its relative
// luminance and ratio are in the test) and for eyes that miss a colour: ink and
// soft words, cold, hot and seep stand 4.5 to 1 or more from their paper.
var colours = [themes][inks]uint32{
	Light: {
		Paper: 0xF7F2E8, Body: 0x1E2A33, Soft: 0x5A6872, Rule: 0xDDD4C2, Cold: 0x0B62A8, Hot: 0xA63C10, Still: 0x6E8792,
		Seep: 0x8A1C5C, Band: 0xF0DDB0, Hatch: 0xBC9C52,
		shade0: 0xE6E9E8, shade0 + 1: 0xD2DFE8, shade0 + 2: 0xBED4E8, shade0 + 3: 0xA8C8E6, shade0 + 4: 0x92BBE2, shade0 + 5: 0x7CAEDC,
	},
	Dark: {
		Paper: 0x11181E, Body: 0xEFE9DC, Soft: 0xA9B4BB, Rule: 0x2C3944, Cold: 0x7CC4F0, Hot: 0xD9622B, Still: 0x5B7480,
		Seep: 0xFFD24A, Band: 0x4A3D1E, Hatch: 0x8D753B,
		shade0: 0x1A2832, shade0 + 1: 0x203745, shade0 + 2: 0x264659, shade0 + 3: 0x2C556D, shade0 + 4: 0x316481, shade0 + 5: 0x356D90,
	},
	Print: {
		Paper: 0xFFFFFF, Body: 0x000000, Soft: 0x444444, Rule: 0xCFCFCF, Cold: 0x0B4F88, Hot: 0x8F330D, Still: 0x6E8792,
		Seep: 0x7A1850, Band: 0xEBEBEB, Hatch: 0x8A8A8A,
		shade0: 0xF2F2F2, shade0 + 1: 0xE2E2E2, shade0 + 2: 0xD0D0D0, shade0 + 3: 0xBDBDBD, shade0 + 4: 0xA9A9A9, shade0 + 5: 0x959595,
	},
}

// Colour is the ink's colour under a theme; of None it is clear.
func (i Ink) Colour(t Theme) color.RGBA {
	if i <= None || int(i) >= inks || t < Auto || t > Print {
		return color.RGBA{}
	}
	if t == Auto {
		t = Light
	}
	c := colours[t][i]
	return color.RGBA{uint8(c >> 16), uint8(c >> 8), uint8(c), 0xFF}
}

// hex writes the colour as SVG and CSS do.
func (i Ink) hex(t Theme) string {
	c := i.Colour(t)
	if c.A == 0 {
		return "none"
	}
	return fmt.Sprintf("#%02X%02X%02X", c.R, c.G, c.B)
}
