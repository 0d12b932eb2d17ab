package yours

import (
	"fmt"
	"path"
	"strings"

	"quietpump/sim/diagnose/jobcard"
	"quietpump/sim/report"
	"quietpump/testdata/rigs"
	"quietpump/wasm/desk"
	"quietpump/wasm/sheet"

	"quietpump/hydraulics/unit"
)

// marshal is the job as the text of its card.
func marshal(j *job) []byte { return jobcard.Marshal(j.card()) }

// house is the file of a rig of the house.
func house(name string) ([]byte, error) {
	data, err := rigs.Files.ReadFile(name + ".rig.toml")
	if err != nil {
		return nil, fmt.Errorf("yours: there is no rig %q in the house", name)
	}
	return data, nil
}

// file takes in what was dropped on the page, or chosen. Where it cannot be used all
// that is wrong with it is said, and nothing has changed.
func (c *Chapter) file(at string) {
	name := path.Base(at)
	data, err := c.open(at)
	if err == nil {
		// A rig file that a card names has to be dropped before it.
		err = c.job.take(name, data, func(rig string) ([]byte, error) {
			data, err := c.open("/in/" + path.Base(rig))
			if err != nil {
				return nil, fmt.Errorf("drop %s on the page first, then the card", path.Base(rig))
			}
			return data, nil
		})
	}
	if err != nil {
		c.problem = err.Error()
		c.said = name + " cannot be used as it is written."
		return
	}
	c.step, c.enter = nil, entry{}
	if isCard(name, data) {
		c.ear = listening{}
	}
	c.said = name + " is taken in."
	switch {
	case len(c.job.Read) > 0:
		c.goTo(atAnswer)
	case c.page == atAsk:
		c.goTo(atLooks)
	}
}

// give hands something out: the card, or the page.
func (c *Chapter) give(what string) {
	if what == "card" {
		c.effects = append(c.effects, desk.Effect{Do: "save", Name: "water-system.card.toml", Data: marshal(&c.job)})
		return
	}
	r := c.told()
	if r == nil {
		c.said = "It is being worked out."
		return
	}
	var b strings.Builder
	e := desk.Effect{Do: what, Name: "water-system.html"}
	var err error
	switch what {
	case "share":
		e.Name = "water-system.txt"
		err = report.Text(&b, r, c.sys)
	case "page":
		e.Do = "save"
		err = report.HTML(&b, r, c.sys)
	case "print":
		err = report.HTML(&b, r, c.sys)
	default:
		return
	}
	if err != nil {
		c.problem = err.Error()
		return
	}
	e.Data = []byte(b.String())
	c.effects = append(c.effects, e)
}

// sectionsOf are the report's sections by name.
func sectionsOf(r *report.Report, sys unit.System) (title string, by map[string]report.Section, err error) {
	title, list, err := report.Sections(r, sys)
	by = map[string]report.Section{}
	for _, x := range list {
		by[x.ID] = x
	}
	return title, by, err
}

// takeOut takes a reading off the card.
func (c *Chapter) takeOut(i int) {
	if i < 0 || i >= len(c.job.Read) {
		return
	}
	c.job.Read = append(append(c.job.Read[:0:0], c.job.Read[:i]...), c.job.Read[i+1:]...)
	for k := range c.job.Done {
		if c.job.Done[k].Before > i {
			c.job.Done[k].Before--
		}
	}
	c.said = "Taken off the card."
}

// cardSheet is what is on the card.
func (c *Chapter) cardSheet(s *sheet.Sheet) {
	s.Title = "What is on the card"
	if c.job.File != "" {
		s.Add(sheet.Words{Text: "The water system is as " + c.job.File + " tells it.", Style: sheet.Small})
	}
	if len(c.job.Read) == 0 {
		s.Add(sheet.Words{Text: "Nothing was seen yet."})
	}
	for i := range c.job.Read {
		s.Add(sheet.Words{Text: c.line(i), Style: sheet.Item}, sheet.Button{Do: "out", Arg: fmt.Sprint(i), Text: fmt.Sprintf("Take number %d out", i+1)})
	}
	for _, d := range c.job.Done {
		text := string(d.Do)
		if d.Part != "" {
			text += " of the " + d.Part
		}
		if d.After != "" {
			text += ": " + string(d.After)
		}
		s.Add(sheet.Words{Text: capital(text) + ".", Style: sheet.Item})
	}
	s.Add(sheet.Words{Text: "To keep", Style: sheet.Head},
		sheet.Buttons{List: []sheet.Button{{Do: "give", Arg: "card", Text: "Save the job card"}, {Do: "go", Arg: atEnter, Text: "Put something on it"}}},
		sheet.Open{Do: "file", Text: "Open a card or rig file"},
		sheet.Words{Text: "Another water system", Style: sheet.Head},
		sheet.Words{Text: "This clears all that was told and tapped here. Save the card first if you need it.", Style: sheet.Small},
		sheet.Buttons{List: []sheet.Button{{Do: "new", Text: "Begin with another"}}})
	s.Next = &sheet.Button{Do: "next", Text: "Back to the answer"}
}

// line is a reading in words, as the report has them.
func (c *Chapter) line(i int) string {
	return fmt.Sprintf("%d. %s", i+1, report.Seen(c.job.thecase().Readings[i], c.sys))
}
