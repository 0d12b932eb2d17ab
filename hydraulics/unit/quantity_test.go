package unit

import (
	"encoding"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/testdata/checks"
)

// Every quantity is all of these.
type whole interface {
	Any
	fmt.Formatter
}

var (
	everyQuantity = []whole{Pressure(0), AbsPressure(0), Flow(0), Volume(0), Length(0), Area(0), Speed(0), Temperature(0),
		TemperatureDiff(0), Compliance(0), Density(0), Viscosity(0), Current(0), Charge(0), Voltage(0), Mass(0)}
	_ = []encoding.TextUnmarshaler{new(Pressure), new(AbsPressure), new(Flow), new(Volume), new(Length), new(Area),
		new(Speed), new(Temperature), new(TemperatureDiff), new(Compliance), new(Density), new(Viscosity),
		new(Current), new(Charge), new(Voltage), new(Mass), new(System), new(Uncertain[Flow])}
)

func TestStringIsWhatVPrints(t *testing.T) {
	for _, q := range everyQuantity {
		assert.Equal(t, fmt.Sprintf("%v", q), q.String())
		_, unit, found := strings.Cut(q.String(), " ")
		assert.True(t, found && unit != "", "%T", q)
		k, _ := q.measured()
		assert.Equal(t, fmt.Sprintf("%T", q), "unit."+k.typ)
	}
}

func TestConstantsAsPrinted(t *testing.T) {
	const (
		nist   = "NIST SP 811:2008, Table B.8"
		memory = "NIST SP 811:2008, Table B.8, digits from memory"
	)
	account := checks.Against(t, "NIST SP 811 (2008)")
	for _, tt := range []struct {
		name    string
		got     float64
		printed string
		source  string
	}{
		{"psi", float64(PSI), "6.894757e+03", nist},
		{"psia", float64(PSIA), "6.894757e+03", nist},
		{"gallon per minute", float64(GPM), "6.309020e-05", nist},
		{"gallon", float64(USGallon), "3.785412e-03", nist},
		{"cup", float64(Cup), "2.365882e-04", nist},
		{"fluid ounce", float64(FluidOunce), "2.957353e-05", nist},
		{"cubic inch", float64(CubicInch), "1.638706e-05", nist},
		{"quart, liquid", float64(Quart), "9.463529e-04", memory},
		{"pint, liquid", float64(Pint), "4.731765e-04", memory},
		{"tablespoon", float64(Tablespoon), "1.478676e-05", memory},
		{"teaspoon", float64(Teaspoon), "4.928922e-06", memory},
		{"foot", float64(Foot), "3.048000e-01", memory},
		{"inch", float64(Inch), "2.540000e-02", memory},
		{"square inch", float64(SquareInch), "6.451600e-04", memory},
		{"foot per second", float64(FootPerSecond), "3.048000e-01", memory},
		{"bar", float64(Bar), "1.000000e+05", memory},
		{"standard atmosphere", float64(Atmosphere), "1.013250e+05", memory},
		{"pound, avoirdupois", float64(Pound), "4.535924e-01", memory},
		{"ounce, avoirdupois", float64(Ounce), "2.834952e-02", memory},
		{"centipoise", float64(Centipoise), "1.000000e-03", memory},
		{"ampere hour", float64(AmpereHour), "3.600000e+03", memory},
		{"degree Fahrenheit, a difference", float64(FahrenheitDegree), "5.555556e-01", memory},
		{"pound per cubic foot", value[Density](t, "1 lb/ft3"), "1.601846e+01", memory},
		{"pound per gallon", value[Density](t, "1 lb/gal"), "1.198264e+02", memory},
		{"gallon per day", value[Flow](t, "1 gal/day"), "4.381264e-08", memory},
	} {
		printed, err := strconv.ParseFloat(tt.printed, 64)
		require.NoError(t, err)
		account.Relative(t, tt.source, tt.name+", in SI units", printed, tt.got, 5e-7)
		assert.Equal(t, tt.printed, strconv.FormatFloat(tt.got, 'e', 6, 64), "%s (%s)", tt.name, tt.source)
	}
}

// value reads a text that must be readable.
func value[Q Quantity](t testing.TB, text string) float64 {
	t.Helper()
	u, err := Parse[Q](text)
	require.NoError(t, err)
	return float64(u.Value)
}

func TestMetricConstantsAreExact(t *testing.T) {
	assert.Equal(t, 1000.0, (1 * CubicMetre).Litres())
	assert.Equal(t, 0.5, (12.7 * Millimetre).Inches())
	assert.Equal(t, 6*Teaspoon, FluidOunce)
	assert.Equal(t, 16*Cup, USGallon)
	assert.Equal(t, 60*MillilitrePerMinute, Flow(1e-6))
	assert.Equal(t, float64(MillilitrePerPSI), value[Compliance](t, "1 mL/psi"))
	assert.InEpsilon(t, float64(Millilitre)/float64(PSI), float64(MillilitrePerPSI), 1e-15)
}

