package unit

import "math"

// A said is an amount or a period as people say it. Only amounts that a
// kitchen measures and periods that a person waits are here.
type said struct {
	si    float64
	words string
}

var (
	usAmounts = []said{
		{float64(Teaspoon / 2), "half a teaspoon"}, {float64(Teaspoon), "a teaspoon"}, {float64(2 * Teaspoon), "two teaspoons"},
		{float64(Tablespoon), "a tablespoon"}, {float64(FluidOunce), "a fluid ounce"}, {float64(Cup / 4), "a quarter cup"},
		{float64(Cup / 2), "half a cup"}, {float64(Cup), "a cup"}, {float64(2 * Cup), "two cups"}, {float64(Quart), "a quart"},
		{float64(USGallon / 2), "half a gallon"}, {float64(USGallon), "a gallon"}, {float64(2 * USGallon), "two gallons"},
	}
	metricAmounts = []said{
		{1e-6, "1 mL"}, {2e-6, "2 mL"}, {5e-6, "5 mL"}, {10e-6, "10 mL"}, {20e-6, "20 mL"}, {50e-6, "50 mL"}, {100e-6, "100 mL"},
		{200e-6, "200 mL"}, {500e-6, "half a litre"}, {1e-3, "a litre"}, {2e-3, "two litres"}, {5e-3, "five litres"},
	}
	periods = []said{{minute, "a minute"}, {10 * minute, "every ten minutes"}, {hour, "an hour"}, {day, "a day"}}
)

// nearEnough is how far an amount may lie from a round one and still be called
// "about" it. Nobody measures a drip into a cup to better than this.
const nearEnough = 0.10

// Say returns a small flow as people say it: "about a cup every ten minutes"
// where a round amount lies within 10 %, else "2.3 fl oz every ten minutes".
// From a tenth of a gallon a minute up it returns what Format does. [Parse]
// reads all but the word about.
func (s System) Say(q Flow) string {
	x := float64(q)
	if x == 0 {
		return "no flow"
	}
	if !(x > 0) || q >= GPM/10 || math.IsInf(x, 0) {
		return s.Format(q, 2)
	}
	amounts := usAmounts
	if s == Metric {
		amounts = metricAmounts
	}
	best, text := math.Log1p(nearEnough), ""
	for _, p := range periods {
		for _, a := range amounts {
			// Of equals the first wins, so it must be beaten by more than rounding.
			if off := math.Abs(math.Log(x * p.si / a.si)); off < best-1e-9 {
				best, text = off, "about "+a.words+" "+p.words
			}
		}
	}
	if text != "" {
		return text
	}
	p := waitFor(x)
	return s.Format(Volume(x*p.si), 2) + " " + p.words
}

// SayBetween returns the range of a small flow as people say it, both ends
// caught in one period and measured in one unit: "between 2 and 8 fl oz every
// ten minutes". A low end at or below zero gives "up to 8 fl oz every ten
// minutes".
func (s System) SayBetween(low, high Flow) string {
	p := waitFor(float64(high))
	l, h := Volume(float64(low)*p.si), Volume(float64(high)*p.si)
	in := UnitFor(s, h)
	if l > 0 && in.Of(l) < 0.1 { // a wide range: nobody pictures a hundredth of a cup
		in = UnitFor(s, l)
	}
	top := in.Format(h, 2) + " " + p.words
	switch from := significant(in.Of(l), 2); {
	case !(low > 0):
		return "up to " + top
	case from == significant(in.Of(h), 2):
		return "about " + top
	default:
		return "between " + from + " and " + top
	}
}

// waitFor returns the shortest period in which a flow of x m³/s fills
// something worth measuring, a fluid ounce.
func waitFor(x float64) said {
	for _, p := range periods {
		if x*p.si >= float64(FluidOunce) {
			return p
		}
	}
	return periods[len(periods)-1]
}
