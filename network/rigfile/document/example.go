package document

import (
	"reflect"
	"strconv"
	"strings"
)

// example returns a value of the key as a TOML file writes it.
func (k *Key) example() string { return k.exampleOf(k.typ) }

func (k *Key) exampleOf(t reflect.Type) string {
	if w, ok := k.words[t]; ok {
		if k.Eg != "" {
			return strconv.Quote(k.Eg)
		}
		return strconv.Quote(w.Eg)
	}
	if q, ok := quantities[t]; ok {
		if k.Eg != "" {
			return strconv.Quote(k.Eg)
		}
		return strconv.Quote(q.eg)
	}
	switch {
	case t == typeDuration:
		if k.Eg != "" {
			return strconv.Quote(k.Eg)
		}
		return `"1 s"`
	case t == typePoint:
		return `["0 psi", "3.2 gpm", "5 A"], ["60 psi", "0 gpm", "9 A"]`
	case t == typePair:
		return `["a", "b"]`
	case t.Kind() == reflect.Bool:
		return "true"
	case t.Kind() == reflect.Float64, t.Kind() == reflect.Int:
		return k.Eg
	case t.Kind() == reflect.Pointer:
		return k.exampleOf(t.Elem())
	case t.Kind() == reflect.Slice && k.Lone:
		return k.exampleOf(t.Elem())
	case t.Kind() == reflect.Slice && t.Elem().Kind() == reflect.String:
		return `["a", "b"]`
	case t.Kind() == reflect.Slice:
		return "[" + k.exampleOf(t.Elem()) + "]"
	case t.Kind() == reflect.Struct:
		var keys []string
		for _, in := range k.Record.Keys {
			if in.Need || in.Show {
				keys = append(keys, in.Name+" = "+in.example())
			}
		}
		return "{ " + strings.Join(keys, ", ") + " }"
	}
	return strconv.Quote(k.Eg)
}
