package document

import (
	"bytes"
	"errors"
	"fmt"
	"reflect"
	"strings"
)

// Set returns the text with the value of one key of a table changed, and
// everything else, comments, order and layout, left as it was. The key is one of
// the record's, "hold.set" for one inside another. The value is what a person
// would type: a quantity or name without quotes, a number, true or false; a list
// or inner table as the file's own syntax has it. A key that is not there yet is
// added behind the table's last one; an empty value takes the key out.
func (s *Source) Set(t *Node, r *Record, key, value string) ([]byte, error) {
	path := strings.Split(key, ".")
	home, rest := t, []string{} // the innermost table that can take a new key, and the way on from there
	for i, word := range path {
		k := r.find(word)
		if k == nil {
			return nil, fmt.Errorf("unknown key %q%s", word, DidYouMean(word, r.names()))
		}
		rest = append(rest, k.Name)
		at := entryOf(t, k)
		if last := i == len(path)-1; last {
			if at == nil && !home.headed && !home.sealed {
				return nil, fmt.Errorf("the table that %q belongs to has no place of its own; write it by hand", k.Path)
			}
			return s.marked(s.setValue(home, at, rest, k.literal(value))), nil
		}
		if k.Record == nil || k.typ.Kind() == reflect.Slice {
			return nil, fmt.Errorf("key %q has no keys of its own", k.Path)
		}
		r = k.Record
		if at == nil {
			t = &Node{Shape: Table}
			continue
		}
		if t = at.Val; t.sealed || t.headed {
			home, rest = t, rest[:0]
		}
	}
	return nil, errors.New("no key is named")
}

// entryOf returns the entry of a table under any word of a key, or nil.
func entryOf(t *Node, k *Key) *Entry {
	for i, e := range t.Entries {
		if e.Key == k.Name {
			return &t.Entries[i]
		}
		for _, w := range k.Also {
			if e.Key == w {
				return &t.Entries[i]
			}
		}
	}
	return nil
}

// literal puts a value in quotes where the key holds text.
func (k *Key) literal(value string) string {
	t := k.typ
	_, isQuantity := quantities[t]
	if value != "" && (isQuantity || t == typeDuration || t.Kind() == reflect.String || k.Word != "" && value == k.Word) {
		return quote(value)
	}
	return value
}

// setValue replaces, adds or takes out one value. at is its entry, nil where
// there is none yet; home is the table it would be added to, under names.
func (s *Source) setValue(home *Node, at *Entry, names []string, literal string) []byte {
	d := s.Data
	switch {
	case at != nil && literal == "":
		return takeOut(d, home, at)
	case at != nil:
		return splice(d, at.Val.Off, at.Val.End, literal)
	case literal == "":
		return d
	case !home.headed:
		return addInline(d, home, names, literal, s.isJSON())
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
func addInline(d []byte, t *Node, names []string, literal string, json bool) []byte {
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
	if len(t.Entries) == 0 {
		return splice(d, t.Off+1, t.Off+1, " "+what+" ")
	}
	end := lastEnd(t)
	return splice(d, end, end, ", "+what)
}

// lastEnd returns where the last value of a table between braces ends.
func lastEnd(t *Node) int {
	end := t.Off + 1
	for _, e := range t.Entries {
		if e.Val.sealed {
			end = max(end, e.Val.End)
		} else {
			end = max(end, lastEnd(e.Val)) // made by a dotted key
		}
	}
	return end
}

// takeOut removes an entry: the line of a headed table, or the key, its value
// and one comma between braces.
func takeOut(d []byte, home *Node, at *Entry) []byte {
	from, to := at.Off, at.Val.End
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

// marked is a changed text behind the byte-order mark that the file had.
func (s *Source) marked(text []byte) []byte {
	return append(s.mark[:len(s.mark):len(s.mark)], text...)
}

// Append returns the text with one more table in the list of a section, behind
// those that are there, and not a byte else changed. Root is what [Source.Read]
// made of the text.
func (s *Source) Append(root *Node, section string, table *Node) []byte {
	d := s.Data
	list := root.Get(section)
	var inline bytes.Buffer
	if s.isJSON() {
		jsonValue(&inline, table)
	} else {
		tomlValue(&inline, table)
	}
	switch {
	case list != nil && list.Shape == List && list.sealed && len(list.Items) > 0:
		at := s.itemEnd(list.Items[len(list.Items)-1])
		return s.marked(splice(d, at, at, ","+s.gap(list)+inline.String()))
	case list != nil && list.Shape == List && list.sealed:
		at := list.Off + 1
		return s.marked(splice(d, at, at, inline.String()))
	case s.isJSON():
		at, comma := bytes.IndexByte(d, '{')+1, ""
		if len(root.Entries) > 0 {
			at, comma = lastEnd(root), ","
		}
		return s.marked(splice(d, at, at, comma+"\n  "+quote(section)+": [\n    "+inline.String()+"\n  ]"))
	}
	newline := "\n"
	if bytes.Contains(d, []byte("\r\n")) {
		newline = "\r\n"
	}
	text := strings.ReplaceAll(string((&Node{Shape: Table, Entries: []Entry{{Key: section, Val: &Node{Shape: List, Items: []*Node{table}}}}}).TOML()), "\n", newline)
	if len(d) > 0 {
		text = newline + text
	}
	if len(d) > 0 && d[len(d)-1] != '\n' {
		text = newline + text
	}
	return s.marked(splice(d, len(d), len(d), text))
}

// itemEnd is where an item of a list ends. The TOML parser tells only where an
// inner table begins.
func (s *Source) itemEnd(item *Node) int {
	if item.Shape != Table || s.isJSON() {
		return item.End
	}
	end := lastEnd(item)
	return end + bytes.IndexByte(s.Data[end:], '}') + 1
}

// gap is what parts the items of a list written whole: a space, or a line of its
// own with the last item's indent.
func (s *Source) gap(list *Node) string {
	last := list.Items[len(list.Items)-1]
	from := bytes.LastIndexByte(s.Data[:last.Off], '\n') + 1
	if before := s.Data[from:last.Off]; from > 0 && len(bytes.TrimLeft(before, " \t")) == 0 {
		return "\n" + string(before)
	}
	return " "
}
