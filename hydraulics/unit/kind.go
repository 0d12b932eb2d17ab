package unit

import (
	"fmt"
	"strings"
	"unicode"
)

// A kind is what can be measured: how its units are written and shown.
type kind struct {
	name  string    // as errors call it: "pressure"
	typ   string    // its Go type: "Pressure"
	want  string    // what an error offers
	units []measure // the first is the SI unit in which it is held
	// over and under are set where a unit may be written as one over another:
	// a flow is a volume over a duration.
	over, under *kind
	sums        bool // "5 ft 6 in" is allowed
	aboveZero   bool // nothing lies below zero of the SI unit
	show        [2][]rung
}

// A measure is one unit.
type measure struct {
	symbol string  // as shown, and as an error suggests it
	scale  float64 // SI units in one of these
	names  string  // spellings beside the symbol, squeezed as [squeeze] does
	many   string  // the symbol after any number but 1; empty: the same
	// spread is the standard deviation of the unit itself over its size: a
	// drip is not always the same drip.
	spread float64
	// Scales that do not begin at absolute zero: to and from kelvins, and
	// where water freezes.
	toK    func(float64) Temperature
	fromK  func(Temperature) float64
	freeze float64
}

// A rung says that a unit is natural from this size up, in SI units.
type rung struct {
	from   float64
	symbol string
}

const (
	minute = 60.0
	hour   = 60 * minute
	day    = 24 * hour
)

var pressures = kind{
	name: "pressure", typ: "Pressure", want: "psi, bar, kPa or Pa",
	units: []measure{
		{symbol: "Pa", scale: 1, names: "pascal pascals"},
		{symbol: "psi", scale: float64(PSI), names: "psig lb/in2 lbs/in2 lbf/in2"},
		{symbol: "kPa", scale: float64(Kilopascal), names: "kilopascal kilopascals"},
		{symbol: "bar", scale: float64(Bar), names: "bars barg"},
		{symbol: "mbar", scale: float64(Bar / 1000), names: "millibar millibars"},
		{symbol: "MPa", scale: float64(Megapascal), names: "megapascal megapascals"},
		{symbol: "mPa", scale: 1e-3}, // only so that mPa is not taken for MPa
	},
	show: [2][]rung{{{0, "psi"}}, {{float64(Bar / 10), "bar"}, {100, "kPa"}, {0, "Pa"}}},
}

var absPressures = kind{
	name: "absolute pressure", typ: "AbsPressure", want: "psia, bar abs, kPa abs or Pa abs", aboveZero: true,
	units: []measure{
		{symbol: "Pa abs", scale: 1, names: "paabs paa"},
		{symbol: "psia", scale: float64(PSIA), names: "psiabs"},
		{symbol: "kPa abs", scale: 1e3, names: "kpaabs kpaa"},
		{symbol: "bar abs", scale: 1e5, names: "barabs bara"},
		{symbol: "atm", scale: float64(Atmosphere), names: "atmosphere atmospheres"},
	},
	show: [2][]rung{{{0, "psia"}}, {{1e4, "bar abs"}, {100, "kPa abs"}, {0, "Pa abs"}}},
}

