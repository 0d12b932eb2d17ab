package rigfile

import (
	"bytes"
	"errors"
	"fmt"
	"reflect"
	"strings"

	"quietpump/network"
)

// Edit returns a rig file's text with one value changed and everything else,
// comments, order and layout, left as it was. part names a part or joint, empty
// the rig itself; key is a key of the part, "hold.set" for one inside another.
// The value is what a person would type: a quantity or name without quotes, a
// number, true or false; a list or inner table as the file's own syntax has it.
// A key that is not there yet is added behind the part's last one. An empty
// value takes the key out, and with it the comment behind it on its line.
//
// What Edit does not keep: a value spread over several lines is replaced as a
// whole, with the comments inside it; and a key inside a table that is not
// there yet is added in one line, as hold.set = "…".
//
// Text in JSON is edited in JSON. The new text is read before it is returned;
// where it cannot be a rig, Edit returns no text and the problems, with their
// places in the new text.
func Edit(data []byte, part, key, value string) ([]byte, error) {
	bom := len(data) - len(bytes.TrimPrefix(data, bomBytes))
	src := newSource("edited rig", data[bom:])
	if len(src.data) > maxSize {
		_, err := Parse(src.name, data)
		return nil, err
	}
	root, _ := read(src)
	t, r, err := findPart(root, part)
	if err != nil {
		return nil, err
	}
	text, err := editTable(src, t, r, strings.Split(key, "."), value)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", part, err)
	}
	text = append(data[:bom:bom], text...)
	if _, err := Parse(src.name, text); err != nil {
		return nil, err
	}
	return text, nil
}

// headRecord are the keys of [rig].
var headRecord = newRecord(&kind{}, reflect.TypeOf(struct{ Name string }{}), "")

// findPart returns the table of a part or joint, and its keys.
func findPart(root *node, part string) (*node, *record, error) {
	var names []string
	var joint *node
	for _, e := range root.entries {
		if e.key == "rig" && part == "" {
			return e.val, headRecord, nil
		}
		k := byWord[e.key]
		if k == nil {
			continue
		}
		for _, t := range e.val.items {
			name := t.get("name")
			if name == nil {
				continue
			}
			names = append(names, name.text)
			if name.text == part && k.of != (network.Joint{}) {
				return t, k.record, nil
			}
			if name.text == part {
				joint = t // a part of the same name goes first
			}
		}
	}
	if joint != nil {
		return joint, byWord["joint"].record, nil
	}
	return nil, nil, fmt.Errorf("no part or joint %q in the file%s", part, didYouMean(part, names))
}

// editTable changes the key at a path of words below a table.
func editTable(src *source, t *node, r *record, path []string, value string) ([]byte, error) {
	home, rest := t, []string{} // the innermost table that can take a new key, and the way on from there
	for i, word := range path {
		k := r.find(word)
		if k == nil {
			return nil, fmt.Errorf("unknown key %q%s", word, didYouMean(word, r.words))
		}
		rest = append(rest, k.name)
		at := entryOf(t, k)
		if last := i == len(path)-1; last {
			if at == nil && !home.headed && !home.sealed {
				return nil, fmt.Errorf("the table that %q belongs to has no place of its own; write it by hand", k.path)
			}
			return editValue(src, home, at, rest, k.literal(value)), nil
		}
		if k.record == nil || k.typ.Kind() == reflect.Slice {
			return nil, fmt.Errorf("key %q has no keys of its own", k.path)
		}
		r = k.record
		if at == nil {
			t = &node{shape: isTable}
			continue
		}
		if t = at.val; t.sealed || t.headed {
			home, rest = t, rest[:0]
		}
	}
	return nil, errors.New("no key is named")
}

// entryOf returns the entry of a table under any word of a key, or nil.
func entryOf(t *node, k *key) *entry {
	for i, e := range t.entries {
		if e.key == k.name {
			return &t.entries[i]
		}
		for _, w := range k.also {
			if e.key == w {
				return &t.entries[i]
			}
		}
	}
	return nil
}

// literal puts a value in quotes where the key holds text.
func (k *key) literal(value string) string {
	t := k.typ
	_, isQuantity := quantities[t]
	if value != "" && (isQuantity || t == typeDuration || t.Kind() == reflect.String || k.word != "" && value == k.word) {
		return quote(value)
	}
	return value
}

// editValue replaces, adds or takes out one value. at is its entry, nil where
// there is none yet; home is the table it would be added to, under names.
func editValue(src *source, home *node, at *entry, names []string, literal string) []byte {
	d := src.data
	switch {
	case at != nil && literal == "":
		return takeOut(d, home, at)
	case at != nil:
		return splice(d, at.val.off, at.val.end, literal)
	case literal == "":
		return d
	case !home.headed:
		return addInline(d, home, names, literal, asJSON(d))
	}
	// a line of its own behind the table's last one
	line := strings.Join(names, ".") + " = " + literal
	newline := "\n"
	end := bytes.IndexByte(d[home.tail:], '\n')
	if end < 0 {
		return splice(d, len(d), len(d), newline+line+newline)
	}
	end += home.tail
	if end > 0 && d[end-1] == '\r' {
		newline = "\r\n"
	}
	from := bytes.LastIndexByte(d[:home.tail], '\n') + 1
	indent := d[from : from+len(d[from:home.tail])-len(bytes.TrimLeft(d[from:home.tail], " \t"))]
	return splice(d, end+1, end+1, string(indent)+line+newline)
}

// addInline adds a key to a table written between braces.
func addInline(d []byte, t *node, names []string, literal string, json bool) []byte {
	what := strings.Join(names, ".") + " = " + literal
	if json {
		what = literal
		for i := len(names) - 1; i >= 0; i-- {
			what = quote(names[i]) + ": " + what
			if i > 0 {
				what = "{" + what + "}"
			}
		}
	}
	if len(t.entries) == 0 {
		return splice(d, t.off+1, t.off+1, " "+what+" ")
	}
	end := lastEnd(t)
	return splice(d, end, end, ", "+what)
}

// lastEnd returns where the last value of a table between braces ends.
func lastEnd(t *node) int {
	end := t.off + 1
	for _, e := range t.entries {
		if e.val.sealed {
			end = max(end, e.val.end)
		} else {
			end = max(end, lastEnd(e.val)) // made by a dotted key
		}
	}
	return end
}

// takeOut removes an entry: the line of a headed table, or the key, its value
// and one comma between braces.
func takeOut(d []byte, home *node, at *entry) []byte {
	from, to := at.off, at.val.end
	if home.headed || !home.sealed { // a line of its own, its key perhaps dotted
		from = bytes.LastIndexByte(d[:from], '\n') + 1
		if nl := bytes.IndexByte(d[to:], '\n'); nl >= 0 {
			return splice(d, from, to+nl+1, "")
		}
		return splice(d, from, len(d), "")
	}
	for from > 0 && !strings.ContainsRune("{,\n", rune(d[from-1])) {
		from--
	}
	rest := bytes.TrimLeft(d[to:], " \t\r\n")
	switch {
	case len(rest) > 0 && rest[0] == ',':
		to = len(d) - len(rest) + 1
	case from > 0 && d[from-1] == ',':
		from--
	}
	return splice(d, from, to, "")
}

// splice returns d with the bytes from..to replaced.
func splice(d []byte, from, to int, by string) []byte {
	out := make([]byte, 0, len(d)+len(by))
	return append(append(append(out, d[:from]...), by...), d[to:]...)
}
