package unit

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"time"
)

// ParseDuration reads a time as people write it and how far it could be off,
// one standard deviation (zero where none was told):
//
//	95 s    1 h 20 min    1:35 (min:s)    1:20:00 (h:min:s)    half an hour    ten minutes
//	95 s ± 2    95 ± 2 s    20 min ± 10 %    1:35 ± 2 s
//
// and what time.ParseDuration reads, such as 1m35s. As in [Parse], what
// follows ± is two standard deviations. A missing unit, a time below zero and
// one beyond time.Duration (292 years) are refused with a [*ParseError].
func ParseDuration(text string) (value, sd time.Duration, err error) {
	k := &durations
	r, errRead := k.read(text)
	if errRead != nil {
		left, right, told := cutTolerance(text)
		if seconds, ok := readClock(left); ok && len(text) <= longest {
			r, errRead = reading{amount: amount{value: seconds, unit: k.units[0], sum: true}}, nil
			if told {
				r.sd, errRead = k.tolerance(r.amount, right)
				r.sd /= 2
			}
		} else if strings.Contains(left, ":") {
			errRead = errors.New("want min:s or h:min:s, such as 1:35")
		}
	}
	if errRead == nil {
		value, sd, errRead = nanoseconds(r)
	}
	if errRead != nil {
		return 0, 0, &ParseError{k.name, text, errRead.Error()}
	}
	return value, sd, nil
}

func nanoseconds(r reading) (value, sd time.Duration, err error) {
	const most = float64(math.MaxInt64) // rounds up to 2⁶³, which does not fit
	v, s := math.Round(r.value*1e9), math.Round(r.sd*1e9)
	if !(v < most) || !(s < most) {
		return 0, 0, errors.New("longer than 292 years")
	}
	return time.Duration(v), time.Duration(s), nil
}

// readClock reads 1:35, 1:35.5 and 1:20:00 in seconds.
func readClock(text string) (seconds float64, ok bool) {
	fields := strings.Split(strings.TrimSpace(text), ":")
	if len(fields) < 2 || len(fields) > 3 {
		return 0, false
	}
	for i, f := range fields {
		whole, part, dotted := strings.Cut(f, ".")
		if strings.Trim(whole+part, "0123456789") != "" || whole == "" || i > 0 && len(whole) != 2 || dotted && i < len(fields)-1 {
			return 0, false
		}
		x, err := strconv.ParseFloat(f, 64)
		if err != nil || i > 0 && x >= 60 {
			return 0, false
		}
		seconds = float64(seconds*60) + x
	}
	return seconds, true
}
