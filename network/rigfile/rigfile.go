package rigfile

import (
	"cmp"
	"path/filepath"
	"strings"

	"quietpump/network"
	"quietpump/network/rigfile/document"
)

// Read reads a rig file. What is wrong with it comes back as [Problems], all of
// them together; what is wrong with reading as it is.
func Read(path string) (*network.Rig, error) {
	data, err := document.ReadFile(path)
	if err != nil {
		return nil, err
	}
	return Parse(path, data)
}

// Parse reads a rig from a file's text, TOML or JSON. name is the file's, for
// messages, and stands in where the rig tells no name of its own.
func Parse(name string, data []byte) (*network.Rig, error) {
	src := document.NewSource(name, data)
	root, slips := src.Read()
	if len(data) > document.MaxSize {
		return nil, slips
	}
	return decode(src, root, slips, baseName(name))
}

// Decode reads a rig from a table inside another file, such as a job card's:
// the sections of a rig file, and its name under the key "name".
func Decode(src *document.Source, table *document.Node) (*network.Rig, error) {
	root, head := &document.Node{Shape: document.Table, Off: table.Off}, &document.Node{Shape: document.Table}
	for _, e := range table.Entries {
		if e.Key == "name" {
			head.Entries = append(head.Entries, e)
		} else {
			root.Entries = append(root.Entries, e)
		}
	}
	if len(head.Entries) > 0 {
		root.Entries = append(root.Entries, document.Entry{Key: "rig", Off: head.Entries[0].Off, Val: head})
	}
	return decode(src, root, nil, baseName(src.Name))
}

func decode(src *document.Source, root *document.Node, slips Problems, name string) (*network.Rig, error) {
	d := newDecoder(src, slips)
	d.file(root)
	d.rigName = cmp.Or(d.rigName, name)
	rig := d.build()
	if len(d.Problems) > 0 {
		d.Problems.Sort()
		return nil, d.Problems
	}
	return rig, nil
}

// baseName is a file's name without folders and endings.
func baseName(path string) string {
	base, _, _ := strings.Cut(filepath.Base(path), ".")
	return base
}

// Marshal returns a rig as TOML, as short as it can be: sections in a fixed
// order, parts by name, only what was told. Each value is written in the
// trade's unit where few digits read back to the same bits, and in the SI unit
// else. [Parse] of the text is the same rig. A file's own wording and comments
// are kept by [Edit], not here.
func Marshal(rig *network.Rig) []byte { return encode(rig).TOML() }

// MarshalJSON returns the content of [Marshal] as JSON, one part a line.
func MarshalJSON(rig *network.Rig) []byte { return encode(rig).JSON() }

// Write writes a rig to a file, as JSON where its name ends in .json and as
// TOML elsewhere. See [WriteText] for how.
func Write(path string, rig *network.Rig) error {
	text := Marshal
	if strings.EqualFold(filepath.Ext(path), ".json") {
		text = MarshalJSON
	}
	return WriteText(path, text(rig))
}

// WriteText replaces a file's text, such as one from [Edit], in one step: who
// reads meanwhile sees the old text or the new one, and a failure leaves the
// old. The file's permissions stay; a link stays a link.
func WriteText(path string, text []byte) error { return document.WriteFile(path, text) }
