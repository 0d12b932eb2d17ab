package unit

import (
	"errors"
	"math"
	"math/big"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// readable lists what must be read and as what, in SI units. It seeds the fuzz
// target too.
var readable = []struct {
	kind *kind
	text string
	want float64
	sd   float64
}{
	{&pressures, "45 psi", float64(45 * PSI), 0},
	{&pressures, "45PSI", float64(45 * PSI), 0},
	{&pressures, " 45\u00a0psig ", float64(45 * PSI), 0},
	{&pressures, "−3 psi", float64(-3 * PSI), 0},
	{&pressures, "30 psi ± 4", float64(30 * PSI), float64(2 * PSI)},
	{&pressures, "30 psi +/- 4 psi", float64(30 * PSI), float64(2 * PSI)},
	{&pressures, "30 ± 4 psi", float64(30 * PSI), float64(2 * PSI)},
	{&pressures, "30psi±4psi", float64(30 * PSI), float64(2 * PSI)},
	{&pressures, "30 psi ± 10 %", float64(30 * PSI), float64(30*PSI) / 20},
	{&pressures, "30 psi plus or minus 10%", float64(30 * PSI), float64(30*PSI) / 20},
	{&pressures, "2 bar ± 3 psi", 2e5, float64(1.5 * PSI)},
	{&pressures, "3 MPa", 3e6, 0},
	{&pressures, "3 mpa", 3e6, 0},
	{&pressures, "3 mPa", 3e-3, 0},
	{&pressures, "2.5 × 10^5 Pa", 2.5e5, 0},
	{&pressures, "2.5×10⁵ Pa", 2.5e5, 0},
	{&absPressures, "40 psia", float64(40 * PSIA), 0},
	{&absPressures, "101.325 kPa abs", 101.325 * 1e3, 0},
	{&absPressures, "1 atm", 101325, 0},
	{&lengths, "1/2 in", 0.0127, 0},
	{&lengths, "3 1/2 in", float64(3.5 * Inch), 0},
	{&lengths, "3-1/2 in", float64(3.5 * Inch), 0},
	{&lengths, "3½″", float64(3.5 * Inch), 0},
	{&lengths, "5'6\"", float64(5*Foot) + float64(6*Inch), 0},
	{&lengths, "5 ft 6 in ± 1 in", float64(5*Foot) + float64(6*Inch), float64(Inch / 2)},
	{&lengths, "-5 ft 6 in", -(float64(5*Foot) + float64(6*Inch)), 0},
	{&lengths, "5’ 6”", float64(5*Foot) + float64(6*Inch), 0},
	{&lengths, "1⁄2 in.", 0.0127, 0},
	{&lengths, "12 μm", 12 * 1e-6, 0}, // Greek mu; the next has the micro sign
	{&lengths, "12 µm", 12 * 1e-6, 0},
	{&volumes, "¼ cup", float64(Cup / 4), 0},
	{&volumes, "1/4 cup", float64(Cup / 4), 0},
	{&volumes, "half a cup", float64(Cup / 2), 0},
	{&volumes, "a quarter of a cup", float64(Cup / 4), 0},
	{&volumes, "Two and a half gallons", float64(2.5 * USGallon), 0},
	{&volumes, "2floz", float64(2 * FluidOunce), 0},
	{&volumes, "2 fl. oz.", float64(2 * FluidOunce), 0},
	{&volumes, "a quart", float64(Quart), 0},
	{&volumes, "1 pint", float64(Pint), 0},
	{&volumes, "2 tbsp", float64(2 * Tablespoon), 0},
	{&volumes, "3 tsp", float64(3 * Teaspoon), 0},
	{&volumes, "37.8 in³", float64(37.8 * CubicInch), 0},
	{&volumes, "5 drips", float64(5 * Drip), float64(5 * DripSpread)},
	{&flows, "2.2 gpm", float64(2.2 * GPM), 0},
	{&flows, "2.2 gal/min", float64(2.2 * GPM), 0},
	{&flows, "55 mL/min", float64(55 * MillilitrePerMinute), 0},
	{&flows, "6 L/min ± 5 %", float64(6 * LitrePerMinute), 6 * float64(LitrePerMinute) / 40},
	{&flows, "a teaspoon a minute", float64(Teaspoon) / 60, 0},
	{&flows, "2 cups/h", 2 * float64(Cup) / 3600, 0},
	{&flows, "2 cups per hour", 2 * float64(Cup) / 3600, 0},
	{&flows, "half a cup an hour", float64(Cup) / 7200, 0},
	{&flows, "2 cups in 10 minutes", 2 * float64(Cup) / 600, 0},
	{&flows, "an ounce every ten minutes", float64(FluidOunce) / 600, 0},
	{&flows, "2.1 fl oz per 10 min", 2.1 * float64(FluidOunce) / 600, 0},
	{&flows, "1 gal/day", float64(USGallon) / 86400, 0},
	{&flows, "3 gal / h", 3 * float64(USGallon) / 3600, 0},
	{&flows, "2.5e-7 m³/s", 2.5e-7, 0},
	{&flows, "60 drips/min", float64(Drip), float64(DripSpread)},
	{&flows, "60 drips/min ± 12", float64(Drip), math.Hypot(float64(DripSpread), float64(Drip)/10)},
	{&temperatures, "140 F", float64(Fahrenheit(140)), 0},
	{&temperatures, "60 C", 333.15, 0},
	{&temperatures, "60 °C", 333.15, 0},
	{&temperatures, "60 ºC", 333.15, 0}, // the ordinal sign
	{&temperatures, "333 K", 333, 0},
	{&temperatures, "140 °F ± 5", float64(Fahrenheit(140)), 2.5 / 1.8},
	{&temperatures, "140 F ± 3 K", float64(Fahrenheit(140)), 1.5},
	{&temperatureDiffs, "18 °F", 10, 0},
	{&compliances, "2 mL/psi", float64(2 * MillilitrePerPSI), 0},
	{&compliances, "3 mL/bar", 3e-11, 0},
	{&compliances, "1e-10 m3/Pa", 1e-10, 0},
	{&densities, "998.2 kg/m³", 998.2, 0},
	{&viscosities, "1 cP", 1e-3, 0},
	{&viscosities, "0.001 Pa·s", 1e-3, 0},
	{&viscosities, "1 mPa s", 1e-3, 0},
	{&charges, "100 Ah", 360000, 0},
	{&charges, "500 mAh", 1800, 0},
	{&currents, "7.5 A ± 0.5", 7.5, 0.25},
	{&currents, "90 mA", 90 * 1e-3, 0},
	{&voltages, "12.6 V", 12.6, 0},
	{&speeds, "5 ft/s", float64(5 * FootPerSecond), 0},
	{&speeds, "5 in per second", float64(5 * Inch), 0},
	{&areas, "2 in²", float64(2 * SquareInch), 0},
	{&areas, "2 sq in", float64(2 * SquareInch), 0},
	{&masses, "2 lb. 8 oz.", float64(2.5 * Pound), 0},
	{&masses, "2 lb 8 oz", float64(2.5 * Pound), 0},
	{&masses, "3 kg", 3, 0},
}

func TestReads(t *testing.T) {
	for _, tt := range readable {
		r, err := tt.kind.read(tt.text)
		if !assert.NoError(t, err, "%s %q", tt.kind.name, tt.text) {
			continue
		}
		assert.InEpsilon(t, tt.want, r.value, 4e-16, "%s %q", tt.kind.name, tt.text)
		assert.InDelta(t, tt.sd, r.sd, 1e-14*tt.sd, "%s %q", tt.kind.name, tt.text)
	}
}

// What a rig file says and what a Go program says are the same bits.
func TestReadsAsGoDoes(t *testing.T) {
	assert.Equal(t, float64(45*PSI), value[Pressure](t, "45 psi"))
	assert.Equal(t, float64(0.01*GPM), value[Flow](t, "0.01 gpm"))
	assert.Equal(t, float64(0.01*GPM), value[Flow](t, "0.01 gal/min"))
	assert.Equal(t, float64(3.5*Inch), value[Length](t, "3 1/2 in"))
	assert.Equal(t, float64(Fahrenheit(140)), value[Temperature](t, "140 °F"))
	assert.Equal(t, float64(Celsius(60)), value[Temperature](t, "60 °C"))
}

// refused lists what must not be read, with what the error must say.
var refused = []struct {
	kind *kind
	text string
	want string
}{
	{&pressures, "45", `pressure "45": missing unit (want psi, bar, kPa or Pa)`},
	{&pressures, "45 pis", `pressure "45 pis": unknown unit "pis" (did you mean psi?)`},
	{&pressures, "45 furlongs", `pressure "45 furlongs": unknown unit "furlongs" (want psi, bar, kPa or Pa)`},
	{&pressures, "45 gal", `pressure "45 gal": gal is a unit of volume (want psi, bar, kPa or Pa)`},
	{&pressures, "40 psia", `pressure "40 psia": psia is above vacuum (absolute), and a pressure above the surrounding air (gauge) is wanted: psi, bar, kPa or Pa`},
	{&absPressures, "40 psi", `absolute pressure "40 psi": psi is above the surrounding air (gauge), and a pressure above vacuum (absolute) is wanted: psia, bar abs, kPa abs or Pa abs`},
	{&absPressures, "-1 psia", `below vacuum`},
	{&pressures, "", `pressure "": empty`},
	{&pressures, "  ", `empty`},
	{&pressures, "psi", `missing number before the unit`},
	{&pressures, "full", `want a number, then a unit`},
	{&pressures, "NaN psi", `want a number`},
	{&pressures, "Inf psi", `want a number`},
	{&pressures, "1e999 psi", `too large or too small`},
	{&pressures, "1e308 bar", `too large or too small`},
	{&pressures, "1e-999 psi", `too large or too small`},
	{&volumes, "1e-323 mL", `too large or too small`},
	{&pressures, "0,5 bar", `comma in a number`},
	{&pressures, "1,000 kPa", `comma in a number`},
	{&pressures, "0x10 psi", `unknown unit "x10 psi"`},
	{&pressures, "30 psi ±", `want a number after ±`},
	{&pressures, "30 psi ± -4", `not below zero`},
	{&pressures, "30 psi ± 4 gal", `after ±: gal is a unit of volume`},
	{&pressures, "30 psi ± 4 ± 4", `after ±`},
	{&pressures, "30 psi ± 1e308 bar", `too large or too small`},
	{&pressures, "30 ± 10 %", `missing unit`},
	{&lengths, "5 ft 6 in ± 1", `missing unit after ±`},
	{&lengths, "5 ft 6 in 7 in", `unknown unit`},
	{&lengths, "6 in 5 ft", `unknown unit`},
	{&lengths, "5 ft -6 in", `unknown unit`},
	{&volumes, "2 tablspoon", `did you mean tbsp?`},
	{&flows, "2 cups", `cups is a unit of volume (want gpm, cups/h, L/min, mL/min or drips/min)`},
	{&flows, "2 cusp/h", `unknown unit "cusp" (did you mean cup?)`},
	{&flows, "2 cups/hou", `unknown unit "hou" (did you mean h?)`},
	{&flows, "2 cups/0 h", `unknown unit`},
	{&temperatures, "140", `temperature "140": missing unit (want °F, °C or K)`},
	{&temperatures, "140 F ± 5 %", `a percentage of a temperature`},
	{&temperatures, "-500 F", `below absolute zero`},
	{&masses, strings.Repeat("9", 300) + " kg", `longer than 200 bytes`},
}

func TestRefuses(t *testing.T) {
	for _, tt := range refused {
		_, err := tt.kind.read(tt.text)
		if assert.Error(t, err, "%s %q", tt.kind.name, tt.text) {
			full := (&ParseError{tt.kind.name, tt.text, err.Error()}).Error()
			assert.Contains(t, full, tt.want)
			assert.Less(t, len(full), 600)
		}
	}
	_, err := Parse[Pressure]("45")
	var parse *ParseError
	require.True(t, errors.As(err, &parse))
	assert.Equal(t, ParseError{"pressure", "45", "missing unit (want psi, bar, kPa or Pa)"}, *parse)
}

func TestEverySpellingNamesOneUnit(t *testing.T) {
	for _, k := range append([]*kind{&temperatureDiffs}, kinds...) {
		seen := map[string]string{}
		for _, m := range k.units {
			for _, name := range append(strings.Fields(m.names), m.symbol, m.plural(""), m.plural("1")) {
				key := squeeze(name)
				if had, ok := seen[key]; ok {
					assert.Equal(t, had, m.symbol, "%s spells two units of %s", name, k.name)
				}
				seen[key] = m.symbol
				got, ok := k.unit(name)
				assert.True(t, ok && got.symbol == m.symbol, "%s of %s", name, k.name)
			}
			assert.Positive(t, m.scale)
		}
		assert.Equal(t, 1.0, k.units[0].scale, k.name)
		for _, offered := range strings.FieldsFunc(strings.ReplaceAll(k.want, " or ", ", "), func(r rune) bool { return r == ',' }) {
			_, ok := k.unit(offered)
			assert.True(t, ok, "%s offers %q", k.name, offered)
		}
	}
}

func TestLongNumbersKeepTheirDigits(t *testing.T) {
	// 1 and 0.4 of the step to the next float64: the nearest is 1, and the rest is kept.
	n, _, ok := readCount("-1.000000000000000088817841970012523")
	require.True(t, ok)
	require.NotNil(t, n.long)
	assert.Equal(t, -1.0, n.hi)
	v, _ := n.long.Float64()
	assert.Equal(t, -1.0, v)
	assert.NotZero(t, n.long.Cmp(big.NewFloat(-1)))
	short, _, _ := readCount("1.0000000000000001")
	assert.Nil(t, short.long)
}

func TestSumIsOrderedAndSigned(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		feet, inches := rapid.IntRange(-200, 200).Draw(t, "ft"), rapid.IntRange(0, 11).Draw(t, "in")
		text := plain(float64(feet)) + " ft " + plain(float64(inches)) + " in"
		u, err := Parse[Length](text)
		if err != nil {
			t.Fatal(err)
		}
		want := math.Abs(float64(feet)) + float64(inches)/12
		if feet < 0 {
			want = -want
		}
		if math.Abs(u.Value.Feet()-want) > 1e-12 {
			t.Fatalf("%s = %v ft", text, u.Value.Feet())
		}
	})
}

