package network

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"quietpump/hydraulics/unit"
)

// fieldWords has the fields of each struct that a rig is made of, in the words
// of rig files.
var fieldWords = func() map[reflect.Type][]string {
	words := make(map[reflect.Type][]string)
	var gather func(t reflect.Type)
	gather = func(t reflect.Type) {
		switch t.Kind() {
		case reflect.Pointer, reflect.Slice:
			gather(t.Elem())
		case reflect.Struct:
			if words[t] != nil {
				return
			}
			list := make([]string, t.NumField())
			for i := range list {
				list[i] = snake(t.Field(i).Name)
				gather(t.Field(i).Type)
			}
			words[t] = list
		}
	}
	gather(reflect.TypeFor[Joint]())
	for _, k := range kinds {
		gather(reflect.TypeOf(k.zero))
	}
	return words
}()

// snake writes a Go field's name as rig files do: CutIn is cut_in.
func snake(name string) string {
	var b strings.Builder
	for i, c := range name {
		if unicode.IsUpper(c) && i > 0 {
			b.WriteByte('_')
		}
		b.WriteRune(unicode.ToLower(c))
	}
	return b.String()
}

// hasField reports whether a part or joint has a field of that word, which may
// have dots: "bypass.opens".
func hasField(t reflect.Type, field string) bool {
	word, rest, deeper := strings.Cut(field, ".")
	for i, w := range fieldWords[t] {
		if w != word {
			continue
		}
		inner := t.Field(i).Type
		if inner.Kind() == reflect.Pointer {
			inner = inner.Elem()
		}
		return !deeper || hasField(inner, rest)
	}
	return false
}

// signed are the fields that may be negative.
var signed = map[string]bool{"z": true, "floor": true, "roughness": true, "expansion": true}

// A flaw is a field that holds what no field may hold.
type flaw struct{ field, what, fix string }

// flaws finds every field of v, and of what it holds, that is not a number, is
// negative or has characters that cannot be seen.
func flaws(v reflect.Value, field string, found []flaw) []flaw {
	join := func(word string) string {
		if field == "" {
			return word
		}
		return field + "." + word
	}
	switch v.Kind() {
	case reflect.Struct:
		for i, word := range fieldWords[v.Type()] {
			found = flaws(v.Field(i), join(word), found)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			found = flaws(v.Elem(), field, found)
		}
	case reflect.Slice:
		for i := range v.Len() {
			found = flaws(v.Index(i), field, found)
		}
	case reflect.Float64:
		x := v.Float()
		switch {
		case math.IsNaN(x) || math.IsInf(x, 0):
			found = append(found, flaw{field, fmt.Sprintf("%s is not a number", spaced(field)), "write a number with its unit, or leave it out"})
		case x < 0 && !signed[field]:
			found = append(found, flaw{field, fmt.Sprintf("%s is negative", spaced(field)), "write it above zero, or leave it out for a typical value"})
		case math.Abs(x) > mostOf(v.Type()):
			found = append(found, flaw{field, spaced(field) + " is beyond what any vehicle has", "see whether its unit is right"})
		case field == "bore" && x != 0 && x < leastBore:
			found = append(found, flaw{field, spaced(field) + " is too small to let water through", "see whether its unit is right"})
		}
	case reflect.Int64:
		switch x := time.Duration(v.Int()); {
		case x < 0:
			found = append(found, flaw{field, fmt.Sprintf("%s %s is negative", spaced(field), x), "write it above zero, or leave it out"})
		case x > mostTime:
			found = append(found, flaw{field, spaced(field) + " is beyond what any vehicle has", "see whether its unit is right"})
		}
	case reflect.String:
		if what := unprintable(v.String()); what != "" {
			found = append(found, flaw{field, fmt.Sprintf("%s %q %s", spaced(field), v.String(), what), "write it with letters, digits and single spaces"})
		}
	}
	return found
}

// What no vehicle comes near. Within these bounds products of a few values stay
// far from where float64 ends, so that no answer is spoiled by one slip of a unit.
const (
	leastBore = 10e-6 // m
	mostTime  = 1000 * time.Hour
	mostPlain = 1e9 // of a number without a unit
)

// mostOf is the most that a field of a type may hold, in SI units.
func mostOf(t reflect.Type) float64 {
	switch t {
	case reflect.TypeFor[unit.Pressure]():
		return 1e8 // 14,500 psi
	case reflect.TypeFor[unit.Length]():
		return 1e4
	case reflect.TypeFor[unit.Volume]():
		return 1e4 // 10 million litres
	case reflect.TypeFor[unit.Flow]():
		return 10 // 160,000 gpm
	case reflect.TypeFor[unit.Compliance]():
		return 1e-2
	case reflect.TypeFor[unit.Voltage](), reflect.TypeFor[unit.Current]():
		return 1e4
	}
	return mostPlain
}

func spaced(field string) string {
	return strings.NewReplacer("_", " ", ".", " ").Replace(field)
}

// unprintable says what is wrong with a name, or nothing.
func unprintable(name string) string {
	switch {
	case !utf8.ValidString(name):
		return "is not UTF-8 text"
	case strings.ContainsFunc(name, func(c rune) bool { return !unicode.IsPrint(c) }):
		return "has characters that cannot be seen"
	case strings.TrimSpace(name) != name:
		return "has space around it"
	case len(name) > longestName:
		return fmt.Sprintf("is longer than %d letters", longestName)
	}
	return ""
}

const longestName = 200
