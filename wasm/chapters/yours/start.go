package yours

import (
	"fmt"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/sim/diagnose"
	"quietpump/wasm/sheet"
)

// tapped takes a press of the big button.
func (c *Chapter) tapped(at time.Time) {
	before, had := c.ear.last()
	was := c.ear.next()
	c.ear.tapped(at)
	c.said = "A " + was + " is noted."
	if had {
		c.said = fmt.Sprintf("A %s, %s after the last tap.", was, span(at.Sub(before).Seconds()))
	}
}

// startSheet is the first screen: what happens, and the button.
func (c *Chapter) startSheet(s *sheet.Sheet) {
	s.Title = "Every tap is shut. What happens?"
	what := sheet.Choice{Do: "what", Chosen: c.what, Answers: []sheet.Answer{{Arg: pumpStarts, Text: "pump starts"}, {Arg: tankRises, Text: "tank rises"}, {Arg: reliefDrips, Text: "relief drips"}}}
	hose := sheet.Choice{Do: "hose", Ask: "Is a hose on (city water)?", Chosen: c.hose, Answers: []sheet.Answer{{Arg: "off", Text: "hose off"}, {Arg: "on", Text: "hose on"}}}
	parts := &sheet.Button{Do: "next", Text: "Find out where"}
	switch c.what {
	case tankRises:
		s.Add(what, hose)
		s.Add(sheet.Words{Text: "Water gets into the fresh tank. Before you watch it on the hose: see that the tank's overflow and vent are free and lead outdoors. Stay beside it, never leave it or sleep on it.", Style: sheet.Caution},
			sheet.Words{Text: "Read the tank's level now, and once more later: a rule at a clear hose is best, the lamps will do."},
			sheet.Buttons{List: []sheet.Button{{Do: "level", Arg: "level", Text: "I have two heights"}, {Do: "level", Arg: "lamps", Text: "I have the lamps"}, {Do: "level", Arg: "spill", Text: "It spills"}}})
		s.Next = parts
	case reliefDrips:
		s.Add(what, hose)
		s.Add(sheet.Words{Text: "Never plug or defeat a relief valve, and do not work its lever to let pressure out: it is hot there.", Style: sheet.Caution})
		s.Add(sheet.Choice{Do: "heater", Ask: "The water heater meanwhile", Chosen: string(c.job.Heater), Answers: heaterAnswers()[:3]})
		s.Next = parts
	default:
		n := len(c.ear.Taps)
		if n == 0 {
			s.Add(what)
		} else if t := c.rhythm(); t != "" {
			s.Title = t
		} else {
			s.Title = "Now wait for the next"
		}
		c.listenTo(s, c.roughly)
		s.Add(hose)
		if c.hose == "on" {
			s.Add(sheet.Words{Text: "The hose's pressure keeps the pump asleep. Take the hose off at the spigot, switch the pump on, and listen then.", Style: sheet.Caution})
		}
		if n == 0 {
			both := "starts"
			if c.ear.Both {
				both = "both"
			}
			s.Add(sheet.Choice{Do: "both", Ask: "Tap at", Chosen: both, Answers: []sheet.Answer{{Arg: "starts", Text: "each start"}, {Arg: "both", Text: "each start and stop"}}},
				sheet.Words{Text: "Stops, too, make the answer surer. Each tap is kept with its time, even if the phone sleeps or the page is closed.", Style: sheet.Small},
				sheet.Buttons{List: []sheet.Button{{Do: "go", Arg: atEnter, Text: "I know it already"}, {Do: "next", Text: "Go on without listening"}}})
		} else {
			s.Add(sheet.Buttons{List: []sheet.Button{{Do: "over", Text: "Begin again"}}})
		}
		if _, ok := c.heard(); ok {
			s.Next = parts
		}
	}
	s.Add(sheet.Words{Text: "A job card or a rig file of this water system can be opened here, or dropped on the page.", Style: sheet.Small},
		sheet.Open{Do: "file", Text: "Open a card or rig file"})
	if c.job.File != "" {
		s.Add(sheet.Words{Text: "The water system is as " + c.job.File + " tells it.", Style: sheet.Small})
	}
	if s.Next == nil && len(c.job.Read) > 0 {
		s.Next = &sheet.Button{Do: "next", Text: "Go on with it"}
	}
}

