package rigfile

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"
	"time"

	"quietpump/network"
)

// encode turns a rig into a file's table: sections in the order of the kinds
// table, parts by name, and only what was told.
func encode(rig *network.Rig) *node {
	root := &node{shape: isTable}
	head := &node{shape: isTable}
	head.add("name", 0, text(rig.Name()))
	root.add("rig", 0, head)
	e := encoder{rig: rig, assumed: map[[2]string]bool{}}
	for _, a := range rig.Assumed() {
		e.assumed[[2]string{a.Part, a.Field}] = true
	}
	tables := map[string][]*node{}
	for _, j := range rig.Joints() {
		if !e.assumed[[2]string{j.Name, "z"}] || j.Place != "" {
			tables["joint"] = append(tables["joint"], e.item(byWord["joint"], j.Name, j))
		}
	}
	for _, p := range rig.Parts() {
		k := byWord[strings.ReplaceAll(p.Kind(), " ", "_")]
		tables[k.word] = append(tables[k.word], e.item(k, p.ID(), p))
	}
	for _, k := range kinds {
		if len(tables[k.word]) > 0 {
			root.add(k.word, 0, &node{shape: isList, items: tables[k.word]})
		}
	}
	return root
}

type encoder struct {
	rig     *network.Rig
	assumed map[[2]string]bool // by part and field
	part    string             // the part being written
}

func (e *encoder) item(k *kind, name string, p network.Item) *node {
	e.part = name
	v := reflect.ValueOf(p)
	if v.Kind() == reflect.Pointer {
		v = v.Elem()
	}
	return e.table(k.record, v)
}

// table writes the fields of a struct that were told.
func (e *encoder) table(r *record, v reflect.Value) *node {
	n := &node{shape: isTable}
	for _, k := range r.keys {
		f := v.FieldByIndex(k.index)
		zero := f.IsZero() || f.Kind() == reflect.Slice && f.Len() == 0
		silent := k.mean != "" && f.String() == k.mean || k.sameAs != "" && f.String() == v.FieldByName(k.sameAs).String()
		if e.assumed[[2]string{e.part, k.path}] || silent || zero && !k.tell {
			continue
		}
		sd, _ := e.rig.SD(e.part, k.path)
		n.add(k.name, 0, e.value(k, k.typ, f, sd))
	}
	return n
}

// value writes one value of a Go type.
func (e *encoder) value(k *key, t reflect.Type, v reflect.Value, sd float64) *node {
	if (t.Kind() == reflect.Float64) && k.word != "" && v.Float() < 0 {
		return text(k.word)
	}
	if q, ok := quantities[t]; ok {
		return text(q.format(v.Float(), sd))
	}
	switch {
	case t == typeDuration:
		return text(formatDuration(time.Duration(v.Int()), sd))
	case t == typePoint:
		n := &node{shape: isList}
		for i := range v.NumField() {
			if i < 2 || !v.Field(i).IsZero() {
				n.items = append(n.items, e.value(k, v.Field(i).Type(), v.Field(i), 0))
			}
		}
		return n
	case t.Kind() == reflect.Slice, t.Kind() == reflect.Array:
		n := &node{shape: isList}
		for i := range v.Len() {
			n.items = append(n.items, e.value(k, t.Elem(), v.Index(i), 0))
		}
		return n
	case t.Kind() == reflect.Pointer:
		return e.value(k, t.Elem(), v.Elem(), 0)
	case t.Kind() == reflect.Struct:
		return e.table(k.record, v)
	case t.Kind() == reflect.Bool:
		return truth(v.Bool())
	case t.Kind() == reflect.Float64:
		return number(strconv.FormatFloat(v.Float(), 'g', -1, 64))
	}
	return text(v.String())
}

// formatDuration writes a span of time and its standard deviation, in seconds.
func formatDuration(span time.Duration, sd float64) string {
	s := seconds(span)
	if sd > 0 {
		s += " ± " + seconds(2*time.Duration(math.Round(sd*1e9)))
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

// tomlText writes a file's table as TOML: one [[section]] a part, inner tables
// on one line.
func tomlText(root *node) []byte {
	var b bytes.Buffer
	for i, e := range root.entries {
		tables, open, shut := e.val.items, "[[", "]]"
		if e.val.shape == isTable {
			tables, open, shut = []*node{e.val}, "[", "]"
		}
		for j, t := range tables {
			if i+j > 0 {
				b.WriteByte('\n')
			}
			b.WriteString(open + e.key + shut + "\n")
			for _, in := range t.entries {
				b.WriteString(in.key + " = ")
				tomlValue(&b, in.val)
				b.WriteByte('\n')
			}
		}
	}
	return b.Bytes()
}

func tomlValue(b *bytes.Buffer, n *node) {
	switch n.shape {
	case isText:
		b.WriteString(quote(n.text))
	case isList:
		b.WriteByte('[')
		for i, item := range n.items {
			if i > 0 {
				b.WriteString(", ")
			}
			tomlValue(b, item)
		}
		b.WriteByte(']')
	case isTable:
		b.WriteString("{ ")
		for i, e := range n.entries {
			if i > 0 {
				b.WriteString(", ")
			}
			b.WriteString(e.key + " = ")
			tomlValue(b, e.val)
		}
		b.WriteString(" }")
	default:
		b.WriteString(n.text)
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

// jsonText writes a file's table as JSON, one part a line.
func jsonText(root *node) []byte {
	var b bytes.Buffer
	b.WriteString("{\n")
	for i, e := range root.entries {
		b.WriteString("  " + quote(e.key) + ": ")
		if e.val.shape == isList {
			b.WriteString("[\n")
			for j, item := range e.val.items {
				b.WriteString("    ")
				jsonValue(&b, item)
				b.WriteString(comma(j, len(e.val.items)))
			}
			b.WriteString("  ]")
		} else {
			jsonValue(&b, e.val)
		}
		b.WriteString(comma(i, len(root.entries)))
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

func jsonValue(b *bytes.Buffer, n *node) {
	switch n.shape {
	case isText:
		b.WriteString(quote(n.text))
	case isList:
		b.WriteByte('[')
		for i, item := range n.items {
			if i > 0 {
				b.WriteString(", ")
			}
			jsonValue(b, item)
		}
		b.WriteByte(']')
	case isTable:
		b.WriteByte('{')
		for i, e := range n.entries {
			if i > 0 {
				b.WriteString(", ")
			}
			b.WriteString(quote(e.key) + ": ")
			jsonValue(b, e.val)
		}
		b.WriteByte('}')
	default:
		b.WriteString(n.text)
	}
}
