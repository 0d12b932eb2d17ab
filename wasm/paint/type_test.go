package paint

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/sim/chart"
)

// bounds are of the pixels that are not clear.
func bounds(p Piece) image.Rectangle {
	var b image.Rectangle
	for y := p.Image.Rect.Min.Y; y < p.Image.Rect.Max.Y; y++ {
		for x := p.Image.Rect.Min.X; x < p.Image.Rect.Max.X; x++ {
			if p.Image.RGBAAt(x, y).A > 0 {
				b = b.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return b
}

func TestLabelsStandWhereTheySay(t *testing.T) {
	var s Setter
	for _, scale := range []float64{1, 1.5, 3} {
		for _, bold := range []bool{false, true} {
			l := chart.Label{Text: "HHH", Size: 20, Ink: chart.Body, Bold: bold}
			p, err := s.Set(l, scale, chart.Light)
			require.NoError(t, err)
			b := bounds(p)
			// Capitals stand on the base line, and are 0.7 to 0.75 of the size high.
			assert.InDelta(t, 0, float64(b.Max.Y)+p.Y, 1.01)
			assert.InDelta(t, 0.735*20*scale, float64(b.Dy()), 0.035*20*scale+1)
			l.Side = chart.End
			end, err := s.Set(l, scale, chart.Light)
			require.NoError(t, err)
			l.Side = chart.Middle
			middle, err := s.Set(l, scale, chart.Light)
			require.NoError(t, err)
			assert.InDelta(t, (p.X+end.X)/2, middle.X, 1e-9)
			assert.InDelta(t, float64(b.Dx()), p.X-end.X, 4*scale, "it ends where it should begin")
		}
	}
}

// Whatever is measured for the widest face fits in this one.
func TestTypeIsNoWiderThanWasMeasured(t *testing.T) {
	var s Setter
	for _, text := range []string{"fill valve", "45 psi ± 4", "0.25 gal in 10 min", "WAMWMQ@%", "iiiillll....", "1/2 in · 3 m", "the pump's inlet"} {
		for _, bold := range []bool{false, true} {
			p, err := s.Set(chart.Label{Text: text, Size: 14, Ink: chart.Body, Bold: bold}, 1, chart.Light)
			require.NoError(t, err)
			assert.LessOrEqual(t, float64(bounds(p).Dx()), chart.Wide(text, 14, bold)+1, text)
		}
	}
}

func TestHaloIsPaperRoundTheInk(t *testing.T) {
	var s Setter
	l := chart.Label{Text: "|", Size: 20, Ink: chart.Seep}
	bare, err := s.Set(l, 2, chart.Dark)
	require.NoError(t, err)
	l.Halo = true
	rimmed, err := s.Set(l, 2, chart.Dark)
	require.NoError(t, err)
	a, b := bounds(bare), bounds(rimmed)
	assert.InDelta(t, a.Dx()+2*3, b.Dx(), 1, "1.5 CSS px are 3 device pixels")
	assert.InDelta(t, a.Dy()+2*3, b.Dy(), 1)
	middle := image.Pt((b.Min.X+b.Max.X)/2, (b.Min.Y+b.Max.Y)/2)
	assert.Equal(t, chart.Seep.Colour(chart.Dark), rimmed.Image.RGBAAt(middle.X, middle.Y))
	edge := rimmed.Image.RGBAAt(b.Min.X+1, middle.Y)
	assert.Greater(t, edge.A, uint8(100))
	assert.Less(t, edge.R, uint8(40), "paper, not ink")
	assert.InDelta(t, bare.X+float64(a.Min.X), rimmed.X+float64(b.Min.X)+3, 0.6, "the ink stays where it was")
}

func BenchmarkSet(b *testing.B) {
	var s Setter
	l := chart.Label{Text: "fill valve, 45 psi", Size: 13, Ink: chart.Body, Halo: true}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := s.Set(l, 2, chart.Light); err != nil {
			b.Fatal(err)
		}
	}
}
