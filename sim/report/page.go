package report

import (
	"quietpump/hydraulics/unit"
	"quietpump/sim/repair"
)

// A page is a report in words, in the order they are read. Each way of writing
// it walks the same page.
type page struct {
	Rig      string
	Title    string // the answer in a line
	Sections []section
	Notes    []note
	sys      unit.System
	noted    map[note]int
}

type section struct {
	Heading string
	ID      string
	Blocks  []block
}

// A block is one of its fields; a table may have figures beside it.
type block struct {
	Para    *line
	Lead    string // a paragraph that is the one to read
	Items   []item
	Ordered bool // of Items
	Table   *table
	Figures []figure
	Label   string // what a list is, above it
}

// A figure is a picture. What one tells Again stands in words beside it.
type figure struct {
	Picture
	Again bool
}

// A line is a text with the footnotes that go with it.
type line struct {
	Text string
	Refs []int
}

// An item of a list, with what stands beneath it.
type item struct {
	line
	Head     string // in bold before the text
	Cautions []string
}

// A table has a heading for each column, and rows as wide.
type table struct {
	Head []string
	Rows [][]string
}

// A note is a footnote.
type note struct{ Words, Source, Status string }

// refs numbers notes in the order they are met, each once.
func (p *page) refs(list []repair.Note) []int {
	var out []int
	seen := map[int]bool{}
	for _, n := range list {
		k := note{owners(n.Words), n.Source, string(n.Status)}
		i, ok := p.noted[k]
		if !ok {
			p.Notes = append(p.Notes, k)
			i = len(p.Notes)
			p.noted[k] = i
		}
		if !seen[i] {
			seen[i] = true
			out = append(out, i)
		}
	}
	return out
}

func (s *section) para(text string, refs ...int) {
	if text != "" {
		s.Blocks = append(s.Blocks, block{Para: &line{text, refs}})
	}
}

func (s *section) list(items []item, ordered bool) {
	if len(items) > 0 {
		s.Blocks = append(s.Blocks, block{Items: items, Ordered: ordered})
	}
}

// add keeps a section that says something.
func (p *page) add(s section) {
	if len(s.Blocks) > 0 {
		p.Sections = append(p.Sections, s)
	}
}
