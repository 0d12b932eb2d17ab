package yours

import (
	"fmt"
	"strings"

	"quietpump/hydraulics/unit"
	"quietpump/sim/chart"
	"quietpump/sim/diagnose"
	"quietpump/sim/report"
	"quietpump/wasm/sheet"
)

// told is the report as far as it has been worked out.
func (c *Chapter) told() *report.Report {
	switch {
	case c.work == nil || c.work.belief == nil:
		return nil
	case c.work.report != nil:
		return c.work.report
	}
	return &report.Report{Case: c.job.thecase(), Belief: c.work.belief}
}

// between is how much gets away, in the words of the report.
func between(b *diagnose.Belief, sys unit.System) string {
	return sys.SayBetween(b.Size.Low, b.Size.High)
}

// pending says that work is going on, or why there is none.
func (c *Chapter) pending(s *sheet.Sheet) {
	if c.work == nil || c.work.problem == nil {
		s.Title = "Working it out"
		s.Add(sheet.Words{Text: "Everything that could be behind it is computed on your water system and compared with what you saw. Nothing of it leaves this device."})
		return
	}
	s.Title = "This cannot be worked out yet"
	for _, line := range strings.Split(c.work.problem.Error(), "\n") {
		s.Add(sheet.Words{Text: line, Style: sheet.Item})
	}
	s.Add(sheet.Buttons{List: []sheet.Button{{Do: "go", Arg: atCard, Text: "See what is on the card"}}})
}

// sections of the report that have a page of their own in the note, and what leads to
// each.
var sections = []struct{ ID, Text string }{
	{"waiting", "If you leave it"}, {"cures", "Try this first"}, {"worksheet", "The swap, step by step"}, {"proof", "Prove it"},
	{"evidence", "What it rests on"}, {"paths", "Where it could be going"}, {"cautions", "Before you work on it"}, {"assumed", "Assumed, not told"},
}

// answerSheet is what it could be, and what to do next.
func (c *Chapter) answerSheet(s *sheet.Sheet) {
	r := c.told()
	if r == nil {
		c.pending(s)
		return
	}
	title, list, err := report.Sections(r, c.sys)
	if err != nil {
		s.Title = "Nothing can be said yet"
		return
	}
	s.Title = title
	for _, x := range list {
		if x.ID != "answer" {
			continue
		}
		for i, l := range x.Lines {
			if l.Lead {
				continue
			}
			style := sheet.Plain
			if i == 0 {
				style = sheet.Finding
			}
			s.Add(sheet.Words{Text: l.Text, Style: style})
		}
	}
	c.advice(s, r)
	if r.Suspects != nil {
		var svg strings.Builder
		if column(r.Suspects).SVG(&svg, c.sys, "suspects") == nil {
			s.Add(sheet.Picture{SVG: svg.String()})
		}
	}
	if c.job.told == nil {
		if assumed := c.job.plumbed().Assumed; assumed != "" {
			s.Add(sheet.Words{Text: assumed, Style: sheet.Small})
		}
	}
	c.instead(s, r)
	s.Add(sheet.Words{Text: "Something else seen?", Style: sheet.Head},
		sheet.Buttons{List: []sheet.Button{{Do: "go", Arg: atEnter, Text: "Put it on the card"}, {Do: "go", Arg: atStart, Text: "Listen again"}, {Do: "go", Arg: atLooks, Text: "Free looks"}}})
	s.Add(sheet.Words{Text: "To read", Style: sheet.Head})
	var row sheet.Buttons
	for _, x := range sections {
		for _, has := range list {
			if has.ID == x.ID {
				row.List = append(row.List, sheet.Button{Do: "section", Arg: x.ID, Text: x.Text})
			}
		}
	}
	s.Add(row)
	s.Add(sheet.Words{Text: "To keep", Style: sheet.Head})
	s.Add(sheet.Buttons{List: []sheet.Button{
		{Do: "give", Arg: "print", Text: "Print the page"}, {Do: "give", Arg: "page", Text: "Save the page"}, {Do: "give", Arg: "share", Text: "Send it"},
		{Do: "give", Arg: "card", Text: "Save the job card"}, {Do: "go", Arg: atCard, Text: "What is on the card"},
	}})
	if c.work.busy() {
		s.Add(sheet.Words{Text: "The pages below are being worked out.", Style: sheet.Small})
	}
}