var volumes = kind{
	name: "volume", typ: "Volume", want: "gal, cups, fl oz, L or mL", sums: true,
	units: []measure{
		{symbol: "m3", scale: 1, names: "cubicmetre cubicmetres cubicmeter cubicmeters"},
		{symbol: "L", scale: float64(Litre), names: "litre litres liter liters ltr"},
		{symbol: "mL", scale: float64(Millilitre), names: "millilitre millilitres milliliter milliliters cc cm3"},
		{symbol: "gal", scale: float64(USGallon), names: "gallon gallons gals usgal usgallon usgallons"},
		{symbol: "qt", scale: float64(Quart), names: "quart quarts qts"},
		{symbol: "pt", scale: float64(Pint), names: "pint pints pts"},
		{symbol: "cup", scale: float64(Cup), many: "cups"},
		{symbol: "fl oz", scale: float64(FluidOunce), names: "floz oz ounce ounces fluidounce fluidounces usfloz"},
		{symbol: "tbsp", scale: float64(Tablespoon), names: "tbs tablespoon tablespoons tablespoonful tablespoonfuls"},
		{symbol: "tsp", scale: float64(Teaspoon), names: "teaspoon teaspoons teaspoonful teaspoonfuls"},
		{symbol: "in3", scale: float64(CubicInch), names: "cuin cubicinch cubicinches"},
		{symbol: "ft3", scale: 12 * 12 * 12 * float64(CubicInch), names: "cuft cubicfoot cubicfeet"},
		{symbol: "drip", scale: float64(Drip), names: "drop drops", many: "drips", spread: float64(DripSpread / Drip)},
	},
	show: [2][]rung{
		{{float64(USGallon / 2), "gal"}, {float64(Cup), "cup"}, {0, "fl oz"}},
		{{float64(Litre), "L"}, {0, "mL"}},
	},
}

var durations = kind{
	name: "duration", want: "s, min or h", sums: true, aboveZero: true,
	units: []measure{
		{symbol: "s", scale: 1, names: "sec secs second seconds"},
		{symbol: "ms", scale: 1e-3, names: "millisecond milliseconds"},
		{symbol: "us", scale: 1e-6, names: "microsecond microseconds"},
		{symbol: "ns", scale: 1e-9, names: "nanosecond nanoseconds"},
		{symbol: "min", scale: minute, names: "mins minute minutes m"},
		{symbol: "h", scale: hour, names: "hr hrs hour hours"},
		{symbol: "day", scale: day, names: "days d"},
		{symbol: "week", scale: 7 * day, names: "weeks wk"},
	},
}

var flows = kind{
	name: "flow", typ: "Flow", want: "gpm, cups/h, L/min, mL/min or drips/min", over: &volumes, under: &durations,
	units: []measure{
		{symbol: "m3/s", scale: 1},
		{symbol: "gpm", scale: float64(GPM), names: "gal/min usgpm"},
		{symbol: "L/min", scale: float64(LitrePerMinute), names: "lpm"},
		{symbol: "mL/min", scale: float64(MillilitrePerMinute)},
		{symbol: "L/s", scale: float64(LitrePerSecond), names: "lps"},
		{symbol: "gph", scale: float64(USGallon) / hour, names: "gal/h gal/hr"},
		{symbol: "fl oz/min", scale: float64(FluidOunce) / minute},
		{symbol: "fl oz/h", scale: float64(FluidOunce) / hour},
		{symbol: "fl oz/day", scale: float64(FluidOunce) / day},
		{symbol: "mL/h", scale: float64(Millilitre) / hour},
		{symbol: "mL/day", scale: float64(Millilitre) / day},
	},
	show: [2][]rung{
		{{float64(GPM / 10), "gpm"}, {float64(FluidOunce) / minute / 10, "fl oz/min"}, {float64(FluidOunce) / hour / 10, "fl oz/h"}, {0, "fl oz/day"}},
		{{float64(LitrePerMinute / 2), "L/min"}, {float64(MillilitrePerMinute / 10), "mL/min"}, {float64(Millilitre) / hour / 10, "mL/h"}, {0, "mL/day"}},
	},
}

var lengths = kind{
	name: "length", typ: "Length", want: "ft, in, m or mm", sums: true,
	units: []measure{
		{symbol: "m", scale: 1, names: "metre metres meter meters"},
		{symbol: "ft", scale: float64(Foot), names: "' foot feet"},
		{symbol: "in", scale: float64(Inch), names: "\" inch inches"},
		{symbol: "mm", scale: float64(Millimetre), names: "millimetre millimetres millimeter millimeters"},
		{symbol: "cm", scale: float64(Centimetre), names: "centimetre centimetres centimeter centimeters"},
		{symbol: "um", scale: 1e-6, names: "micron microns micrometre micrometres"},
	},
	show: [2][]rung{{{float64(Foot), "ft"}, {0, "in"}}, {{1, "m"}, {1e-4, "mm"}, {0, "um"}}},
}

