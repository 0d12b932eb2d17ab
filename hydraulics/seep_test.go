package hydraulics

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/hydraulics/unit"
)

func drawSeep(t *rapid.T) Seep {
	return Seep{
		Ref: unit.Flow(math.Exp(rapid.Float64Range(math.Log(1e-10), math.Log(1e-4)).Draw(t, "ln Ref"))),
		At:  unit.Pressure(rapid.SampledFrom([]float64{0, 1e4, 3e5}).Draw(t, "At")),
		Exp: rapid.SampledFrom([]float64{0, 0.5, 0.8, 1, 1.5}).Draw(t, "Exp"),
	}
}

func TestSeepIsOddRisesAndTurnsRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawSeep(t)
		dp := unit.Pressure(math.Exp(rapid.Float64Range(math.Log(1), math.Log(1e6)).Draw(t, "ln Δp")))
		q := s.Flow(dp)
		assert.Equal(t, -q, s.Flow(-dp))
		assert.Greater(t, s.Flow(dp*1.001), q)
		assert.InEpsilon(t, float64(dp), float64(s.Drop(q)), 1e-12)
		assert.InEpsilon(t, -float64(dp), float64(s.Drop(-q)), 1e-12)
	})
}

func TestSeepZeroValues(t *testing.T) {
	var tight Seep
	assert.True(t, tight.Tight())
	assert.Zero(t, tight.Flow(45*unit.PSI))
	assert.Zero(t, tight.Drop(0))
	assert.True(t, math.IsInf(float64(tight.Drop(1)), 1))
	assert.True(t, math.IsInf(float64(tight.Drop(-1)), -1))

	s := Seep{Ref: unit.MillilitrePerMinute}
	assert.Equal(t, s.Ref, s.Flow(45*unit.PSI), "At is 45 psi if not given")
	assert.InEpsilon(t, 2, float64(s.Flow(180*unit.PSI)/s.Ref), 1e-15, "and the seep an orifice")
}

func TestParseSeep(t *testing.T) {
	ml := unit.MillilitrePerMinute
	for text, want := range map[string]Seep{
		"2 mL/min at 45 psi":           {Ref: 2 * ml, At: 45 * unit.PSI},
		"55 mL/min at 45 psi, orifice": {Ref: 55 * ml, At: 45 * unit.PSI, Exp: 0.5},
		"3 mL/min at 3 bar, film":      {Ref: 3 * ml, At: 3 * unit.Bar, Exp: 1},
		"0.1 gpm at 40 psi,crack":      {Ref: 0.1 * unit.GPM, At: 40 * unit.PSI, Exp: 1.5},
		"1 mL/min at 0.5 Pa":           {Ref: ml, At: 0.5},
		"tight":                        {},
	} {
		got, err := ParseSeep(text)
		require.NoError(t, err, text)
		assert.InDelta(t, float64(want.Ref), float64(got.Ref), 1e-20, text)
		assert.InDelta(t, float64(want.At), float64(got.At), 1e-9, text)
		assert.Equal(t, want.Exp, got.Exp, text)
	}
	for text, want := range map[string]string{
		"2 mL/min":                "no pressure (want a flow at a pressure",
		"2 at 45 psi":             "unit",
		"2 mL/min at 45":          "unit",
		"2 mL/min at 45 psi, gap": `unknown kind "gap" (want orifice, film or crack)`,
		"2 mL/min at 0 psi":       "a pressure not above it",
		"-2 mL/min at 45 psi":     "",
		"":                        "no pressure",
	} {
		_, err := ParseSeep(text)
		require.ErrorContains(t, err, want, text)
		assert.ErrorContains(t, err, fmt.Sprintf("%q", text), "the text is quoted back")
	}
}

func FuzzParseSeep(f *testing.F) {
	for _, text := range []string{"2 mL/min at 45 psi", "55 mL/min at 45 psi, film", "a teaspoon a minute at 3 bar, crack", "tight", " at ,", "60 drips/min ± 10 % at 45 psi"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseSeep(text)
		if err != nil {
			assert.Zero(t, s)
			return
		}
		assert.GreaterOrEqual(t, float64(s.Ref), 0.0)
		assert.False(t, math.IsNaN(float64(s.Flow(1e5))))
	})
}

func ExampleParseSeep() {
	s, err := ParseSeep("2 mL/min at 45 psi, film")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f mL/min at 20 psi\n", float64(s.Flow(20*unit.PSI)/unit.MillilitrePerMinute))
	// Output: 0.89 mL/min at 20 psi
}

func ExampleSeep_Flow() {
	s := Seep{Ref: 2 * unit.MillilitrePerMinute, At: 45 * unit.PSI}
	q := s.Flow(20 * unit.PSI)
	fmt.Printf("%.2f mL/min at 20 psi\n", float64(q/unit.MillilitrePerMinute))
	// Output: 1.33 mL/min at 20 psi
}