// A person's text never panics; what is read is finite, is written again and
// read back bit for bit; and rewriting it to the same value leaves it alone.
func FuzzParse(f *testing.F) {
	for _, tt := range readable {
		f.Add(tt.text, 1.0)
	}
	for _, tt := range refused {
		f.Add(tt.text, 0.1)
	}
	for _, text := range []string{"1:35", "1:20:00 ± 2 s", "half an hour", "1h20m"} {
		f.Add(text, 3.7)
	}
	f.Fuzz(func(t *testing.T, text string, factor float64) {
		fuzzOne[Pressure](t, text, factor)
		fuzzOne[AbsPressure](t, text, factor)
		fuzzOne[Flow](t, text, factor)
		fuzzOne[Volume](t, text, factor)
		fuzzOne[Length](t, text, factor)
		fuzzOne[Area](t, text, factor)
		fuzzOne[Speed](t, text, factor)
		fuzzOne[Temperature](t, text, factor)
		fuzzOne[TemperatureDiff](t, text, factor)
		fuzzOne[Compliance](t, text, factor)
		fuzzOne[Density](t, text, factor)
		fuzzOne[Viscosity](t, text, factor)
		fuzzOne[Current](t, text, factor)
		fuzzOne[Charge](t, text, factor)
		fuzzOne[Voltage](t, text, factor)
		fuzzOne[Mass](t, text, factor)
		if v, sd, err := ParseDuration(text); err == nil && (v < 0 || sd < 0) {
			t.Fatalf("%q = %v ± %v", text, v, sd)
		}
	})
}

