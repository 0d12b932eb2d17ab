package yours

import (
	"fmt"
	"maps"
	"slices"
	"time"

	"quietpump/network"
	"quietpump/sim/diagnose"
	"quietpump/wasm/sheet"
)

// A step is one of the belief's that is being done, as it must be kept: the belief
// moves on as soon as something new is told.
type step struct {
	Do       diagnose.Doing `json:"do"`
	Part     string         `json:"part,omitempty"`
	For      diagnose.For   `json:"for,omitempty"`
	Words    string         `json:"words"`
	Lineup   string         `json:"lineup,omitempty"`
	Watch    time.Duration  `json:"watch,omitempty"`
	Cautions []string       `json:"cautions,omitempty"`
}

// begin begins the i-th of the steps that are advised.
func (c *Chapter) begin(i int) {
	b := c.belief()
	if b == nil || i < 0 || i >= len(b.Next) {
		return
	}
	n := b.Next[i]
	c.step = &step{n.Do, n.Part, n.For, n.Words, n.Lineup.String(), n.Watch, n.Cautions}
	switch {
	case n.Do == diagnose.DoQuiet:
		c.holding()
	case n.Do == diagnose.DoTest && n.For == diagnose.AtPumps:
		c.ear = listening{Lineup: n.Lineup.String(), First: stops}
		c.goTo(atListen)
	case n.Do == diagnose.DoTest:
		c.enter = entry{Kind: map[diagnose.For]string{diagnose.ACup: "cup", diagnose.Charge: "charge", diagnose.ALevel: "level"}[n.For], Lineup: n.Lineup.String()}
		c.goTo(atEnter)
	default:
		c.goTo(atStep)
		c.picked = n.Part
	}
}

// holding begins the hold test.
func (c *Chapter) holding() {
	s := step{Do: diagnose.DoQuiet, Words: "Prove that it is quiet"}
	if c.step != nil && c.step.Do == diagnose.DoQuiet {
		s = *c.step
	}
	if r := c.told(); r != nil && r.Hold != nil {
		s.Watch = r.Hold.Quiet
	}
	if s.Watch <= 0 {
		s.Watch = 30 * time.Minute
	}
	s.Lineup = c.base().String()
	c.step = &s
	c.ear = listening{Lineup: s.Lineup, First: stops}
	c.goTo(atListen)
}

// stepSheet is a look, a cure or a swap being done.
func (c *Chapter) stepSheet(s *sheet.Sheet) {
	if c.step == nil {
		c.goTo(atAnswer)
		c.answerSheet(s)
		return
	}
	x := c.step
	s.Title = owners(stopped(x.Words))
	for _, w := range x.Cautions {
		s.Add(sheet.Words{Text: owners(w), Style: sheet.Caution})
	}
	later := sheet.Button{Do: "go", Arg: atAnswer, Text: "Not now"}
	if x.Do == diagnose.DoLook {
		s.Add(sheet.Choice{Do: "did", Ask: "What do you see?", Answers: lookAnswers(x.For)})
		s.Add(sheet.Buttons{List: []sheet.Button{later}})
		return
	}
	if r := c.told(); r != nil {
		_, list, _ := sectionsOf(r, c.sys)
		for _, id := range []string{"cures", "worksheet"} {
			if id == "worksheet" && x.Do != diagnose.DoSwap {
				continue
			}
			if sec, ok := list[id]; ok && r.Worksheet != nil && (r.Worksheet.Part == x.Part || x.Part == "") {
				s.Add(sheet.Words{Text: sec.Heading, Style: sheet.Head})
				addLines(s, sec.Lines)
			}
		}
	}
	s.Add(sheet.Choice{Do: "did", Ask: "Done? Listen for as long as it used to rest, and a little more.", Answers: []sheet.Answer{
		{Arg: string(diagnose.Quiet), Text: "quiet since"}, {Arg: string(diagnose.Same), Text: "as before"}, {Arg: "later", Text: "done, not listened yet"}}})
	s.Add(sheet.Buttons{List: []sheet.Button{later}})
}

func lookAnswers(what diagnose.For) []sheet.Answer {
	seen, not := "water there", "dry"
	switch what {
	case diagnose.Warm:
		seen, not = "it is warm", "it is cold"
	case diagnose.Hiss:
		seen, not = "it hisses", "all still"
	case diagnose.LeftOn:
		seen, not = "one was left on", "all shut"
	}
	return []sheet.Answer{{Arg: yes, Text: seen}, {Arg: no, Text: not}, {Arg: cant, Text: "can't see"}}
}

