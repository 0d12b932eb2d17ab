package scene

import (
	"math"
	"strconv"
	"strings"
)

// Span is a time of so many seconds as people count it, to whole seconds below two
// minutes and to two figures otherwise: "95 s", "12 min".
func Span(s float64) string {
	const minute, hour, day = 60, 3600, 86400
	two := func(x float64, name string) string { return figures(x, 2) + " " + name }
	switch a := math.Abs(s); {
	case a < 0.05:
		return "0 s"
	case math.Round(a) < 2*minute && a >= 10:
		return strconv.FormatFloat(math.Round(s), 'f', 0, 64) + " s"
	case a < 10:
		return two(s, "s")
	case a < 2*hour:
		return two(s/minute, "min")
	case a < 2*day:
		return two(s/hour, "h")
	}
	return two(s/day, "days")
}

// figures writes x to n figures, without zeros that say nothing.
func figures(x float64, n int) string {
	r, err := strconv.ParseFloat(strconv.FormatFloat(x, 'e', n-1, 64), 64)
	if err != nil {
		return "0"
	}
	return strconv.FormatFloat(r, 'f', -1, 64)
}

// Pace says how fast the clock goes, at a rate of simulated seconds a second: "60×" and
// "a minute a second".
func Pace(rate float64) (times, words string) {
	times = figures(rate, 2) + "×"
	if rate >= 99.5 {
		times = strings.TrimSuffix(figures(rate, 2), ".0") + "×"
	}
	switch {
	case rate < 1.05:
		return times, "as in life"
	case math.Abs(rate-60) < 0.5:
		return times, "a minute a second"
	case rate < 100:
		return times, figures(rate, 2) + " s a second"
	}
	return times, figures(rate/60, 2) + " min a second"
}
