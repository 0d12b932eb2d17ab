package jobcard

import (
	"maps"
	"path/filepath"
	"reflect"
	"slices"
	"strings"

	"quietpump/network/rigfile"
	"quietpump/network/rigfile/document"
	"quietpump/sim/diagnose"
)

// Marshal returns a card as TOML: the rig's file or the rig itself, what is
// unusual as it was written, and the rest in the order of [Schema]. [Parse] of
// the text, with the same rig files, is the same card. A file's own wording and
// comments are kept by [Append], not here.
func Marshal(c *Card) []byte { return encode(c).TOML() }

// MarshalJSON returns the content of [Marshal] as JSON.
func MarshalJSON(c *Card) []byte { return encode(c).JSON() }

// Write writes a card to a file in one step, as JSON where its name ends in
// .json and as TOML elsewhere.
func Write(path string, c *Card) error {
	text := Marshal
	if strings.EqualFold(filepath.Ext(path), ".json") {
		text = MarshalJSON
	}
	return document.WriteFile(path, text(c))
}

func encode(c *Card) *document.Node {
	root := &document.Node{Shape: document.Table}
	if c.RigFile != "" {
		root.Add("rig", document.NewText(c.RigFile))
	} else if c.Rig != nil {
		root.Add("rig", rigfile.Encode(c.Rig)) // with what is unusual about it
	}
	if c.unusual != nil && c.RigFile != "" {
		root.Add("unusual", c.unusual)
	}
	var tables []*document.Node
	for i, other := range c.Others {
		tables = append(tables, c.encodeOther(i, other))
	}
	add(root, "alternative", tables)
	if t := plainly(facts(), c.Facts); len(t.Entries) > 0 {
		root.Add("facts", t)
	}
	if len(c.Access) > 0 {
		root.Add("access", encodeAccess(c.Access))
	}
	tables = nil
	for _, r := range c.Readings {
		tables = append(tables, plainly(readings(), rowOf(r)))
	}
	add(root, "reading", tables)
	tables = nil
	for _, x := range c.Done {
		tables = append(tables, plainly(dones(), x))
	}
	add(root, "done", tables)
	return root
}

// plainly writes every field of a struct that is not zero.
func plainly(r *document.Record, v any) *document.Node {
	return document.Encoder{}.Table(r, reflect.ValueOf(v))
}

func add(root *document.Node, section string, tables []*document.Node) {
	if len(tables) > 0 {
		root.Add(section, &document.Node{Shape: document.List, Items: tables})
	}
}

// encodeOther writes an alternative as it was told, or with its whole rig.
func (c *Card) encodeOther(i int, other diagnose.Alternative) *document.Node {
	row := alternativeRow{Words: other.Words, Where: other.Where, Share: other.Share}
	var how otherwise
	if i < len(c.others) && c.others[i].rig == other.Rig { // else a program has put another there
		how = c.others[i]
	}
	row.Without = how.without
	t := plainly(alternatives(), row)
	switch {
	case how.file != "":
		t.Add("rig", document.NewText(how.file))
	case how.with == nil && len(how.without) == 0 && other.Rig != nil:
		t.Add("rig", rigfile.Encode(other.Rig))
	}
	if how.with != nil {
		t.Add("with", how.with)
	}
	return t
}

// encodeAccess writes access in order of name, where it can as the effort alone.
func encodeAccess(list map[string]diagnose.Access) *document.Node {
	n := &document.Node{Shape: document.Table}
	for _, name := range slices.Sorted(maps.Keys(list)) {
		a := list[name]
		if a.Effort != "" && a == (diagnose.Access{Effort: a.Effort}) {
			n.Add(name, document.NewText(string(a.Effort)))
			continue
		}
		n.Add(name, plainly(access(), a))
	}
	return n
}
