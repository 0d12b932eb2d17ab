package rigfile

import (
	"sort"
	"unicode/utf8"
)

// Limits of what is read: a rig of a thousand parts stays far inside them.
const (
	maxSize  = 1 << 20 // bytes
	maxDepth = 12      // lists and tables inside one another
)

// A shape is what kind of value stands in a file.
type shape uint8

const (
	isText shape = iota
	isNumber
	isTruth
	isMoment // a date or time, which nothing here wants
	isNothing
	isList
	isTable
)

// String returns the shape in the words of messages.
func (s shape) String() string {
	return [...]string{"text", "a plain number", "true or false", "a date", "null", "a list", "a table"}[s]
}

// A node is one value of a file, TOML or JSON, and where it stands.
type node struct {
	shape    shape
	text     string  // decoded text, or the number's or truth's literal
	items    []*node // of a list
	entries  []entry // of a table, in the file's order; a key told twice stands twice
	off, end int     // bytes of the value
	sealed   bool    // written whole in one place: nothing may be added further down
	headed   bool    // its own [header] has been seen
	broken   bool    // a slip of syntax may have hidden some of its keys
	tail     int     // where a further key of a headed table may go
}

// An entry is one key of a table.
type entry struct {
	key string
	off int // where the key stands
	val *node
}

// get returns the value under key, the first one, or nil.
func (n *node) get(key string) *node {
	for i := range n.entries {
		if n.entries[i].key == key {
			return n.entries[i].val
		}
	}
	return nil
}

func (n *node) add(key string, off int, val *node) {
	n.entries = append(n.entries, entry{key, off, val})
}

// text, number, truth, list and table build nodes to be written.
func text(s string) *node { return &node{shape: isText, text: s} }

func number(literal string) *node { return &node{shape: isNumber, text: literal} }

func truth(b bool) *node {
	if b {
		return &node{shape: isTruth, text: "true"}
	}
	return &node{shape: isTruth, text: "false"}
}

// A source is one file's bytes and the places in it.
type source struct {
	name  string
	data  []byte // without a byte-order mark
	lines []int  // offset of each line's start
}

func newSource(name string, data []byte) *source {
	s := &source{name: name, data: data, lines: []int{0}}
	for i, c := range data {
		if c == '\n' {
			s.lines = append(s.lines, i+1)
		}
	}
	return s
}

// place returns line and column, both from 1; a column counts characters.
func (s *source) place(off int) (line, col int) {
	off = min(max(off, 0), len(s.data))
	line = sort.Search(len(s.lines), func(i int) bool { return s.lines[i] > off })
	return line, utf8.RuneCount(s.data[s.lines[line-1]:off]) + 1
}

// problem returns a problem at a place of the file.
func (s *source) problem(off int, kind, name, what, fix string) Problem {
	line, col := s.place(off)
	return Problem{File: s.name, Line: line, Column: col, Kind: kind, Name: name, What: what, Fix: fix}
}
