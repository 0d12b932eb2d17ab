package main

import (
	"encoding"
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/floats"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/whatif"
)

// readAxis reads "accumulator: volume = 0.35 L .. 4 L / 6", or a list of values.
func readAxis(rig *network.Rig, text string) (whatif.Axis, error) {
	var a whatif.Axis
	name, values, ok := strings.Cut(text, "=")
	if !ok {
		return a, errors.New("want a part, a field and values, such as 'accumulator: volume = 0.35 L .. 4 L / 6'")
	}
	part, field, ok := cutLast(name, ":")
	if !ok {
		part, field = "", part
	}
	a.Part = strings.TrimSpace(part)
	a.Field = strings.ReplaceAll(strings.TrimSpace(field), " ", "_")
	read := func(text string) (float64, error) { return valueOf(rig, a, strings.TrimSpace(text)) }
	if from, rest, ok := strings.Cut(values, ".."); ok {
		to, count, ok := cutLast(rest, "/")
		n, err := strconv.Atoi(strings.TrimSpace(count))
		if !ok || err != nil || n < 2 || n > 100_000 {
			return a, errors.New("after .. want the last value, a slash and how many there are, such as / 6")
		}
		low, err := read(from)
		if err != nil {
			return a, err
		}
		high, err := read(to)
		if err != nil {
			return a, err
		}
		a.Values = floats.Span(make([]float64, n), low, high)
		return a, nil
	}
	for _, one := range strings.Split(values, ",") {
		x, err := read(one)
		if err != nil {
			return a, err
		}
		a.Values = append(a.Values, x)
	}
	return a, nil
}

func cutLast(s, sep string) (before, after string, ok bool) {
	if i := strings.LastIndex(s, sep); i >= 0 {
		return s[:i], s[i+len(sep):], true
	}
	return s, "", false
}

// quantity is what a column of a table is measured in; nil where it has no unit.
func quantity(rig *network.Rig, part, field string) unit.Any {
	switch {
	case part == "" && field == whatif.Altitude:
		return unit.Length(0)
	case part == "" && field == whatif.Water:
		return unit.Temperature(0)
	case field == whatif.Seep:
		return unit.Flow(0)
	}
	if item, ok := itemOf(rig, part); ok {
		if q, ok := network.Quantity(item, field); ok {
			return q
		}
	}
	return nil
}

func itemOf(rig *network.Rig, name string) (network.Item, bool) {
	if rig == nil {
		return nil, false
	}
	if p, ok := rig.Part(name); ok {
		return p, true
	}
	return rig.Joint(name)
}

// valueOf reads a value of an axis, in the unit that it is told in.
func valueOf(rig *network.Rig, a whatif.Axis, text string) (float64, error) {
	q := quantity(rig, a.Part, a.Field)
	if q == nil {
		x, err := strconv.ParseFloat(text, 64)
		if err == nil {
			return x, nil
		}
		if d, _, err := unit.ParseDuration(text); err == nil {
			return d.Seconds(), nil
		}
		return 0, fmt.Errorf("%q is no number", text)
	}
	v := reflect.New(reflect.TypeOf(q))
	if err := v.Interface().(encoding.TextUnmarshaler).UnmarshalText([]byte(text)); err != nil {
		return 0, err
	}
	return v.Elem().Float(), nil
}

// shower returns how values of a column are shown: all in one unit.
func shower(rig *network.Rig, units unit.System, c whatif.Column, values ...float64) func(x float64) string {
	switch quantity(rig, c.Part, c.Field).(type) {
	case unit.Pressure:
		return showIn[unit.Pressure](units, values)
	case unit.Volume:
		return showIn[unit.Volume](units, values)
	case unit.Flow:
		return showIn[unit.Flow](units, values)
	case unit.Length:
		return showIn[unit.Length](units, values)
	case unit.Temperature:
		return showIn[unit.Temperature](units, values)
	case unit.Compliance:
		return showIn[unit.Compliance](units, values)
	case unit.Voltage:
		return showIn[unit.Voltage](units, values)
	}
	return func(x float64) string { return strconv.FormatFloat(x, 'g', 3, 64) }
}

func showIn[Q unit.Quantity](units unit.System, values []float64) func(x float64) string {
	typed := make([]Q, len(values))
	for i, v := range values {
		typed[i] = Q(v)
	}
	in := unit.UnitFor(units, typed...)
	return func(x float64) string { return in.Format(Q(x), 3) }
}
