package document

import (
	"reflect"
	"strings"
	"time"
	"unicode"

	"quietpump/hydraulics"
)

// A Note says of a field what its name and type cannot.
type Note struct {
	Also    []string // words the key answers to as well
	Doc     string   // a line for editors
	Need    bool     // must be told
	Zero    bool     // a written zero means zero
	Tell    bool     // zero or empty is written too, for it says more than nothing
	Sign    bool     // may be negative
	Instead string   // what to write instead of zero, where there is something
	Word    string   // text that stands for a value of -1
	Mean    string   // leaving it out means this text
	SameAs  string   // leaving it out means the text of this field
	Eg      string   // example of a value; by default one of the type's
	Show    bool     // the example of the table it stands in has it
	Pick    []string // the only texts allowed
	Refers  bool     // its texts name things told elsewhere in the file
	Lone    bool     // one value may stand for a list of one
	Hide    bool     // no key: told by other means
	Key     string   // the key, where it is not the field in snake_case
}

// Words is how a type is written as a text of its own.
type Words struct {
	Eg    string                         // example of a value
	Unit  bool                           // a plain number lacks its unit
	Read  func(text string) (any, error) // its errors begin with the text in quotes
	Write func(any) string
}

// A Record is a struct type as a table of keys.
type Record struct {
	Keys []*Key
}

// A Key is one field as a key of a file.
type Key struct {
	Note
	Name   string  // snake_case of the field
	Path   string  // with the keys it stands inside, such as "hold.set"
	Record *Record // of a table, or of the tables in a list

	index []int // of the field
	typ   reflect.Type
	words map[reflect.Type]Words
}

var (
	typeDuration = reflect.TypeFor[time.Duration]()
	typePair     = reflect.TypeFor[[2]string]()
	typePoint    = reflect.TypeFor[hydraulics.PumpPoint]() // a row, not a table
)

// NewRecord makes the keys of a struct type. About tells what is known of a
// field, by its path such as "Hold.Set"; words has the types that are texts of
// their own, beside those that every file has.
func NewRecord(t reflect.Type, about func(path string) Note, words map[reflect.Type]Words) *Record {
	return newRecord(t, "", about, words)
}

// newRecord makes the keys of a type within a path of fields, "" or ending in a dot.
func newRecord(t reflect.Type, within string, about func(path string) Note, words map[reflect.Type]Words) *Record {
	r := &Record{}
	for _, f := range reflect.VisibleFields(t) {
		if !f.IsExported() || f.Anonymous {
			continue
		}
		path := within + f.Name
		k := &Key{Note: about(path), Path: snake(path), index: f.Index, typ: f.Type, words: words}
		if k.Hide {
			continue
		}
		if k.Key != "" {
			k.Path = snake(within) + k.Key
		}
		_, k.Name, _ = cutLast(k.Path)
		inner := f.Type
		for inner.Kind() == reflect.Pointer || inner.Kind() == reflect.Slice {
			inner = inner.Elem()
		}
		if _, said := words[inner]; !said && inner.Kind() == reflect.Struct && inner != typePoint {
			k.Record = newRecord(inner, path+".", about, words)
		}
		r.Keys = append(r.Keys, k)
	}
	return r
}

// names lists the keys, for suggestions.
func (r *Record) names() []string {
	list := make([]string, len(r.Keys))
	for i, k := range r.Keys {
		list[i] = k.Name
	}
	return list
}

// find returns the key that answers to a word, or nil.
func (r *Record) find(word string) *Key {
	for _, k := range r.Keys {
		if k.Name == word {
			return k
		}
	}
	for _, k := range r.Keys {
		for _, w := range k.Also {
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

// cutLast parts a path of keys before its last dot.
func cutLast(path string) (before, last string, found bool) {
	i := strings.LastIndexByte(path, '.')
	if i < 0 {
		return "", path, false
	}
	return path[:i], path[i+1:], true
}