var areas = kind{
	name: "area", typ: "Area", want: "in2, mm2 or m2",
	units: []measure{
		{symbol: "m2", scale: 1, names: "sqm"},
		{symbol: "cm2", scale: 1e-4, names: "sqcm"},
		{symbol: "mm2", scale: float64(SquareMillimetre), names: "sqmm"},
		{symbol: "in2", scale: float64(SquareInch), names: "sqin squareinch squareinches"},
		{symbol: "ft2", scale: 144 * float64(SquareInch), names: "sqft squarefoot squarefeet"},
	},
	show: [2][]rung{{{144 * float64(SquareInch), "ft2"}, {0, "in2"}}, {{0.1, "m2"}, {0, "mm2"}}},
}

var speeds = kind{
	name: "speed", typ: "Speed", want: "ft/s or m/s", over: &lengths, under: &durations,
	units: []measure{
		{symbol: "m/s", scale: 1},
		{symbol: "ft/s", scale: float64(FootPerSecond), names: "fps"},
	},
	show: [2][]rung{{{0, "ft/s"}}, {{0, "m/s"}}},
}

var temperatures = kind{
	name: "temperature", typ: "Temperature", want: "°F, °C or K", aboveZero: true,
	units: []measure{
		{symbol: "K", scale: 1, names: "kelvin kelvins"},
		{symbol: "°C", scale: 1, names: "C degC degreesC degreeC celsius degreescelsius", toK: Celsius, fromK: Temperature.Celsius},
		{symbol: "°F", scale: float64(FahrenheitDegree), names: "F degF degreesF degreeF fahrenheit degreesfahrenheit", toK: Fahrenheit, fromK: Temperature.Fahrenheit, freeze: 32},
	},
	show: [2][]rung{{{0, "°F"}}, {{0, "°C"}}},
}

var temperatureDiffs = kind{
	name: "temperature difference", typ: "TemperatureDiff", want: "°F, °C or K",
	units: []measure{
		{symbol: "K", scale: 1, names: "kelvin kelvins"},
		{symbol: "°C", scale: 1, names: "C degC degreesC degreeC celsius"},
		{symbol: "°F", scale: float64(FahrenheitDegree), names: "F degF degreesF degreeF fahrenheit"},
	},
	show: [2][]rung{{{0, "°F"}}, {{0, "K"}}},
}

var compliances = kind{
	name: "compliance", typ: "Compliance", want: "mL/psi, mL/bar or m3/Pa", over: &volumes, under: &pressures,
	units: []measure{
		{symbol: "m3/Pa", scale: 1},
		{symbol: "mL/psi", scale: float64(MillilitrePerPSI)},
		{symbol: "mL/bar", scale: float64(MillilitrePerBar)},
	},
	show: [2][]rung{{{0, "mL/psi"}}, {{0, "mL/bar"}}},
}

var densities = kind{
	name: "density", typ: "Density", want: "kg/m3, lb/ft3 or lb/gal", over: &masses, under: &volumes,
	units: []measure{
		{symbol: "kg/m3", scale: 1},
		{symbol: "lb/ft3", scale: 0.45359237 / (0.3048 * 0.3048 * 0.3048)},
	},
	show: [2][]rung{{{0, "lb/ft3"}}, {{0, "kg/m3"}}},
}

var viscosities = kind{
	name: "viscosity", typ: "Viscosity", want: "cP, mPa s or Pa s",
	units: []measure{
		{symbol: "Pa s", scale: 1, names: "pas"},
		{symbol: "mPa s", scale: 1e-3, names: "mpas"},
		{symbol: "cP", scale: float64(Centipoise), names: "centipoise"},
		{symbol: "P", scale: 0.1, names: "poise"},
	},
	show: [2][]rung{{{0, "cP"}}, {{0, "mPa s"}}},
}