// did takes how a step went.
func (c *Chapter) did(how string) {
	x := c.step
	if x == nil || c.page != atStep {
		return
	}
	if x.Do == diagnose.DoLook {
		// Each look counts: another one at the same place is another reading.
		c.job.Read = append(c.job.Read, diagnose.Reading{Lineup: c.base(), Look: []diagnose.Look{{At: x.Part, For: x.For, Saw: seen(how)}}})
		if how == cant && x.Part != round { // nobody is sent there again
			if c.job.Access == nil {
				c.job.Access = map[string]diagnose.Access{}
			}
			c.job.Access[x.Part] = diagnose.Access{Effort: diagnose.Cant}
		}
	} else {
		d := diagnose.Done{Do: x.Do, Part: x.Part, Before: len(c.job.Read)}
		switch after := diagnose.After(how); after {
		case diagnose.Quiet, diagnose.Same:
			d.After = after
		}
		c.job.Done = append(c.job.Done, d)
	}
	c.step = nil
	c.said = "It is on the card."
	c.goTo(atAnswer)
}

// ends is when the watch is over; false: it has not begun.
func (c *Chapter) ends() (time.Time, bool) {
	if c.step == nil || len(c.ear.Taps) != 1 || c.ear.Taps[0] == 0 {
		return time.Time{}, false
	}
	return c.ear.Taps[0].time().Add(c.step.Watch), true
}

// listenSheet is a test by the stopwatch, or the hold test.
func (c *Chapter) listenSheet(s *sheet.Sheet) {
	if c.step == nil {
		c.goTo(atAnswer)
		c.answerSheet(s)
		return
	}
	x := c.step
	hold := x.Do == diagnose.DoQuiet
	s.Title = owners(stopped(x.Words))
	if hold {
		s.Title = fmt.Sprintf("%s without a start proves it", capital(span(x.Watch.Seconds())))
	}
	until, begun := c.ends()
	if !begun && len(c.ear.Taps) == 0 {
		for _, w := range x.Cautions {
			s.Add(sheet.Words{Text: owners(w), Style: sheet.Caution})
		}
		switch {
		case hold:
			if r := c.told(); r != nil {
				_, list, _ := sectionsOf(r, c.sys)
				addLines(s, list["proof"].Lines)
			}
		default:
			for i, turn := range c.turns(x.Lineup) {
				s.Add(sheet.Words{Text: fmt.Sprintf("%d. %s", i+1, turn)})
			}
		}
	}
	if begun {
		s.Add(sheet.Countdown{Until: until, Text: "to go. Tap if it starts.", Done: "Time is up."})
	}
	c.listenTo(s, c.roughlyHeard)
	_, some := c.heard()
	over := begun && !c.now.Before(until)
	switch {
	case over && hold:
		s.Next = &sheet.Button{Do: "next", Text: "It stayed quiet"}
	case over:
		s.Next = &sheet.Button{Do: "next", Text: "No start in " + span(x.Watch.Seconds())}
	case some:
		s.Next = &sheet.Button{Do: "next", Text: "That is what I heard"}
	}
	s.Add(sheet.Buttons{List: []sheet.Button{{Do: "over", Text: "Begin again"}, {Do: "go", Arg: atAnswer, Text: "Not now"}}})
}

// roughlyHeard says what was tapped in a test.
func (c *Chapter) roughlyHeard() string {
	r, ok := c.heard()
	switch {
	case !ok && len(c.ear.Taps) > 0:
		return "The stop is noted. Use no water now."
	case len(r.Rest) > 0:
		return fmt.Sprintf("It was quiet for %s.", mean(r.Rest))
	case r.NoStart > 0:
		return fmt.Sprintf("No start in %s.", span(r.NoStart.Seconds()))
	}
	return ""
}

// turns are what hands have to do to set the valves so, from how they stand.
func (c *Chapter) turns(lineup string) []string {
	to, err := c.rig().Lineup(lineup)
	if err != nil {
		return nil
	}
	base := c.base()
	var list []string
	for _, name := range slices.Sorted(maps.Keys(to)) {
		if p, ok := c.rig().Part(name); ok && to.Of(p) != base.Of(p) {
			list = append(list, fmt.Sprintf("%s: %s", capital(name), standing(p, to.Of(p))))
		}
	}
	return list
}

// standing says how a part stands, in the owner's words.
func standing(p network.Part, set network.Setting) string {
	switch {
	case p.Kind() == "hookup" && set == network.On():
		return "on"
	case p.Kind() == "hookup" && set == network.Off():
		return "off"
	case set.Word() == "untouched":
		return "as it was"
	}
	return set.String()
}

// listened puts what was heard in a test on the card.
func (c *Chapter) listened() {
	x := c.step
	until, begun := c.ends()
	over := begun && !c.now.Before(until)
	if over && c.ear.Until == 0 {
		c.ear.Until = tap(c.now.UnixMilli())
	}
	r, ok := c.heard()
	if !ok || x == nil {
		return
	}
	c.job.Read = append(c.job.Read, r)
	if x.Do == diagnose.DoQuiet {
		after := diagnose.Same
		if over && len(r.Rest) == 0 {
			after = diagnose.Quiet
		}
		c.job.Done = append(c.job.Done, diagnose.Done{Do: diagnose.DoQuiet, Before: len(c.job.Read), After: after})
	}
	c.ear, c.step = listening{}, nil
	c.said = "It is on the card."
	c.goTo(atAnswer)
}
