package rigfile

import (
	"reflect"
	"strconv"
	"strings"
)

// example returns a value of the key as a TOML file writes it.
func (k *key) example() string { return k.exampleOf(k.typ) }

func (k *key) exampleOf(t reflect.Type) string {
	if q, ok := quantities[t]; ok {
		if k.eg != "" {
			return strconv.Quote(k.eg)
		}
		return strconv.Quote(q.eg)
	}
	switch {
	case t == typeDuration:
		if k.eg != "" {
			return strconv.Quote(k.eg)
		}
		return `"1 s"`
	case t == typePoint:
		return `["0 psi", "3.2 gpm", "5 A"], ["60 psi", "0 gpm", "9 A"]`
	case t == typePair:
		return `["a", "b"]`
	case t.Kind() == reflect.Bool:
		return "true"
	case t.Kind() == reflect.Float64:
		return k.eg
	case t.Kind() == reflect.Pointer:
		return k.exampleOf(t.Elem())
	case t.Kind() == reflect.Slice && t.Elem().Kind() == reflect.String:
		return `["a", "b"]`
	case t.Kind() == reflect.Slice:
		return "[" + k.exampleOf(t.Elem()) + "]"
	case t.Kind() == reflect.Struct:
		var keys []string
		for _, in := range k.record.keys {
			if in.need || in.show {
				keys = append(keys, in.name+" = "+in.example())
			}
		}
		return "{ " + strings.Join(keys, ", ") + " }"
	}
	return strconv.Quote(k.eg)
}
