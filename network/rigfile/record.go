package rigfile

import (
	"reflect"
	"strings"
	"time"
	"unicode"

	"quietpump/hydraulics"
)

// A record is a struct type as a table of keys.
type record struct {
	keys  []*key
	words []string // the keys' names, for suggestions
}

// A key is one field as a key of a file.
type key struct {
	note
	name   string // snake_case of the field
	path   string // with the keys it stands inside, such as "hold.set"
	index  []int  // of the field
	typ    reflect.Type
	record *record // of a table, or of the tables in a list
}

var (
	typeDuration = reflect.TypeFor[time.Duration]()
	typePair     = reflect.TypeFor[[2]string]()
	typePoint    = reflect.TypeFor[hydraulics.PumpPoint]() // a row, not a table
)

// newRecord makes the keys of a struct type. within is the path of fields it
// stands under, "" or ending in a dot.
func newRecord(k *kind, t reflect.Type, within string) *record {
	r := &record{}
	for _, f := range reflect.VisibleFields(t) {
		if !f.IsExported() || f.Anonymous {
			continue
		}
		path := within + f.Name
		key := &key{note: k.about(path), name: snake(f.Name), path: snake(path), index: f.Index, typ: f.Type}
		inner := f.Type
		if inner.Kind() == reflect.Pointer || inner.Kind() == reflect.Slice {
			inner = inner.Elem()
		}
		if inner.Kind() == reflect.Struct && inner != typePoint {
			key.record = newRecord(k, inner, path+".")
		}
		r.keys = append(r.keys, key)
		r.words = append(r.words, key.name)
	}
	return r
}

// find returns the key that answers to a word, or nil.
func (r *record) find(word string) *key {
	for _, k := range r.keys {
		if k.name == word {
			return k
		}
	}
	for _, k := range r.keys {
		for _, w := range k.also {
			if w == word {
				return k
			}
		}
	}
	return nil
}

// snake turns a Go field path into snake_case: "Hold.LeastSpeed" is
// "hold.least_speed".
func snake(path string) string {
	var b strings.Builder
	letterBefore := false
	for _, c := range path {
		if unicode.IsUpper(c) && letterBefore {
			b.WriteByte('_')
		}
		letterBefore = c != '.'
		b.WriteRune(unicode.ToLower(c))
	}
	return b.String()
}
