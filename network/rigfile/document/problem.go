package document

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// A Problem is one thing wrong in a file: where, at which part, what, and what
// to do about it.
type Problem struct {
	File         string
	Line, Column int    // from 1; a column counts characters
	Kind         string // the part's kind, such as "tube"; empty where no part is meant
	Name         string // the part's name; empty where it has none
	What         string
	Fix          string // empty where What says it all
}

// Error returns the problem on one line: file:line:column: kind "name": what; fix.
func (p Problem) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s:%d:%d: ", p.File, p.Line, p.Column)
	if p.Kind != "" {
		b.WriteString(p.Kind)
		if p.Name != "" {
			fmt.Fprintf(&b, " %q", p.Name)
		}
		b.WriteString(": ")
	}
	b.WriteString(p.What)
	if p.Fix != "" {
		b.WriteString("; " + p.Fix)
	}
	return b.String()
}

// Problems is everything wrong in one file, in the order of the file.
type Problems []Problem

// Error returns the problems, one a line.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}

// Err returns the problems as an error, and nil where there are none.
func (ps Problems) Err() error {
	if len(ps) == 0 {
		return nil
	}
	return ps
}

// Sort brings the problems into the file's order and drops repeats.
func (ps *Problems) Sort() {
	slices.SortStableFunc(*ps, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column), cmp.Compare(a.What, b.What))
	})
	*ps = slices.Compact(*ps)
}
