package document

import (
	"bytes"
	"fmt"
	"sort"
	"strings"
	"unicode/utf8"
)

// Limits of what is read: a rig of a thousand parts stays far inside them.
const (
	MaxSize  = 1 << 20 // bytes
	maxDepth = 12      // lists and tables inside one another
)

// A Shape is what kind of value stands in a file.
type Shape uint8

// The shapes that files are made of.
const (
	Text Shape = iota
	Number
	Truth
	moment // a date or time, which nothing here wants
	nothing
	List
	Table
)

// String returns the shape in the words of messages.
func (s Shape) String() string {
	return [...]string{"text", "a plain number", "true or false", "a date", "null", "a list", "a table"}[s]
}

// A Node is one value of a file, TOML or JSON, and where it stands.
type Node struct {
	Shape    Shape
	Text     string  // decoded text, or the number's or truth's literal
	Items    []*Node // of a list
	Entries  []Entry // of a table, in the file's order; a key told twice stands twice
	Off, End int     // bytes of the value; a list's begin at its first item
	Broken   bool    // a slip of syntax may have hidden some of its keys

	sealed bool // written whole in one place: nothing may be added further down
	headed bool // its own [header] has been seen
	tail   int  // where a further key of a headed table may go
}

// An Entry is one key of a table.
type Entry struct {
	Key string
	Off int // where the key stands
	Val *Node
}

// Get returns the value under key, the first one, or nil.
func (n *Node) Get(key string) *Node {
	for i := range n.Entries {
		if n.Entries[i].Key == key {
			return n.Entries[i].Val
		}
	}
	return nil
}

// Add puts a key and its value behind the others.
func (n *Node) Add(key string, val *Node) { n.add(key, 0, val) }

func (n *Node) add(key string, off int, val *Node) {
	n.Entries = append(n.Entries, Entry{key, off, val})
}

// NewText returns a text to be written.
func NewText(s string) *Node { return &Node{Shape: Text, Text: s} }

func number(literal string) *Node { return &Node{Shape: Number, Text: literal} }

func truth(b bool) *Node {
	if b {
		return &Node{Shape: Truth, Text: "true"}
	}
	return &Node{Shape: Truth, Text: "false"}
}

// A Source is one file's bytes and the places in it.
type Source struct {
	Name  string
	Data  []byte // without a byte-order mark
	mark  []byte // the byte-order mark
	lines []int  // offset of each line's start
}

var byteOrderMark = []byte("\ufeff")

// NewSource returns a source of a file's text. Name is the file's, for messages.
func NewSource(name string, data []byte) *Source {
	s := &Source{Name: name, Data: bytes.TrimPrefix(data, byteOrderMark), lines: []int{0}}
	s.mark = data[:len(data)-len(s.Data)]
	for i, c := range s.Data {
		if c == '\n' {
			s.lines = append(s.lines, i+1)
		}
	}
	return s
}

// Read turns the text into a table, as JSON where it opens with a brace and as
// TOML elsewhere. It goes on behind a slip where it can.
func (s *Source) Read() (*Node, Problems) {
	if len(s.mark)+len(s.Data) > MaxSize {
		return &Node{Shape: Table}, Problems{s.Problem(0, "", "", fmt.Sprintf("the file holds more than %d bytes", MaxSize), "a rig of a thousand parts needs a fifth of that; see that it is the right file")}
	}
	switch {
	case bytes.HasPrefix(s.Data, []byte("\xff\xfe")), bytes.HasPrefix(s.Data, []byte("\xfe\xff")):
		return &Node{Shape: Table, Broken: true}, Problems{s.Problem(0, "", "", "the file is UTF-16 text", "save it as UTF-8")}
	case s.isJSON():
		return readJSON(s)
	}
	return readTOML(s)
}

// isJSON reports whether the text is JSON: no TOML opens with a brace.
func (s *Source) isJSON() bool {
	data := bytes.TrimLeft(s.Data, " \t\r\n")
	return len(data) > 0 && data[0] == '{'
}

// Place returns line and column, both from 1; a column counts characters.
func (s *Source) Place(off int) (line, col int) {
	off = min(max(off, 0), len(s.Data))
	line = sort.Search(len(s.lines), func(i int) bool { return s.lines[i] > off })
	return line, utf8.RuneCount(s.Data[s.lines[line-1]:off]) + 1
}

// Problem returns a problem at a place of the file.
func (s *Source) Problem(off int, kind, name, what, fix string) Problem {
	line, col := s.Place(off)
	return Problem{File: s.Name, Line: line, Column: col, Kind: kind, Name: clip(name), What: clip(what), Fix: clip(fix)}
}

// longest is what of a message one can still read; what was written in a file is
// repeated in it.
const longest = 600

func clip(text string) string {
	if len(text) <= longest {
		return text
	}
	return strings.ToValidUTF8(text[:longest/2], "") + "…" + strings.ToValidUTF8(text[len(text)-longest/2:], "")
}
