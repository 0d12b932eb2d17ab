package rigfile

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"quietpump/network"
)

var bomBytes = []byte("\ufeff")

// Read reads a rig file. What is wrong with it comes back as [Problems], all of
// them together; what is wrong with reading as it is.
func Read(path string) (*network.Rig, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxSize+1)) // one byte too many is enough to know
	if err != nil {
		return nil, err
	}
	return Parse(path, data)
}

// Parse reads a rig from a file's text, TOML or JSON. name is the file's, for
// messages, and stands in where the rig tells no name of its own.
func Parse(name string, data []byte) (*network.Rig, error) {
	src := newSource(name, bytes.TrimPrefix(data, bomBytes))
	if len(data) > maxSize {
		return nil, Problems{src.problem(0, "", "", fmt.Sprintf("the file holds more than %d bytes", maxSize), "a rig of a thousand parts needs a fifth of that; see that it is a rig file")}
	}
	root, slips := read(src)
	d := decoder{src: src, problems: slips, parts: map[string]*told{}, joints: map[string]*told{}, mentions: map[string]int{}, lost: len(slips) > 0}
	d.file(root)
	d.rigName = cmp.Or(d.rigName, baseName(name))
	rig := d.build()
	if len(d.problems) > 0 {
		d.problems.sort()
		return nil, d.problems
	}
	return rig, nil
}

// read turns a text into a table.
func read(src *source) (*node, Problems) {
	if asJSON(src.data) {
		return readJSON(src)
	}
	return readTOML(src)
}

// asJSON reports whether a text is JSON: no TOML opens with a brace.
func asJSON(data []byte) bool {
	data = bytes.TrimLeft(data, " \t\r\n")
	return len(data) > 0 && data[0] == '{'
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
func Marshal(rig *network.Rig) []byte { return tomlText(encode(rig)) }

// MarshalJSON returns the content of [Marshal] as JSON, one part a line.
func MarshalJSON(rig *network.Rig) []byte { return jsonText(encode(rig)) }

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
func WriteText(path string, text []byte) (err error) {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	mode := os.FileMode(0o644)
	if info, err := os.Stat(path); err == nil {
		mode = info.Mode().Perm()
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".rig-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(f.Name())
		}
	}()
	_, err = f.Write(text)
	err = cmp.Or(err, f.Chmod(mode), f.Sync(), f.Close())
	if err != nil {
		return err
	}
	return os.Rename(f.Name(), path)
}
