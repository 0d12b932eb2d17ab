package find

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"quietpump/hydraulics/unit"
	"quietpump/sim/diagnose"
	"quietpump/wasm/chapters/stage"
	"quietpump/wasm/frame"
	"quietpump/wasm/scene"
	"quietpump/wasm/sheet"
)

// called are the systems in a reader's words.
var called = map[string]string{"camper": "a small camper", "nosuction": "a trailer", "twopath": "a coach", "bypass": "a coach with a heater bypass", "twopumps": "a coach with two pumps"}

// Sheet is the margin note as it stands.
func (c *Chapter) Sheet(look frame.Look) sheet.Sheet {
	if c.over {
		return c.answer(look.Units)
	}
	sys := look.Units
	l := c.stage.Live
	var s sheet.Sheet
	s.Title = "One part lets a little by. Which?"
	pump, _ := l.Pump()
	now := "The pump rests."
	if l.Running(pump.Name) {
		now = "The pump runs."
	}
	if halted := l.Halted(); halted != "" {
		now = halted
	}
	s.Add(sheet.Words{Text: fmt.Sprintf("Riddle %d, in %s. Every tap is shut, yet the pump starts again and again.", c.riddle.seed, called[c.riddle.system]), Style: sheet.Small},
		sheet.Words{Text: fmt.Sprintf("%s On the bill: %d min.", now, minutes(c.bill.total())), Style: sheet.Finding})
	if c.refuse != "" {
		s.Add(sheet.Words{Text: c.refuse, Style: sheet.Caution})
	}
	if c.told != "" {
		s.Add(sheet.Words{Text: c.told})
	}
	s.Add(sheet.Tap{Do: "start", Text: "TAP WHEN IT STARTS", Small: true})
	s.Add(sheet.Words{Text: c.watching()})
	row := sheet.Buttons{List: []sheet.Button{
		{Do: "quiet", Text: "It stays quiet: note it"},
		{Do: "cup", Text: "Draw a cup slowly"},
	}}
	if len(c.notes.Taps) > 0 {
		row.List = append(row.List, sheet.Button{Do: "undo", Text: "Undo the last tap"})
	}
	s.Add(row)
	looks, listed := sheet.Buttons{}, map[string]bool{}
	for i := range c.riddle.suspects {
		at, ok := c.riddle.spot(i)
		if !ok || listed[at] || slices.ContainsFunc(c.notes.Readings, func(r reading) bool { return r.Look == at }) {
			continue
		}
		listed[at] = true
		looks.List = append(looks.List, sheet.Button{Do: "look", Arg: strconv.Itoa(i), Text: "at the " + at})
	}
	if len(looks.List) > 0 {
		s.Add(sheet.Words{Text: fmt.Sprintf("Look for a drip, %d min each", lookMinutes), Style: sheet.Head}, looks)
	}
	if len(c.notes.Readings) > 0 {
		s.Add(sheet.Words{Text: "Written down", Style: sheet.Head})
		for _, r := range c.notes.Readings {
			s.Add(sheet.Words{Text: r.words(sys), Style: sheet.Item})
		}
	}
	s.Add(sheet.Words{Text: "Name the part", Style: sheet.Head},
		sheet.Words{Text: fmt.Sprintf("A part that turns out to be sound costs %d min.", wrongMinutes), Style: sheet.Small})
	var names sheet.Buttons
	for i, p := range c.riddle.suspects {
		b := sheet.Button{Do: "name", Arg: strconv.Itoa(i), Text: stage.Spoken(p.Name)}
		for _, k := range c.named {
			b.Off = b.Off || k == i
		}
		if b.Off {
			b.Text += ": sound"
		}
		names.List = append(names.List, b)
	}
	s.Add(names)
	s.Add(sheet.Words{Text: "Turn the things themselves, or press here", Style: sheet.Head})
	s.Add(c.stage.Hands())
	s.Add(c.stage.Clock()...)
	s.Add(sheet.Words{Text: "Or leave it", Style: sheet.Head}, sheet.Buttons{List: []sheet.Button{{Do: "another", Text: "Another riddle"}}})
	s.Say = now
	if told := c.stage.Happened(sys); told != "" {
		s.Say = told
	}
	if c.refuse != "" {
		s.Say = c.refuse
	}
	return s
}

