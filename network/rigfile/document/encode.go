package document

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"time"
)

// An Encoder turns structs into tables to be written. The zero Encoder writes
// every field that is not zero.
type Encoder struct {
	Skip func(k *Key) bool    // keys that were not told; nil: none
	SD   func(k *Key) float64 // how far a told value could be off, one standard deviation in SI units; nil: nobody knows
}

// Table writes the fields of a struct that were told.
func (e Encoder) Table(r *Record, v reflect.Value) *Node {
	n := &Node{Shape: Table}
	for _, k := range r.Keys {
		f := v.FieldByIndex(k.index)
		zero := f.IsZero() || f.Kind() == reflect.Slice && f.Len() == 0
		silent := k.Mean != "" && f.String() == k.Mean || k.SameAs != "" && f.String() == v.FieldByName(k.SameAs).String()
		if e.Skip != nil && e.Skip(k) || silent || zero && !k.Tell {
			continue
		}
		sd := 0.0
		if e.SD != nil {
			sd = e.SD(k)
		}
		n.Add(k.Name, e.value(k, k.typ, f, sd))
	}
	return n
}

// value writes one value of a Go type.
func (e Encoder) value(k *Key, t reflect.Type, v reflect.Value, sd float64) *Node {
	if w, ok := k.words[t]; ok {
		return NewText(w.Write(v.Interface()))
	}
	if t.Kind() == reflect.Float64 && k.Word != "" && v.Float() < 0 {
		return NewText(k.Word)
	}
	if q, ok := quantities[t]; ok {
		return NewText(q.format(v.Float(), sd))
	}
	switch {
	case t == typeDuration:
		return NewText(FormatDuration(time.Duration(v.Int()), time.Duration(math.Round(sd*1e9))))
	case t == typePoint:
		n := &Node{Shape: List}
		for i := range v.NumField() {
			if i < 2 || !v.Field(i).IsZero() {
				n.Items = append(n.Items, e.value(k, v.Field(i).Type(), v.Field(i), 0))
			}
		}
		return n
	case t.Kind() == reflect.Slice && k.Lone && v.Len() == 1:
		return e.value(k, t.Elem(), v.Index(0), 0)
	case t.Kind() == reflect.Slice, t.Kind() == reflect.Array:
		n := &Node{Shape: List}
		for i := range v.Len() {
			n.Items = append(n.Items, e.value(k, t.Elem(), v.Index(i), 0))
		}
		return n
	case t.Kind() == reflect.Pointer:
		return e.value(k, t.Elem(), v.Elem(), 0)
	case t.Kind() == reflect.Struct:
		return e.Table(k.Record, v)
	case t.Kind() == reflect.Bool:
		return truth(v.Bool())
	case t.Kind() == reflect.Float64:
		return number(strconv.FormatFloat(v.Float(), 'g', -1, 64))
	case t.Kind() == reflect.Int:
		return number(strconv.FormatInt(v.Int(), 10))
	}
	return NewText(v.String())
}

// FormatDuration writes a span of time and its standard deviation, zero for
// none, in seconds to the nanosecond: "95 s ± 2 s".
func FormatDuration(span, sd time.Duration) string {
	s := seconds(span)
	if sd > 0 {
		s += " ± " + seconds(2*sd)
	}
	return s
}

// seconds writes a span of time in seconds, to the nanosecond.
func seconds(span time.Duration) string {
	whole, part := span/time.Second, span%time.Second
	s := strconv.FormatInt(int64(whole), 10)
	if part > 0 {
		s += strings.TrimRight(fmt.Sprintf(".%09d", int64(part)), "0")
	}
	return s + " s"
}