var currents = kind{
	name: "current", typ: "Current", want: "A or mA",
	units: []measure{
		{symbol: "A", scale: 1, names: "amp amps ampere amperes"},
		{symbol: "mA", scale: 1e-3, names: "milliamp milliamps milliampere milliamperes"},
	},
	show: [2][]rung{{{0.1, "A"}, {0, "mA"}}, {{0.1, "A"}, {0, "mA"}}},
}

var charges = kind{
	name: "charge", typ: "Charge", want: "Ah or mAh",
	units: []measure{
		{symbol: "C", scale: 1, names: "coulomb coulombs"},
		{symbol: "Ah", scale: float64(AmpereHour), names: "amphour amphours amp-hours ampere-hours amperehours"},
		{symbol: "mAh", scale: float64(AmpereHour / 1000)},
	},
	show: [2][]rung{{{360, "Ah"}, {0, "mAh"}}, {{360, "Ah"}, {0, "mAh"}}},
}

var voltages = kind{
	name: "voltage", typ: "Voltage", want: "V or mV",
	units: []measure{
		{symbol: "V", scale: 1, names: "volt volts"},
		{symbol: "mV", scale: 1e-3, names: "millivolt millivolts"},
	},
	show: [2][]rung{{{0, "V"}}, {{0, "V"}}},
}

var masses = kind{
	name: "mass", typ: "Mass", want: "lb, oz, kg or g", sums: true,
	units: []measure{
		{symbol: "kg", scale: 1, names: "kilogram kilograms"},
		{symbol: "g", scale: float64(Gram), names: "gram grams"},
		{symbol: "lb", scale: float64(Pound), names: "lbs pound pounds"},
		{symbol: "oz", scale: float64(Ounce), names: "ounce ounces"},
	},
	show: [2][]rung{{{float64(Pound), "lb"}, {0, "oz"}}, {{1, "kg"}, {0, "g"}}},
}

// kinds is what an error looks through to say what a stray unit measures.
var kinds = []*kind{
	&pressures, &absPressures, &flows, &volumes, &lengths, &areas, &speeds, &temperatures, &compliances,
	&densities, &viscosities, &currents, &charges, &voltages, &masses, &durations,
}

// squeeze leaves out of a unit what makes no difference to it: spaces, dots,
// and whether ³, µ and quotes are the typist's or the printer's.
func squeeze(text string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r), strings.ContainsRune(".·⋅^", r):
			return -1
		case r == '²':
			return '2'
		case r == '³':
			return '3'
		case r == 'µ', r == 'μ':
			return 'u'
		case r == '″', r == '”', r == '“':
			return '"'
		case r == '′', r == '’':
			return '\''
		case r == '⁄':
			return '/'
		case r == 'º':
			return '°'
		}
		return r
	}, text)
}

// spelt reports whether m may be written as key, a squeezed text.
func (m *measure) spelt(key string, same func(a, b string) bool) bool {
	if same(key, squeeze(m.symbol)) || m.many != "" && same(key, m.many) {
		return true
	}
	for name := range strings.FieldsSeq(m.names) {
		if same(key, name) {
			return true
		}
	}
	return false
}

// listed returns the unit of k's own list that text names. Case decides only
// where it makes a difference (mPa, MPa).
func (k *kind) listed(text string) (measure, bool) {
	key := squeeze(text)
	if key == "" {
		return measure{}, false
	}
	for _, same := range []func(a, b string) bool{func(a, b string) bool { return a == b }, strings.EqualFold} {
		for i := range k.units {
			if k.units[i].spelt(key, same) {
				return k.units[i], true
			}
		}
	}
	return measure{}, false
}