func fuzzOne[Q Quantity](t *testing.T, text string, factor float64) {
	u, err := Parse[Q](text)
	if err != nil {
		return
	}
	if !finite(float64(u.Value)) || !finite(u.SD) || u.SD < 0 {
		t.Fatalf("%q = %v, SD %v", text, float64(u.Value), u.SD)
	}
	si, err := u.Value.MarshalText()
	if err != nil {
		t.Fatal(err)
	}
	var back Uncertain[Q]
	if err := back.UnmarshalText(si); err != nil || !same(float64(back.Value), float64(u.Value)) {
		t.Fatalf("%q, written as %q, came back as %v (%v)", text, si, float64(back.Value), err)
	}
	if again := Rewrite(text, u.Value); again != text {
		t.Fatalf("%q rewritten to its own value as %q", text, again)
	}
	changed := Q(float64(u.Value) * factor)
	if _, err := changed.MarshalText(); err != nil {
		return
	}
	again, err := Parse[Q](Rewrite(text, changed))
	if err != nil || !same(float64(again.Value), float64(changed)) {
		t.Fatalf("%q rewritten to %v as %q (%v)", text, float64(changed), Rewrite(text, changed), err)
	}
}

func BenchmarkParse(b *testing.B) {
	for _, text := range []string{"45 psi", "30 psi ± 4"} {
		b.Run("text="+text, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Parse[Pressure](text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
