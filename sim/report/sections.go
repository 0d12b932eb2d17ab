package report

import (
	"errors"

	"quietpump/hydraulics/unit"
	"quietpump/sim/diagnose"
)

// A Section is one of a page's, in words alone: for a program that shows them in a
// way of its own. Footnotes and pictures are left to the page.
type Section struct {
	ID      string // "answer", "evidence", "next", "waiting", "cures", "worksheet", "proof", "cautions", "paths", "assumed"
	Heading string
	Lines   []Line
}

// A Line is a paragraph, an item of a list, or a table.
type Line struct {
	Text     string
	Lead     bool       // the one to read
	Label    bool       // what the items below it are
	Item     int        // its number in a list that has an order; -1 in one without, 0: no item
	Cautions []string   // that belong to it
	Table    [][]string // in place of Text, its first row the headings
}

// Sections returns the answer in a line, and the page's sections. What the report
// does not have yet is left out, as everywhere.
func Sections(r *Report, sys unit.System) (title string, list []Section, err error) {
	if r == nil {
		return "", nil, errors.New("report: no report")
	}
	if err := check(r.Case, r.Belief); err != nil {
		return "", nil, err
	}
	p := compose(r, sys, false)
	for _, s := range p.Sections {
		out := Section{ID: s.ID, Heading: s.Heading}
		for _, b := range s.Blocks {
			out.Lines = append(out.Lines, linesOf(b)...)
		}
		list = append(list, out)
	}
	return typeset(p.Title), list, nil
}

func linesOf(b block) []Line {
	switch {
	case b.Lead != "":
		return []Line{{Text: typeset(b.Lead), Lead: true}}
	case b.Para != nil:
		return []Line{{Text: typeset(b.Para.Text)}}
	case b.Items != nil:
		var list []Line
		if b.Label != "" {
			list = append(list, Line{Text: typeset(b.Label), Label: true})
		}
		for i, x := range b.Items {
			l := Line{Text: typeset(x.Text), Item: -1}
			if x.Head != "" {
				l.Text = typeset(x.Head + " " + x.Text)
			}
			if b.Ordered {
				l.Item = i + 1
			}
			for _, c := range x.Cautions {
				l.Cautions = append(l.Cautions, typeset(c))
			}
			list = append(list, l)
		}
		return list
	case b.Table != nil && len(b.Table.Rows) > 0:
		rows := [][]string{b.Table.Head}
		rows = append(rows, b.Table.Rows...)
		for i, row := range rows {
			set := make([]string, len(row))
			for k := range row {
				set[k] = typeset(row[k])
			}
			rows[i] = set
		}
		return []Line{{Table: rows}}
	}
	return nil
}

// Seen says what a reading was and how the valves stood, as the page does.
func Seen(r diagnose.Reading, sys unit.System) string {
	return typeset(capital(stood(r.Lineup)) + ": " + seen(r, sys))
}
