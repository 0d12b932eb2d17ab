package chart

import (
	"image/color"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// luminance and contrast are those of the Web Content Accessibility Guidelines
// 2.1, "relative luminance" and "contrast ratio".
func luminance(c color.RGBA) float64 {
	part := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.03928 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*part(c.R) + 0.7152*part(c.G) + 0.0722*part(c.B)
}

func contrast(a, b color.RGBA) float64 {
	x, y := luminance(a), luminance(b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

func TestContrastIsThatOfTheGuidelines(t *testing.T) {
	white, black := color.RGBA{255, 255, 255, 255}, color.RGBA{0, 0, 0, 255}
	assert.InDelta(t, 21, contrast(white, black), 1e-9, "WCAG 2.1: from 1 to 21")
	// #767676 is the lightest grey that reads on white, at 4.54 (WebAIM, contrast checker page, from memory).
	assert.InDelta(t, 4.54, contrast(white, color.RGBA{0x76, 0x76, 0x76, 255}), 0.005)
}

// Words stand 4.5 to 1 or more from what is behind them, and lines that carry
// something 3 to 1 (WCAG 2.1, success criteria 1.4.3 and 1.4.11).
func TestContrast(t *testing.T) {
	for _, theme := range []Theme{Light, Dark, Print} {
		paper := Paper.Colour(theme)
		for _, ink := range []Ink{Body, Soft, Cold, Hot, Seep} {
			assert.GreaterOrEqual(t, contrast(ink.Colour(theme), paper), 4.5, "%s, theme %d", classes[ink], theme)
		}
		assert.GreaterOrEqual(t, contrast(Body.Colour(theme), paper), 12.0)
		assert.GreaterOrEqual(t, contrast(Still.Colour(theme), paper), 3.0, "theme %d", theme)
		assert.GreaterOrEqual(t, contrast(Body.Colour(theme), Band.Colour(theme)), 4.5)
		assert.GreaterOrEqual(t, contrast(Cold.Colour(theme), Band.Colour(theme)), 3.0, "the line across a running pump, theme %d", theme)
		for i := range Shades {
			assert.GreaterOrEqual(t, contrast(Body.Colour(theme), Shade(i).Colour(theme)), 4.5, "shade %d, theme %d", i, theme)
			if i > 0 {
				assert.Greater(t, contrast(Shade(i).Colour(theme), paper), contrast(Shade(i-1).Colour(theme), paper), "deeper means more")
			}
		}
	}
}

func TestEveryInkHasAColourAndAName(t *testing.T) {
	for i := Paper; int(i) < inks; i++ {
		assert.NotEmpty(t, classes[i])
		for _, theme := range []Theme{Auto, Light, Dark, Print} {
			assert.Equal(t, uint8(255), i.Colour(theme).A, "%s", classes[i])
		}
	}
	assert.Equal(t, color.RGBA{}, None.Colour(Light))
	assert.Equal(t, color.RGBA{}, Ink(99).Colour(Light))
	assert.Equal(t, color.RGBA{}, Body.Colour(Theme(9)))
	assert.Equal(t, Shade(0), Shade(-3))
	assert.Equal(t, Shade(Shades-1), Shade(99))
}
