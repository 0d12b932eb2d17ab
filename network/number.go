package network

import (
	"math"
	"reflect"
	"strings"
	"time"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
)

// Numbers lists the fields of a part or joint that hold one number, in the words
// of rig files and in the order of its struct: "cut_in", "hold.set". A pump's
// "curve" is among them; as a number it is a factor on its flows.
func Numbers(item Item) []string {
	var list []string
	var gather func(v reflect.Value, prefix string)
	gather = func(v reflect.Value, prefix string) {
		for i, word := range fieldWords[v.Type()] {
			f := v.Field(i)
			if f.Kind() == reflect.Pointer && !f.IsNil() {
				f = f.Elem()
			}
			switch {
			case f.Kind() == reflect.Float64, f.Type() == reflect.TypeFor[time.Duration](), f.Type() == reflect.TypeFor[hydraulics.PumpCurve]():
				list = append(list, prefix+word)
			case f.Kind() == reflect.Struct:
				gather(f, prefix+word+".")
			}
		}
	}
	gather(reflect.ValueOf(item), "")
	return list
}

// Number returns the number in a field of a part or joint, in SI units; of a
// pump's "curve" it is 1. It is false where there is no such field.
func Number(item Item, field string) (value float64, ok bool) {
	f, ok := fieldAt(reflect.ValueOf(item), field)
	switch {
	case !ok:
		return 0, false
	case f.Kind() == reflect.Float64:
		return f.Float(), true
	case f.Type() == reflect.TypeFor[time.Duration]():
		return time.Duration(f.Int()).Seconds(), true
	}
	return 1, true
}

// WithNumber returns a copy of the part or joint with another number in a field,
// in SI units; a pump's "curve" has its flows multiplied by it. The stretch of a
// tube goes with its volume and that of a heater with its own. It is false where
// there is no such field, and where the number is none.
func WithNumber(item Item, field string, value float64) (changed Item, ok bool) {
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return item, false
	}
	v := reflect.New(reflect.TypeOf(item)).Elem()
	v.Set(reflect.ValueOf(item))
	if name, _, deeper := strings.Cut(field, "."); deeper { // what a pointer holds is copied too
		for i, word := range fieldWords[v.Type()] {
			if f := v.Field(i); word == name && f.Kind() == reflect.Pointer && !f.IsNil() {
				inner := reflect.New(f.Type().Elem())
				inner.Elem().Set(f.Elem())
				f.Set(inner)
			}
		}
	}
	f, ok := fieldAt(v, field)
	switch {
	case !ok:
		return item, false
	case f.Kind() == reflect.Float64:
		f.SetFloat(value)
	case f.Type() == reflect.TypeFor[time.Duration]():
		f.SetInt(int64(math.Round(value * float64(time.Second))))
	default:
		curve := append(hydraulics.PumpCurve(nil), f.Interface().(hydraulics.PumpCurve)...)
		for i := range curve {
			curve[i].Flow *= unit.Flow(value)
		}
		f.Set(reflect.ValueOf(curve))
	}
	changed = v.Interface().(Item)
	switch was := item.(type) {
	case Tube:
		if now := changed.(Tube); was.water() > 0 && field != "compliance" {
			now.Compliance *= unit.Compliance(now.water() / was.water())
			changed = now
		}
	case Heater:
		if now := changed.(Heater); was.Volume > 0 && field == "volume" {
			now.Compliance *= unit.Compliance(now.Volume / was.Volume)
			changed = now
		}
	}
	return changed, true
}

// fieldAt is the field of a struct that holds one number, or a curve.
func fieldAt(v reflect.Value, field string) (reflect.Value, bool) {
	word, rest, deeper := strings.Cut(field, ".")
	for i, w := range fieldWords[v.Type()] {
		if w != word {
			continue
		}
		f := v.Field(i)
		if f.Kind() == reflect.Pointer {
			if f.IsNil() {
				return f, false
			}
			f = f.Elem()
		}
		if deeper {
			if f.Kind() != reflect.Struct {
				return f, false
			}
			return fieldAt(f, rest)
		}
		return f, f.Kind() == reflect.Float64 || f.Type() == reflect.TypeFor[time.Duration]() || f.Type() == reflect.TypeFor[hydraulics.PumpCurve]()
	}
	return reflect.Value{}, false
}

// Quantity returns the number in a field of a part or joint with its unit, such
// as a unit.Pressure. It is false for what has none, such as a loss coefficient,
// a duration or a curve, and where there is no such field.
func Quantity(item Item, field string) (q unit.Any, ok bool) {
	f, ok := fieldAt(reflect.ValueOf(item), field)
	if !ok {
		return nil, false
	}
	q, ok = f.Interface().(unit.Any)
	return q, ok
}
