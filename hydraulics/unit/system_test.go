package unit

import (
	"flag"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestNaturalUnits(t *testing.T) {
	for _, tt := range []struct {
		q          Any
		digits     int
		us, metric string
	}{
		{45 * PSI, 3, "45 psi", "3.1 bar"},
		{-0.5 * PSI, 2, "-0.5 psi", "-3.4 kPa"},
		{Pressure(0), 2, "0 psi", "0 bar"},
		{Atmosphere, 4, "14.7 psia", "1.013 bar abs"},
		{2.5 * GPM, 2, "2.5 gpm", "9.5 L/min"},
		{55 * MillilitrePerMinute, 2, "1.9 fl oz/min", "55 mL/min"},
		{MillilitrePerMinute, 2, "2 fl oz/h", "1 mL/min"},
		{0.01 * MillilitrePerMinute, 2, "0.49 fl oz/day", "0.6 mL/h"},
		{40 * USGallon, 2, "40 gal", "150 L"},
		{Cup, 3, "1 cup", "237 mL"},
		{2 * Cup, 3, "2 cups", "473 mL"},
		{2 * FluidOunce, 2, "2 fl oz", "59 mL"},
		{0.475 * Inch, 3, "0.475 in", "12.1 mm"},
		{3.5 * Foot, 3, "3.5 ft", "1.07 m"},
		{Fahrenheit(140), 3, "140 °F", "60 °C"},
		{10 * Kelvin, 2, "18 °F", "10 K"},
		{2 * MillilitrePerPSI, 2, "2 mL/psi", "29 mL/bar"},
		{998.2 * KilogramPerCubicMetre, 4, "62.32 lb/ft³", "998.2 kg/m³"},
		{Centipoise, 2, "1 cP", "1 mPa·s"},
		{7.5 * Ampere, 2, "7.5 A", "7.5 A"},
		{0.02 * Ampere, 2, "20 mA", "20 mA"},
		{100 * AmpereHour, 3, "100 Ah", "100 Ah"},
		{12.6 * Volt, 3, "12.6 V", "12.6 V"},
		{5 * FootPerSecond, 2, "5 ft/s", "1.5 m/s"},
		{2 * SquareInch, 2, "2 in²", "1300 mm²"},
		{2.5 * Pound, 2, "2.5 lb", "1.1 kg"},
		{1234 * PSI, 0, "1200 psi", "85 bar"},
	} {
		assert.Equal(t, tt.us, US.Format(tt.q, tt.digits))
		assert.Equal(t, tt.metric, Metric.Format(tt.q, tt.digits))
	}
}

func TestEveryRungIsAUnit(t *testing.T) {
	for _, k := range append([]*kind{&temperatureDiffs}, kinds...) {
		if k == &durations { // has a printed form of its own, time.Duration's
			continue
		}
		for _, rungs := range k.show {
			require.NotEmpty(t, rungs, k.name)
			for i, r := range rungs {
				_, ok := k.listed(r.symbol)
				assert.True(t, ok, "%s %s", k.name, r.symbol)
				assert.True(t, i == 0 || r.from < rungs[i-1].from, "%s %s", k.name, r.symbol)
			}
			assert.Zero(t, rungs[len(rungs)-1].from, "the smallest must have a unit too")
		}
	}
}

// What is shown can be typed in again, and means the same to the digits shown.
func TestShownTextIsReadable(t *testing.T) {
	t.Run("pressure", readsBack[Pressure])
	t.Run("absolute pressure", readsBack[AbsPressure])
	t.Run("flow", readsBack[Flow])
	t.Run("volume", readsBack[Volume])
	t.Run("length", readsBack[Length])
	t.Run("area", readsBack[Area])
	t.Run("speed", readsBack[Speed])
	t.Run("temperature difference", readsBack[TemperatureDiff])
	t.Run("compliance", readsBack[Compliance])
	t.Run("density", readsBack[Density])
	t.Run("viscosity", readsBack[Viscosity])
	t.Run("current", readsBack[Current])
	t.Run("charge", readsBack[Charge])
	t.Run("voltage", readsBack[Voltage])
	t.Run("mass", readsBack[Mass])
}

func readsBack[Q Quantity](t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := math.Pow(10, rapid.Float64Range(-12, 8).Draw(t, "exponent"))
		s := rapid.SampledFrom([]System{US, Metric}).Draw(t, "system")
		text := s.Format(Q(x), 6)
		u, err := Parse[Q](text)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(float64(u.Value)-x) > 1e-5*x {
			t.Fatalf("%v was shown as %q, which reads %v", x, text, float64(u.Value))
		}
	})
}

func TestShownTemperatureIsReadable(t *testing.T) {
	for c := -30.0; c <= 100; c += 0.7 {
		for _, s := range []System{US, Metric} {
			assert.InDelta(t, c+273.15, value[Temperature](t, s.Format(Celsius(c), 4)), 0.06)
		}
	}
}

func TestUnitForAColumn(t *testing.T) {
	column := []Volume{2 * FluidOunce, 3 * Cup, Cup / 2}
	in := UnitFor(US, column...)
	assert.Equal(t, "cups", in.Symbol())
	assert.Equal(t, "0.25 cups", in.Format(column[0], 2))
	assert.InEpsilon(t, 3, in.Of(column[1]), 1e-15)
	assert.InEpsilon(t, float64(Cup/2), float64(in.From(0.5)), 1e-15)
	assert.Equal(t, "psi", UnitFor[Pressure](US).Symbol())
	assert.Equal(t, "°F", UnitFor(US, Celsius(20)).Symbol())
	assert.InDelta(t, 293.15, float64(UnitFor(US, Celsius(20)).From(68)), 1e-12)
}

func TestSystemIsAFlag(t *testing.T) {
	var s System
	flags := flag.NewFlagSet("", flag.ContinueOnError)
	flags.TextVar(&s, "units", US, "us or metric")
	require.NoError(t, flags.Parse([]string{"-units", "Metric"}))
	assert.Equal(t, Metric, s)
	assert.EqualError(t, s.UnmarshalText([]byte("cubits")), `units "cubits": want us or metric`)
}
