package unit

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestSay(t *testing.T) {
	for _, tt := range []struct {
		q          Flow
		us, metric string
	}{
		{Flow(Cup) / 600, "about a cup every ten minutes", "240 mL every ten minutes"},
		{Flow(Teaspoon) / 60, "about a teaspoon a minute", "about 5 mL a minute"},
		{2.27 * Flow(FluidOunce) / 600, "2.3 fl oz every ten minutes", "67 mL every ten minutes"},
		{Flow(USGallon) / 86400, "about a gallon a day", "160 mL an hour"},
		{2 * GPM, "2 gpm", "7.6 L/min"},
		{0, "no flow", "no flow"},
		{-GPM, "-1 gpm", "-3.8 L/min"},
		{Flow(math.NaN()), "NaN fl oz/day", "NaN mL/day"},
	} {
		assert.Equal(t, tt.us, US.Say(tt.q))
		assert.Equal(t, tt.metric, Metric.Say(tt.q))
	}
}

func TestSayBetween(t *testing.T) {
	per10 := Flow(FluidOunce) / 600
	assert.Equal(t, "between 2 and 7.8 fl oz every ten minutes", US.SayBetween(2*per10, 7.8*per10))
	assert.Equal(t, "up to 7 fl oz every ten minutes", US.SayBetween(-per10, 7*per10))
	assert.Equal(t, "about 7 fl oz every ten minutes", US.SayBetween(7*per10, 7.01*per10))
}

// The words are within what they promise, and can be typed back.
func TestSaidIsReadable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := math.Pow(10, rapid.Float64Range(-10, -4).Draw(t, "exponent"))
		s := rapid.SampledFrom([]System{US, Metric}).Draw(t, "system")
		said, round := strings.CutPrefix(s.Say(Flow(x)), "about ")
		u, err := Parse[Flow](said)
		if err != nil {
			t.Fatal(err)
		}
		within := 0.051 // two digits
		if round {
			within = nearEnough
		}
		if off := math.Abs(math.Log(float64(u.Value) / x)); off > math.Log1p(within) {
			t.Fatalf("%v was said as %q, %.1f %% off", x, said, 100*off)
		}
	})
}
