package document

import (
	"fmt"
	"reflect"
)

// A Decoder turns tables into structs. It complains of everything it meets and
// goes on.
type Decoder struct {
	*Source
	Problems Problems
	Now      *Told // the thing being read, for complaints; nil: none
	Lost     bool  // something could not be read on which others depend
	// Unsure is told how far a value could be off, one standard deviation in SI
	// units; nil: nobody asks.
	Unsure func(k *Key, sd float64)
	// Mention is told of the texts that name things told elsewhere; nil: nobody asks.
	Mention func(k *Key, text string, off int)

	suggested int
}

// Told is where a thing was told, and where each of its keys.
type Told struct {
	Kind, Name string
	Off        int
	Keys       map[string]int  // by path; "positions.2" for a table in a list
	Bad        map[string]bool // keys that were complained of, by path
}

// NewTold returns a thing of a kind whose table stands somewhere. Its name is
// that under the key "name".
func NewTold(kind string, n *Node) *Told {
	t := &Told{Kind: kind, Off: n.Off, Keys: map[string]int{}, Bad: map[string]bool{}}
	for _, e := range n.Entries {
		if e.Key == "name" && e.Val.Shape == Text {
			t.Name, t.Off = e.Val.Text, e.Val.Off
		}
	}
	return t
}

// Place returns where the value of a key stands, or else of the table around it,
// or of the thing.
func (t *Told) Place(path string) int {
	for found := path != ""; found; path, _, found = cutLast(path) {
		if off, ok := t.Keys[path]; ok {
			return off
		}
	}
	return t.Off
}

// Complain notes a problem of the thing being read, at a key's path.
func (d *Decoder) Complain(off int, path, what, fix string) {
	kind, name := "", ""
	if d.Now != nil {
		kind, name = d.Now.Kind, d.Now.Name
		d.Now.Bad[path] = true
	}
	d.Problems = append(d.Problems, d.Problem(off, kind, name, what, fix))
}

// Suggest names a word near the one written, ` (did you mean "length"?)`, or
// nothing; for the first hundred slips of a file: one full of them is judged as
// quickly as another.
func (d *Decoder) Suggest(written string, words []string) string {
	if d.suggested++; d.suggested > 100 {
		return ""
	}
	return DidYouMean(written, words)
}

// Table reads the keys of a table into a struct.
func (d *Decoder) Table(r *Record, n *Node, v reflect.Value) {
	seen := map[*Key]Entry{}
	for _, e := range n.Entries {
		k := r.find(e.Key)
		if k == nil {
			d.Lost = true
			d.Complain(e.Off, "", fmt.Sprintf("unknown key %q%s", e.Key, d.Suggest(e.Key, r.names())), "")
			continue
		}
		if first, ok := seen[k]; ok {
			d.Twice(e, first)
			continue
		}
		seen[k] = e
		if d.Now != nil {
			d.Now.Keys[k.Path] = e.Val.Off
		}
		d.value(k, k.typ, e.Val, v.FieldByIndex(k.index))
	}
	for _, k := range r.Keys {
		if _, ok := seen[k]; k.Need && !ok {
			d.Lost = true
			if n.Broken {
				if d.Now != nil {
					d.Now.Bad[k.Path] = true // the slip was complained of
				}
				continue
			}
			d.Complain(n.Off, k.Path, fmt.Sprintf("%s is missing", k.Path), fmt.Sprintf("add %s = %s", k.Name, k.example()))
		}
	}
}

// Twice complains of a key that was told before, perhaps in another word.
func (d *Decoder) Twice(e, first Entry) {
	line, _ := d.Place(first.Off)
	what := fmt.Sprintf("%q is told twice, first in line %d", e.Key, line)
	if e.Key != first.Key {
		what = fmt.Sprintf("%q says again what %q says in line %d", e.Key, first.Key, line)
	}
	d.Complain(e.Off, "", what, "keep one")
}