// rhythm is what the taps say by themselves; empty: nothing yet.
func (c *Chapter) rhythm() string {
	r, ok := c.heard()
	switch {
	case !ok:
		return ""
	case len(r.Rest) > 0 && len(r.Run) > 0:
		return fmt.Sprintf("Quiet for %s, then it runs for %s", mean(r.Rest), mean(r.Run))
	case len(r.Rest) > 0:
		return fmt.Sprintf("Quiet for %s", mean(r.Rest))
	case len(r.Every) > 0:
		return fmt.Sprintf("It starts every %s", mean(r.Every))
	case len(r.Run) > 0:
		return fmt.Sprintf("It runs for %s", mean(r.Run))
	}
	return fmt.Sprintf("No start in %s", span(r.NoStart.Seconds()))
}

// listenTo adds the big button, what goes with it, and what it has told so far.
func (c *Chapter) listenTo(s *sheet.Sheet, tells func() string) {
	n := len(c.ear.Taps)
	text := "TAP WHEN IT STARTS"
	if c.ear.next() == stops {
		text = "TAP WHEN IT STOPS"
	}
	if n == 0 {
		s.Add(sheet.Tap{Do: "heard", Text: text})
		return
	}
	row := sheet.Buttons{List: []sheet.Button{{Do: "undo", Text: "Undo"}, {Do: "missed", Text: "Missed one", Off: c.ear.Taps[n-1] == 0}}}
	if _, ok := c.ear.last(); ok && n == 1 {
		row.List = append(row.List, sheet.Button{Do: "quiet", Text: "No start so far"})
	}
	// The button stays whole on a phone, and all stays where it is when the words change.
	s.Add(sheet.Tap{Do: "heard", Text: text}, row)
	if told := tells(); told != "" {
		s.Add(sheet.Words{Text: told})
	}
}

// roughly says what the taps tell before anything is known of the plumbing.
func (c *Chapter) roughly() string {
	r, ok := c.heard()
	switch {
	case !ok:
		return "The first is noted. The longer the next one takes, the smaller the leak. The time is kept even if the phone sleeps."
	case len(r.Rest)+len(r.Every) == 0 && r.NoStart == 0:
		return "Now the next start."
	}
	b := c.belief()
	if b == nil {
		return "Working out what that means."
	}
	if b.Size.High <= 0 {
		return ""
	}
	return assumedSize(b, c.sys)
}

// assumedSize says how much gets away in a water system like most.
func assumedSize(b *diagnose.Belief, sys unit.System) string {
	return fmt.Sprintf("In a water system like most, %s gets away. Assumed, not known: a few questions about yours narrow it.", between(b, sys))
}

// mean is the middle of some times, as people say it.
func mean(list []diagnose.Time) string {
	sum := 0.0
	for _, t := range list {
		sum += t.Value.Seconds()
	}
	return span(sum / float64(len(list)))
}

// leaveStart goes on to the questions, or where they are answered to the answer.
func (c *Chapter) leaveStart() {
	if c.what == tankRises {
		c.job.Facts.Creeps = diagnose.Yes
	}
	c.commit()
	if c.what == reliefDrips && c.job.Answers["heater"] != no {
		if _, told := c.job.saw("relief valve", diagnose.Drip); !told {
			if _, has := c.rig().Part("relief valve"); has {
				c.job.hand(diagnose.Reading{Lineup: c.base(), Look: []diagnose.Look{{At: "relief valve", For: diagnose.Drip, Saw: diagnose.Yes}}}, false)
			}
		}
	}
	switch i := c.job.Answers.left(); {
	case c.job.told != nil:
		c.goTo(atLooks)
	case i >= 0:
		c.goTo(atAsk)
		c.ask = i
	default:
		c.goTo(atAnswer)
	}
}

func heaterAnswers() []sheet.Answer {
	return []sheet.Answer{{Arg: string(diagnose.HeaterSettled), Text: "off and cold"}, {Arg: string(diagnose.HeaterWarming), Text: "heating"}, {Arg: string(diagnose.HeaterCooling), Text: "switched off lately"}, {Arg: "", Text: "can't tell"}}
}