// TOML writes a file's table: single values first, then a [section] for each
// table and one [[section]] for each table of a list, also of one in a section;
// what stands further inside is on one line.
func (n *Node) TOML() []byte {
	var b bytes.Buffer
	for _, e := range n.Entries {
		if !e.Val.sections() {
			tomlEntry(&b, e)
		}
	}
	for _, e := range n.Entries {
		switch key := tomlKey(e.Key); {
		case !e.Val.sections():
		case e.Val.Shape == List:
			tomlSections(&b, key, e.Val.Items)
		default:
			plain := &Node{Shape: Table}
			var lists []Entry
			for _, in := range e.Val.Entries {
				if in.Val.Shape == List && in.Val.sections() {
					lists = append(lists, in)
				} else {
					plain.Entries = append(plain.Entries, in)
				}
			}
			if len(plain.Entries) > 0 || len(lists) == 0 {
				tomlSection(&b, "["+key+"]", plain)
			}
			for _, in := range lists {
				tomlSections(&b, key+"."+tomlKey(in.Key), in.Val.Items)
			}
		}
	}
	return b.Bytes()
}

func tomlSections(b *bytes.Buffer, key string, tables []*Node) {
	for _, t := range tables {
		tomlSection(b, "[["+key+"]]", t)
	}
}

func tomlSection(b *bytes.Buffer, head string, t *Node) {
	if b.Len() > 0 {
		b.WriteByte('\n')
	}
	b.WriteString(head + "\n")
	for _, in := range t.Entries {
		tomlEntry(b, in)
	}
}

// sections reports whether a value is written as sections of their own.
func (n *Node) sections() bool {
	if n.Shape == List {
		for _, item := range n.Items {
			if item.Shape != Table {
				return false
			}
		}
		return len(n.Items) > 0
	}
	return n.Shape == Table
}

func tomlEntry(b *bytes.Buffer, e Entry) {
	b.WriteString(tomlKey(e.Key) + " = ")
	tomlValue(b, e.Val)
	b.WriteByte('\n')
}

// tomlKey writes a key, in quotes where it has to be.
func tomlKey(key string) string {
	if key == "" || strings.Trim(key, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-") != "" {
		return quote(key)
	}
	return key
}

func tomlValue(b *bytes.Buffer, n *Node) {
	switch n.Shape {
	case Text:
		b.WriteString(quote(n.Text))
	case List:
		b.WriteByte('[')
		for i, item := range n.Items {
			if i > 0 {
				b.WriteString(", ")
			}
			tomlValue(b, item)
		}
		b.WriteByte(']')
	case Table:
		b.WriteString("{ ")
		for i, e := range n.Entries {
			if i > 0 {
				b.WriteString(", ")
			}
			b.WriteString(tomlKey(e.Key) + " = ")
			tomlValue(b, e.Val)
		}
		b.WriteString(" }")
	default:
		b.WriteString(n.Text)
	}
}

// quote puts a text in quotes that TOML and JSON both read.
func quote(s string) string {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if enc.Encode(s) != nil { // a string always encodes
		return strconv.Quote(s)
	}
	return strings.ReplaceAll(strings.TrimSuffix(b.String(), "\n"), "\x7f", `\u007f`) // TOML wants it escaped
}

// JSON writes a file's table, one table of a list a line.
func (n *Node) JSON() []byte {
	var b bytes.Buffer
	b.WriteString("{\n")
	for i, e := range n.Entries {
		b.WriteString("  " + quote(e.Key) + ": ")
		if e.Val.Shape == List {
			b.WriteString("[\n")
			for j, item := range e.Val.Items {
				b.WriteString("    ")
				jsonValue(&b, item)
				b.WriteString(comma(j, len(e.Val.Items)))
			}
			b.WriteString("  ]")
		} else {
			jsonValue(&b, e.Val)
		}
		b.WriteString(comma(i, len(n.Entries)))
	}
	b.WriteString("}\n")
	return b.Bytes()
}

func comma(i, n int) string {
	if i == n-1 {
		return "\n"
	}
	return ",\n"
}

func jsonValue(b *bytes.Buffer, n *Node) {
	switch n.Shape {
	case Text:
		b.WriteString(quote(n.Text))
	case List:
		b.WriteByte('[')
		for i, item := range n.Items {
			if i > 0 {
				b.WriteString(", ")
			}
			jsonValue(b, item)
		}
		b.WriteByte(']')
	case Table:
		b.WriteByte('{')
		for i, e := range n.Entries {
			if i > 0 {
				b.WriteString(", ")
			}
			b.WriteString(quote(e.Key) + ": ")
			jsonValue(b, e.Val)
		}
		b.WriteByte('}')
	default:
		b.WriteString(n.Text)
	}
}