// advice is the next step with its meaning.
func (c *Chapter) advice(s *sheet.Sheet, r *report.Report) {
	if len(r.Belief.Next) == 0 {
		return
	}
	n := r.Belief.Next[0]
	s.Add(sheet.Words{Text: "Next", Style: sheet.Head}, sheet.Words{Text: owners(stopped(n.Words)) + about(n, c.sys)})
	for _, x := range n.Cautions {
		s.Add(sheet.Words{Text: owners(x), Style: sheet.Caution})
	}
	if len(n.Outcomes) > 0 {
		cells := [][]string{{"if you see", "how likely", "then first comes"}}
		for _, o := range n.Outcomes {
			cells = append(cells, []string{owners(o.Words), diagnose.Chance(o.Chance), o.Then})
		}
		s.Add(sheet.Rows{Cells: cells})
	}
	s.Next = &sheet.Button{Do: "next", Text: doing(n)}
}

// instead are the steps that could be taken in its place, and those that never are.
func (c *Chapter) instead(s *sheet.Sheet, r *report.Report) {
	var row sheet.Buttons
	for i, x := range r.Belief.Next {
		if i == 0 || i > 3 {
			continue
		}
		row.List = append(row.List, sheet.Button{Do: "step", Arg: fmt.Sprint(i), Text: owners(short(x.Words))})
	}
	if len(row.List) > 0 {
		s.Add(sheet.Words{Text: "If that cannot be done", Style: sheet.Head}, row)
	}
	seen := map[string]bool{}
	for _, f := range r.Belief.Refused {
		if !seen[f.Words] {
			if len(seen) == 0 {
				s.Add(sheet.Words{Text: "Not to be done, and why", Style: sheet.Head})
			}
			seen[f.Words] = true
			s.Add(sheet.Words{Text: owners(f.Words), Style: sheet.Item})
		}
	}
}

// doing is what the button of a step says.
func doing(n diagnose.Choice) string {
	switch {
	case n.Do == diagnose.DoLook && n.Part == round:
		return "Go round the taps"
	case n.Do == diagnose.DoLook:
		return "Look at the " + n.Part
	case n.Do == diagnose.DoQuiet:
		return "Prove that it is quiet"
	case n.Do == diagnose.DoSwap:
		return "Swap the " + n.Part
	case n.Do == diagnose.DoCure && n.Part != "":
		return "Mend the " + n.Part
	case n.For == diagnose.ACup:
		return "Draw a cup"
	case n.For == diagnose.Charge:
		return "Read its air charge"
	case n.For == diagnose.ALevel:
		return "Watch the tank's level"
	case n.Do == diagnose.DoTest:
		return "Set the valves and listen"
	}
	return "Do this"
}

// about is how long a step takes.
func about(n diagnose.Choice, sys unit.System) string {
	if n.Minutes <= 0 {
		return ""
	}
	return " About " + span(n.Minutes*60) + "."
}

// sectionSheet is one section of the report.
func (c *Chapter) sectionSheet(s *sheet.Sheet) {
	r := c.told()
	if r == nil {
		c.pending(s)
		return
	}
	_, list, _ := report.Sections(r, c.sys)
	s.Next = &sheet.Button{Do: "next", Text: "Back to the answer"}
	for _, x := range list {
		if x.ID == c.section {
			s.Title = x.Heading
			addLines(s, x.Lines)
			if x.ID == "evidence" {
				for i, p := range r.Pictures {
					var svg strings.Builder
					if p != nil && column(p).SVG(&svg, c.sys, fmt.Sprint("evidence", i)) == nil {
						s.Add(sheet.Words{Text: p.Title(c.sys), Style: sheet.Head}, sheet.Picture{SVG: svg.String()})
					}
				}
			}
			return
		}
	}
	s.Title = "There is nothing to say of that here"
	if c.work.busy() {
		s.Title = "Working it out"
	}
}

// column is a picture as wide as the narrowest note, so that its words are nowhere
// made smaller than they are.
func column(p report.Picture) report.Picture {
	if f, ok := p.(chart.Figure); ok {
		f.Width = 256
		return f
	}
	return p
}

// addLines puts lines of the report into the note.
func addLines(s *sheet.Sheet, lines []report.Line) {
	for _, l := range lines {
		switch {
		case l.Table != nil:
			s.Add(sheet.Rows{Cells: l.Table})
		case l.Item > 0:
			s.Add(sheet.Words{Text: fmt.Sprintf("%d. %s", l.Item, l.Text)})
		case l.Item < 0:
			s.Add(sheet.Words{Text: l.Text, Style: sheet.Item})
		case l.Lead:
			s.Add(sheet.Words{Text: l.Text, Style: sheet.Finding})
		case l.Label:
			s.Add(sheet.Words{Text: l.Text, Style: sheet.Head})
		default:
			s.Add(sheet.Words{Text: l.Text})
		}
		for _, x := range l.Cautions {
			s.Add(sheet.Words{Text: x, Style: sheet.Caution})
		}
	}
}