// unit returns the unit that text names, listed or put together: "cups per
// hour", "teaspoon a minute", "fl oz every ten minutes", "mL/psi".
func (k *kind) unit(text string) (measure, bool) {
	if m, ok := k.listed(text); ok || k.over == nil {
		return m, ok
	}
	top, bottom, ok := cutRatio(text)
	if !ok {
		return measure{}, false
	}
	over, ok := k.over.unit(top)
	if !ok {
		return measure{}, false
	}
	n, rest, ok := readCount(bottom)
	if !ok {
		n, rest = count{hi: 1}, bottom
	}
	under, ok := k.under.unit(rest)
	scale := over.scale / (n.hi * under.scale)
	if !ok || !(n.hi > 0) || !finite(scale) || scale == 0 {
		return measure{}, false
	}
	return measure{symbol: strings.TrimSpace(text), scale: scale, spread: over.spread}, true
}

// cutRatio parts "cups per hour" at the first stroke or word that means per.
func cutRatio(text string) (top, bottom string, ok bool) {
	for _, stroke := range []string{"/", "⁄"} {
		if top, bottom, ok := strings.Cut(text, stroke); ok {
			return top, bottom, true
		}
	}
	for i, r := range text {
		if !unicode.IsSpace(r) || strings.TrimSpace(text[:i]) == "" {
			continue
		}
		switch word, rest := nextWord(text[i:]); word {
		case "per", "a", "an", "each", "every", "in":
			return text[:i], rest, true
		}
	}
	return "", "", false
}

// explain says why text is no unit of k, and what to write.
func (k *kind) explain(text string) error {
	text = strings.TrimSpace(text)
	if text == "" {
		return fmt.Errorf("missing unit (want %s)", k.want)
	}
	if _, ok := absPressures.listed(text); ok && k == &pressures {
		return fmt.Errorf("%s is above vacuum (absolute), and a pressure above the surrounding air (gauge) is wanted: %s", text, k.want)
	}
	if _, ok := pressures.listed(text); ok && k == &absPressures {
		return fmt.Errorf("%s is above the surrounding air (gauge), and a pressure above vacuum (absolute) is wanted: %s", text, k.want)
	}
	for _, other := range kinds {
		if _, ok := other.unit(text); ok && other != k {
			return fmt.Errorf("%s is a unit of %s (want %s)", text, other.name, k.want)
		}
	}
	if top, bottom, ok := cutRatio(text); ok && k.over != nil {
		if _, ok := k.over.unit(top); !ok {
			return k.over.explain(top)
		}
		if _, rest, ok := readCount(bottom); ok {
			bottom = rest
		}
		if _, ok := k.under.unit(bottom); !ok {
			return k.under.explain(bottom)
		}
	}
	if near := k.near(text); near != "" {
		return fmt.Errorf("unknown unit %q (did you mean %s?)", text, near)
	}
	return fmt.Errorf("unknown unit %q (want %s)", text, k.want)
}

// near returns the symbol of the unit whose spelling is closest to text, or
// nothing if none is close.
func (k *kind) near(text string) string {
	key := strings.ToLower(squeeze(text))
	if len(key) > 30 {
		return ""
	}
	best, symbol := 2+len(key)/4, ""
	for _, m := range k.units {
		for name := range strings.FieldsSeq(squeeze(m.symbol) + " " + m.many + " " + m.names) {
			if d := slips(key, strings.ToLower(name)); d < best && d < len(key) {
				best, symbol = d, m.symbol
			}
		}
	}
	return symbol
}

// slips counts the letters added, lost, changed or swapped with a neighbour
// between a and b (optimal string alignment).
func slips(a, b string) int {
	x, y := []rune(a), []rune(b)
	rows := make([][]int, len(x)+1)
	for i := range rows {
		rows[i] = make([]int, len(y)+1)
		for j := range rows[i] {
			if i == 0 || j == 0 {
				rows[i][j] = i + j
				continue
			}
			change := 1
			if x[i-1] == y[j-1] {
				change = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+change)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(x)][len(y)]
}
