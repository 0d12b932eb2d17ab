package yours

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"quietpump/network"
	"quietpump/sim/diagnose"
	"quietpump/wasm/frame"
	"quietpump/wasm/scene"
	"quietpump/wasm/sheet"
)

// An entry is a reading that is being told.
type entry struct {
	Kind     string            `json:"kind,omitempty"`
	Lineup   string            `json:"lineup,omitempty"` // how the valves stood; empty: as they were first
	values   map[string]string // by kind and blank
	problems map[string]string // by blank
	box      frame.Box         // where the valves are drawn, to be touched
}

func (e *entry) tell(blank, value string) {
	if e.values == nil {
		e.values = map[string]string{}
	}
	e.values[e.Kind+"."+blank] = value
	delete(e.problems, blank)
}

// told is what was told in the blanks of the kind.
func (e *entry) told() map[string]string {
	out := map[string]string{}
	for key, v := range e.values {
		if blank, ok := strings.CutPrefix(key, e.Kind+"."); ok {
			out[blank] = v
		}
	}
	return out
}

// lineup is how the valves stood for what is told.
func (c *Chapter) lineup() network.Lineup {
	if c.enter.Lineup != "" {
		if l, err := c.rig().Lineup(c.enter.Lineup); err == nil {
			return l
		}
	}
	return c.base()
}

// turn turns a valve of the lineup for what is told, unless that is never to be done.
func (c *Chapter) turn(part string) {
	now := c.lineup()
	to, ok := scene.Turn(c.rig(), now, part)
	if !ok {
		return
	}
	l := maps.Clone(now)
	if l == nil {
		l = network.Lineup{}
	}
	l[part] = to
	if refused := c.refused(l); len(refused) > 0 && len(c.refused(now)) == 0 {
		c.problem = owners(refused[0])
		return
	}
	c.picked = part
	c.enter.Lineup = l.String()
	p, _ := c.rig().Part(part)
	c.said = fmt.Sprintf("%s: %s.", capital(part), standing(p, to))
}

// refused says why a lineup is never to be set; nothing where it may be.
func (c *Chapter) refused(l network.Lineup) []string {
	var list []string
	for _, r := range c.job.thecase().Refuse(l) {
		list = append(list, r.Words)
	}
	if b := c.belief(); b != nil {
		for _, r := range b.Refused {
			if r.Rule == diagnose.RunsOn && r.Lineup.String() == l.String() {
				list = append(list, r.Words)
			}
		}
	}
	return list
}

// enterSheet is where a reading is told by hand: what, and how the valves stood.
func (c *Chapter) enterSheet(s *sheet.Sheet) {
	rig := c.rig()
	k, ok := kindOf(c.enter.Kind)
	s.Title = "What did you see?"
	if ok {
		s.Title = capital(k.Text)
	}
	which := sheet.Choice{Do: "kind"}
	for _, x := range kinds {
		if x.there == nil || x.there(rig) {
			which.Answers = append(which.Answers, sheet.Answer{Arg: x.Key, Text: x.Text})
		}
	}
	if !ok {
		s.Add(which, sheet.Buttons{List: []sheet.Button{{Do: "go", Arg: atAnswer, Text: "Not now"}}})
		return
	}
	if c.step != nil && c.step.Do == diagnose.DoTest {
		s.Add(sheet.Words{Text: owners(c.step.Words)})
		for _, x := range c.step.Cautions {
			s.Add(sheet.Words{Text: owners(x), Style: sheet.Caution})
		}
	} else if k.Say != "" {
		s.Add(sheet.Words{Text: k.Say})
	}
	values := c.enter.told()
	for _, b := range k.blanks {
		if b.pick != nil {
			ask := sheet.Choice{Do: "blank " + b.Key, Ask: b.Ask, Chosen: values[b.Key]}
			for _, name := range b.pick(rig) {
				ask.Answers = append(ask.Answers, sheet.Answer{Arg: name, Text: name})
			}
			s.Add(ask)
			if problem := c.enter.problems[b.Key]; problem != "" {
				s.Add(sheet.Words{Text: problem, Style: sheet.Caution})
			}
			continue
		}
		ask := b.Ask
		if bare := b.bare[c.sys]; bare != "" {
			ask += ", " + bare
		}
		s.Add(sheet.Field{Do: "blank " + b.Key, Ask: ask, Value: values[b.Key], Hint: b.Hint[c.sys], Problem: c.enter.problems[b.Key]})
	}
	c.valves(s)
	s.Add(sheet.Buttons{List: []sheet.Button{{Do: "kind", Text: "Something else"}, {Do: "go", Arg: atAnswer, Text: "Not now"}}})
	s.Next = &sheet.Button{Do: "next", Text: "Put it on the card"}
}

// valves are how everything stood that a hand turns; a press turns it.
func (c *Chapter) valves(s *sheet.Sheet) {
	rig, l := c.rig(), c.lineup()
	s.Add(sheet.Words{Text: "How the valves stood: press to turn, here or in the drawing", Style: sheet.Head})
	var row sheet.Buttons
	for _, p := range rig.Parts() {
		if _, ok := scene.Turn(rig, l, p.ID()); ok {
			row.List = append(row.List, sheet.Button{Do: "turn", Arg: p.ID(), Text: fmt.Sprintf("%s: %s", p.ID(), standing(p, l.Of(p)))})
		}
	}
	s.Add(row)
}

// entered puts what was told on the card.
func (c *Chapter) entered() {
	k, ok := kindOf(c.enter.Kind)
	if !ok {
		c.goTo(atAnswer)
		return
	}
	if why := c.refused(c.lineup()); len(why) > 0 {
		c.problem = owners(why[0])
		return
	}
	r, problems := k.read(c.sys, c.rig(), c.lineup(), c.enter.told())
	if problems != nil {
		c.enter.problems = problems
		c.said = problems[slices.Sorted(maps.Keys(problems))[0]]
		return
	}
	was := slices.Clone(c.job.Read)
	c.job.hand(r, k.apart && len(r.Look) == 0)
	if _, err := diagnose.Begin(c.job.thecase(), diagnose.Options{}); err != nil {
		c.job.Read = was
		c.problem = "That cannot have been so: " + err.Error()
		return
	}
	c.enter, c.step = entry{Lineup: c.enter.Lineup}, nil
	c.said = "It is on the card."
	c.goTo(atAnswer)
}