// The fixed points of water: BIPM, International Temperature Scale of 1990,
// table 1 (triple point); the rest common practice, no source.
func TestTemperatureScales(t *testing.T) {
	assert.InDelta(t, 273.16, float64(Celsius(0.01)), 1e-12)
	assert.InDelta(t, 273.15, float64(Fahrenheit(32)), 1e-12)
	assert.InDelta(t, 373.15, float64(Fahrenheit(212)), 1e-12)
	assert.InDelta(t, -40, Celsius(-40).Fahrenheit(), 1e-12)
	assert.InDelta(t, 140, Celsius(60).Fahrenheit(), 1e-12)
	assert.InDelta(t, 60, Fahrenheit(140).Celsius(), 1e-12)
}

func TestGaugeAndAbsolute(t *testing.T) {
	p := 45 * PSI
	assert.InEpsilon(t, 59.6959, p.Absolute(Atmosphere).PSIA(), 1e-6) // 14.6959 psi to the atmosphere, NIST SP 811:2008, B.8
	assert.InEpsilon(t, 45, p.Absolute(Atmosphere).Gauge(Atmosphere).PSI(), 1e-12)
}

func TestAccessorsAgreeWithTheirUnits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-1e6, 1e6).Draw(t, "x")
		for name, got := range map[string]float64{
			"psi":     Pressure(x * float64(PSI)).PSI(),
			"bar":     Pressure(x * float64(Bar)).Bar(),
			"kPa":     Pressure(x * float64(Kilopascal)).Kilopascals(),
			"psia":    AbsPressure(x * float64(PSIA)).PSIA(),
			"gpm":     Flow(x * float64(GPM)).GPM(),
			"L/min":   Flow(x * float64(LitrePerMinute)).LitresPerMinute(),
			"mL/min":  Flow(x * float64(MillilitrePerMinute)).MillilitresPerMinute(),
			"gal":     Volume(x * float64(USGallon)).Gallons(),
			"cup":     Volume(x * float64(Cup)).Cups(),
			"fl oz":   Volume(x * float64(FluidOunce)).FluidOunces(),
			"L":       Volume(x * float64(Litre)).Litres(),
			"mL":      Volume(x * float64(Millilitre)).Millilitres(),
			"in":      Length(x * float64(Inch)).Inches(),
			"ft":      Length(x * float64(Foot)).Feet(),
			"mm":      Length(x * float64(Millimetre)).Millimetres(),
			"mL/psi":  Compliance(x * float64(MillilitrePerPSI)).MillilitresPerPSI(),
			"Ah":      Charge(x * float64(AmpereHour)).AmpereHours(),
			"celsius": Celsius(x).Celsius(),
			"F":       Fahrenheit(x).Fahrenheit(),
		} {
			if math.Abs(got-x) > 1e-12*(math.Abs(x)+1000) {
				t.Fatalf("%v %s came back as %v", x, name, got)
			}
		}
	})
}

// A drip of 0.25 mL is one page's choice; the range is what is known.
func TestDrips(t *testing.T) {
	const dripUSGS = 0.25 * Millilitre
	for _, tt := range []struct {
		what   string
		got    float64
		want   float64
		within float64 // relative
		source string
	}{
		{"drips in a gallon", float64(USGallon / dripUSGS), 15140, 5. / 15140, "US Geological Survey, Water Science School, drip accumulator (prints 15,140)"},
		{"drips of 1/3 mL in a gallon", float64(USGallon / (Millilitre / 3)), 11350, 1e-3, "the same, older page (prints 11,350; 3000 drips to the litre give 11,356)"},
		{"10 drips a minute over a year, gal", 10 * 525600 * dripUSGS.Gallons(), 347, 0.5 / 347, "trade page, counting 15,140 drips to the gallon"},
		{"1 drip a minute, m³/s", float64(dripUSGS) / 60, 4.166667e-09, 1e-7, "computed: 0.25e-6/60"},
		{"1 drip a minute, gal/day", 1440 * dripUSGS.Gallons(), 0.0951, 0.00005 / 0.0951, "computed: 1440 × 0.25 mL / 3785.411784 mL"},
		{"60 drips a minute, gal/day", 60 * 1440 * dripUSGS.Gallons(), 5.7061, 0.00005 / 5.7061, "computed, the same"},
		{"120 drips a minute, gal/day", 120 * 1440 * dripUSGS.Gallons(), 11.4122, 0.00005 / 11.4122, "computed, the same"},
	} {
		assert.InEpsilon(t, tt.want, tt.got, tt.within, "%s (%s)", tt.what, tt.source)
	}

	for _, text := range []string{"60 drips/min", "a drip a second", "60 drops per minute", "10 drips every ten seconds"} {
		u, err := Parse[Flow](text)
		require.NoError(t, err)
		low, high := u.Interval()
		assert.InEpsilon(t, 0.05*60, low.MillilitresPerMinute(), 1e-12, text)
		assert.InEpsilon(t, 0.33*60, high.MillilitresPerMinute(), 1e-12, text)
		assert.Greater(t, 0.25*60, low.MillilitresPerMinute())
		assert.Less(t, 0.25*60, high.MillilitresPerMinute())
	}

	// "More than 3000 gallons a year from one drip a second" (US EPA
	// WaterSense) needs a drip of 0.36 mL, larger than any here.
	perDrip := 3000 * USGallon / (365 * 24 * 3600)
	assert.InDelta(t, 0.36, perDrip.Millilitres(), 0.005)
	assert.Greater(t, perDrip, Drip+2*DripSpread)
}
