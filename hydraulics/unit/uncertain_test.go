package unit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestIntervalIsTwoStandardDeviations(t *testing.T) {
	u, err := Parse[Pressure]("30 psi ± 4")
	require.NoError(t, err)
	low, high := u.Interval()
	assert.InEpsilon(t, 26, low.PSI(), 1e-12)
	assert.InEpsilon(t, 34, high.PSI(), 1e-12)
	assert.Equal(t, "30 ± 4 psi", u.String())
	assert.Equal(t, "2.07 ± 0.28 bar", u.In(Metric, 3))

	hot, err := Parse[Temperature]("140 °F ± 9")
	require.NoError(t, err)
	assert.Equal(t, "60 ± 5 °C", hot.In(Metric, 3))
}

func TestUncertainKeepsItsText(t *testing.T) {
	for text, changed := range map[string]string{
		"30 psi ± 4":       "32 psi ± 4",
		"30 psi +/- 4 psi": "32 psi +/- 4 psi",
		"30 ± 4 psi":       "32 psi ± 4 psi",
	} {
		u, err := Parse[Pressure](text)
		require.NoError(t, err)
		out, err := u.MarshalText()
		require.NoError(t, err)
		assert.Equal(t, text, string(out))

		u.Value = 32 * PSI
		out, err = u.MarshalText()
		require.NoError(t, err)
		assert.Equal(t, changed, string(out))
	}
	// A percentage cannot stand beside a changed value: it would change too.
	u, err := Parse[Pressure]("30 psi ± 10 %")
	require.NoError(t, err)
	u.Value = 2 * Bar
	out, err := u.MarshalText()
	require.NoError(t, err)
	assert.Equal(t, "200000 Pa ± "+number(2*u.SD)+" Pa", string(out))
}

func TestUncertainReturnsBitForBit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := Uncertain[Flow]{
			Value: Flow(anyFloat().Draw(t, "value")),
			SD:    math.Abs(anyFloat().Draw(t, "sd")),
			Text:  rapid.SampledFrom([]string{"", "2 cups/h ± 1", "60 drips/min", "1/2 gpm ± 10 %", "nonsense"}).Draw(t, "text"),
		}
		text, err := u.MarshalText()
		if !finite(float64(u.Value)) || !finite(2*u.SD) {
			if err == nil {
				t.Fatalf("%v was written as %q", u.SD, text)
			}
			return
		}
		var back Uncertain[Flow]
		if err := back.UnmarshalText(text); err != nil {
			t.Fatal(err)
		}
		if !same(float64(back.Value), float64(u.Value)) || back.SD != u.SD {
			t.Fatalf("%v, %v written as %q came back as %v, %v", float64(u.Value), u.SD, text, float64(back.Value), back.SD)
		}
	})
}

func TestRewriteKeepsTheUnit(t *testing.T) {
	for _, tt := range []struct {
		old  string
		new  Flow
		want string
	}{
		{"2 cups/h", 3 * Flow(Cup) / 3600, "3 cups/h"},
		{"a teaspoon a minute", 2.5 * (Flow(Teaspoon) / 60), "2.5 teaspoon a minute"},
		{"55mL/min", 60 * MillilitrePerMinute, "60mL/min"},
		{"½ gpm ± 10 %", 0.75 * GPM, "0.75 gpm ± 10 %"},
		{"60 drips/min", 30 * Flow(Drip) / 60, "30 drips/min"},
		{"nonsense", 2.5e-7, "2.5e-07 m3/s"},
		{"", 2.5e-7, "2.5e-07 m3/s"},
	} {
		assert.Equal(t, tt.want, Rewrite(tt.old, tt.new))
	}
	assert.Equal(t, "5.25'", Rewrite(`5'6"`, 5.25*Foot), "a sum goes into its first unit")
	assert.Equal(t, "141.8 F", Rewrite("140 F", Celsius(61)))
	assert.Equal(t, "1e-300 K", Rewrite("140 F", Temperature(1e-300)), "°F cannot hold it")
}

// However odd the value, the text returns it, and in the unit it had.
func TestRewriteReturnsBitForBit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := math.Copysign(math.Pow(10, rapid.Float64Range(-30, 30).Draw(t, "exponent")), rapid.Float64Range(-1, 1).Draw(t, "sign"))
		rewritten(t, Pressure(x), "30 psi ± 4", "3 bar", "12 kPa")
		rewritten(t, Flow(x), "2 cups/h", "0.5 gpm", "an ounce every ten minutes", "60 drips/min", "7 mL/min ± 5 %")
		rewritten(t, Volume(x), "40 gal", "¼ cup", "2 floz", "3 tsp")
		rewritten(t, Length(x), "3 1/2 in", "20 ft", "5'6\"", "12 mm")
		rewritten(t, Compliance(x), "2 mL/psi", "1 fl oz per psi")
		rewritten(t, Temperature(rapid.Float64Range(200, 400).Draw(t, "kelvins")), "140 F", "60 °C ± 3", "300 K")
	})
}

func rewritten[Q Quantity](t *rapid.T, value Q, olds ...string) {
	for _, old := range olds {
		text := Rewrite(old, value)
		u, err := Parse[Q](text)
		if err != nil {
			t.Fatal(err)
		}
		k, v := value.measured()
		if !same(float64(u.Value), v) {
			t.Fatalf("%q rewritten to %v as %q, which reads %v", old, v, text, float64(u.Value))
		}
		was, _ := k.read(old)
		is, _ := k.read(text)
		if was.unit.symbol != is.unit.symbol {
			t.Fatalf("%q rewritten to %v left its unit: %q", old, v, text)
		}
	}
}