// watching says how the watch that is going on stands.
func (c *Chapter) watching() string {
	every := c.notes.watched()
	switch n := len(c.notes.Taps); {
	case n == 0:
		return "Shut a valve, then see whether the pump still starts as often: what lies behind the valve is then out of it."
	case n == 1:
		return "One start. Tap at the next: the time between is what tells."
	default:
		text := "From start to start: "
		for i, x := range every {
			if i > 0 {
				text += ", "
			}
			text += scene.Span(x)
		}
		return text + "."
	}
}

// answer is the note once the part was named.
func (c *Chapter) answer(sys unit.System) sheet.Sheet {
	q := c.riddle
	guilty := q.suspects[q.guilty]
	var s sheet.Sheet
	s.Title = fmt.Sprintf("It was the %s", guilty.Name)
	s.Add(sheet.Words{Text: fmt.Sprintf("It let %s by. You found it in %d min%s.", sys.Format(q.seep.Flow(45*unit.PSI), 2), minutes(c.bill.total()), wrongs(c.bill.Guesses)), Style: sheet.Finding})
	cells := [][]string{{"", "you", "the search advised"}}
	row := func(name string, a, b string) { cells = append(cells, []string{name, a, b}) }
	if c.search.done {
		b := c.search.bill
		row("watching", told(c.bill.Watching), told(b.Watching))
		row("valves, looks and cups", told(c.bill.Hands), told(b.Hands))
		row("work on sound parts", told(c.bill.Wrong), told(b.Wrong))
		row("together", told(c.bill.total()), told(b.total()))
		s.Add(sheet.Rows{Cells: cells})
		s.Add(sheet.Words{Text: "How the search goes that this library advises", Style: sheet.Head})
		for _, step := range c.search.steps {
			s.Add(sheet.Words{Text: step, Style: sheet.Item})
		}
	} else {
		s.Add(sheet.Words{Text: "The search that this library advises is still being worked out."})
	}
	s.Add(sheet.Words{Text: "What you wrote down, and what it says", Style: sheet.Head})
	if len(c.notes.Readings) == 0 {
		s.Add(sheet.Words{Text: "You wrote nothing down: it was a guess, and a good one."})
	}
	for _, r := range c.notes.Readings {
		s.Add(sheet.Words{Text: r.words(sys), Style: sheet.Item})
	}
	switch {
	case c.says != nil:
		for i, h := range c.says.Hypotheses {
			if i == 4 || h.Belief < 0.01 {
				break
			}
			s.Add(sheet.Words{Text: fmt.Sprintf("%s: %s.", stage.Spoken(h.Name), diagnose.Chance(h.Belief)), Style: sheet.Item})
		}
		for _, g := range c.says.Groups {
			if len(g.Names) > 1 && slices.Contains(g.Names, guilty.Name) {
				s.Add(sheet.Words{Text: "No valve that is left to shut could have told apart: " + strings.Join(g.Names, ", ") + "."})
			}
		}
	case c.belief != nil:
		s.Add(sheet.Words{Text: "It is being weighed."})
	}
	s.Add(sheet.Buttons{List: []sheet.Button{{Do: "again", Text: "The same once more"}}})
	s.Add(sheet.Words{Text: "Look at it at work", Style: sheet.Head})
	s.Add(c.stage.Hands())
	s.Add(c.stage.Clock()...)
	s.Next = &sheet.Button{Do: "another", Text: "Another riddle"}
	s.Say = s.Title + "."
	return s
}

// told is a bill's minutes; none as such.
func told(x float64) string {
	if x == 0 {
		return "none"
	}
	return fmt.Sprintf("%d min", minutes(x))
}

func wrongs(n int) string {
	switch n {
	case 0:
		return ", and opened nothing in vain"
	case 1:
		return ", one part opened in vain"
	}
	return fmt.Sprintf(", %d parts opened in vain", n)
}
