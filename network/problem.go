package network

import (
	"fmt"
	"strings"
)

// A Problem is one thing that cannot be right, or in [Rig.Warnings] one that is
// often regretted: where, what, and what to do about it.
type Problem struct {
	Kind  string // kind of part, or "joint"; empty where the rig as a whole is meant
	Part  string // part's or joint's name
	Field string // in the words of rig files, such as "cut_in", or "positions.2"; empty where no field is meant
	What  string
	Fix   string // what to do
	Other string // the other part or joint concerned, where there is one
	Item  int    // place among the items or faults given, from 1, where no name would find it; else 0
}

// Error returns the problem on one line: kind "name": what; fix.
func (p Problem) Error() string {
	var b strings.Builder
	if p.Kind != "" {
		fmt.Fprintf(&b, "%s %q: ", p.Kind, p.Part)
	}
	b.WriteString(p.What)
	if p.Fix != "" {
		b.WriteString("; " + p.Fix)
	}
	return b.String()
}

// Problems are all that is wrong together. As an error it lists them one a line;
// errors.As finds it.
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

// add notes a problem with a part.
func (ps *Problems) add(p Part, field, what, fix string) {
	*ps = append(*ps, Problem{Kind: p.Kind(), Part: p.ID(), Field: field, What: what, Fix: fix})
}
