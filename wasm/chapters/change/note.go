package change

import (
	"fmt"
	"math"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/wasm/frame"
	"quietpump/wasm/scene"
	"quietpump/wasm/sheet"
)

// systems are the rigs that can be chosen, by their names in links.
var systems = []sheet.Answer{
	{Arg: "twopath", Text: "a coach"},
	{Arg: "nosuction", Text: "a trailer"},
	{Arg: "noaccumulator", Text: "a van without accumulator"},
	{Arg: "twopumps", Text: "a coach with two pumps"},
	{Arg: "bypass", Text: "a coach with a heater bypass"},
	{Arg: "camper", Text: "a small camper"},
	{Arg: "bench30", Text: "a large coach"},
}

// Sheet is the margin note as it stands.
func (c *Chapter) Sheet(look frame.Look) sheet.Sheet {
	return c.note.Of(c.now, look, func() sheet.Sheet { return c.write(look.Units) })
}

func (c *Chapter) write(sys unit.System) sheet.Sheet {
	if c.wave != nil {
		return c.wavy(sys)
	}
	var s sheet.Sheet
	title, finding := c.finding(sys)
	s.Title = title
	s.Add(sheet.Words{Text: finding, Style: sheet.Finding})
	if c.problem != "" {
		s.Add(sheet.Words{Text: c.problem, Style: sheet.Caution})
	}
	c.seeps(&s, sys)
	c.stores(&s, sys)
	c.supply(&s, sys)
	c.pressure(&s, sys)
	s.Add(sheet.Words{Text: "Touch the things themselves, or press here", Style: sheet.Head},
		sheet.Words{Text: "Pull a tap open by its lever, drag the gauge's needle, slide the water in the tank.", Style: sheet.Small})
	s.Add(c.stage.Clock()...)
	s.Add(c.stage.Hands())
	s.Add(sheet.Words{Text: "The knock of a tap", Style: sheet.Head})
	if tap := c.running(); tap != "" {
		s.Add(sheet.Words{Text: "Flick it shut and see the fast wave in slow motion."}, sheet.Button{Do: "wave", Text: "Flick the " + tap + " shut"})
	} else {
		s.Add(sheet.Words{Text: "Open a tap first: water that runs is what knocks when it is stopped."}, sheet.Button{Do: "wave", Text: "Flick a tap shut", Off: true})
	}
	s.Add(sheet.Choice{Do: "rig", Ask: "Another water system", Chosen: c.stage.Name, Answers: systems})
	next, _ := c.faster()
	s.Next = &sheet.Button{Do: "next", Text: next}
	if s.Say = c.stage.Happened(sys); s.Say == "" {
		s.Say = title + "."
	}
	return s
}

// finding says what the pump has been doing since the last change.
func (c *Chapter) finding(sys unit.System) (title, finding string) {
	l := c.stage.Live
	if halted := l.Halted(); halted != "" {
		return "Time stands still", halted
	}
	h := l.Habit()
	pump, has := l.Pump()
	runs := has && l.Running(pump.Name)
	if from, _ := c.sources(); from == "hose" {
		a := l.Account()
		finding = fmt.Sprintf("In the tank: %s.", scene.Share(scene.Water(sys, a.Tanks), scene.Water(sys, a.Room)))
		if a.Spilled > unit.Litre {
			return "The tank runs over", fmt.Sprintf("%s went over its brim so far.", scene.Water(sys, a.Spilled))
		}
		if len(c.stage.Shown.Faults) > 0 {
			return "On the hose no pump tells you", finding
		}
		return "The hose holds the pressure", finding
	}
	switch {
	case !has:
		return "There is no pump here", "Nothing starts by itself."
	case c.running() != "" && runs:
		return "A tap is open, and the pump runs", "Shut it, and see how long it is quiet."
	case c.running() != "":
		return "A tap is open", "The pressure sinks until the pump starts."
	case h.Cycles > 0:
		return "The pump starts every " + scene.Span(h.Rest+h.Run),
			fmt.Sprintf("Quiet for %s, then it runs for %s: %s starts a day.", scene.Span(h.Rest), scene.Span(h.Run), two(h.Starts))
	case runs:
		return "The pump runs", "It fills the lines."
	}
	finding = fmt.Sprintf("Quiet for %s so far.", scene.Span(h.Quiet))
	if c.set.Seep == "" || c.set.Size == 0 {
		return "Everything is tight, and the pump sleeps", finding
	}
	return "The pump is quiet, but water gets away", finding
}

// seeps asks what lets water by, and how much.
func (c *Chapter) seeps(s *sheet.Sheet, sys unit.System) {
	ask := sheet.Choice{Do: "seep", Ask: "What lets water by", Chosen: c.set.Seep, Answers: []sheet.Answer{{Arg: "nothing", Text: "nothing"}}}
	if ask.Chosen == "" {
		ask.Chosen = "nothing"
	}
	for _, p := range c.suspects() {
		m := mark(p.Seep)
		ask.Answers = append(ask.Answers, sheet.Answer{Arg: m, Text: p.Name})
		if p.Seep.Part == c.stage.Shown.Picked && m != c.set.Seep {
			s.Add(sheet.Button{Do: "seep", Arg: m, Text: "Let the " + p.Name + " leak"})
		}
	}
	if c.set.Seep != "" {
		s.Add(sheet.Slide{Do: "size", Ask: "How much", At: slideAt(c.set.Size, leastSeep, mostSeep),
			Shows: fmt.Sprintf("%s: a cup in %s", sys.Format(c.set.Size, 2), scene.Span(float64(unit.Cup)/float64(c.set.Size)))})
	}
	s.Add(ask)
}

// stores asks for the accumulator.
func (c *Chapter) stores(s *sheet.Sheet, sys unit.System) {
	a, has := bottle(c.stage.Live.Rig())
	slide := sheet.Slide{Do: "bottle", Ask: "The accumulator, a bottle with air in it", Shows: "none"}
	volume := unit.Volume(c.set.Bottle)
	if volume == 0 && has {
		volume = a.Volume
	}
	if volume > 0 {
		slide.At = noBottle + (1-noBottle)*slideAt(volume, leastBottle, mostBottle)
		slide.Shows = sys.Format(volume, 2)
		if has && c.set.Air == "" {
			starts, stops := c.stage.Live.Switch()
			gas := hydraulics.Gas{Volume: volume, Precharge: a.Precharge, Exponent: a.Exponent}
			slide.Shows += fmt.Sprintf("; gives back %s", sys.Format(gas.Drawdown(starts, stops, unit.Atmosphere), 2))
		}
	}
	s.Add(slide)
	if !has {
		return
	}
	air := c.set.Air
	if air == "" {
		air = "all"
	}
	s.Add(sheet.Choice{Do: "air", Ask: "The air in it", Chosen: air, Answers: []sheet.Answer{{Arg: "all", Text: "as it should be"}, {Arg: "half", Text: "half lost"}, {Arg: "none", Text: "all lost"}}})
}

// supply asks where the water comes from, and how much there is.
func (c *Chapter) supply(s *sheet.Sheet, sys unit.System) {
	if from, hookup := c.sources(); hookup {
		s.Add(sheet.Choice{Do: "source", Ask: "Where water comes from", Chosen: from, Answers: []sheet.Answer{{Arg: "pump", Text: "the tank, by the pump"}, {Arg: "hose", Text: "the hose"}}})
	}
	if tank, ok := firstOf[network.Tank](c.stage.Live.Rig()); ok {
		v, _ := c.stage.Live.Sample().Water(tank.Name)
		s.Add(sheet.Slide{Do: "fill", Ask: "In the " + tank.Name, At: math.Round(100*float64(v/tank.Capacity)) / 100, Shows: scene.Water(sys, v)})
	}
}

// pressure asks what the gauge is to show, for those who do not drag its needle.
func (c *Chapter) pressure(s *sheet.Sheet, sys unit.System) {
	l := c.stage.Live
	p, ok := l.Sample().Pressure(l.Gauge())
	if _, stops := l.Switch(); ok && stops > 0 {
		at := math.Round(50*float64(p/(gaugeTo*stops))) / 50
		s.Add(sheet.Slide{Do: "press", Ask: "The pressure in the lines, now", At: min(max(at, 0), 1), Shows: sys.Format(max(unit.Pressure(math.Round(float64(p)/500)*500), 0), 2)})
	}
}

// gaugeTo is how far up the pressure can be set, in times of what the pump stops at.
const gaugeTo = 1.45

// wavy is the note beside the wave.
func (c *Chapter) wavy(sys unit.System) sheet.Sheet {
	w := c.wave
	s := sheet.Sheet{Title: "The " + w.tap + " is flicked shut: it knocks"}
	s.Add(sheet.Words{Text: w.soFar(sys), Style: sheet.Finding})
	for _, text := range w.says(sys) {
		s.Add(sheet.Words{Text: text})
	}
	s.Next = &sheet.Button{Do: "next", Text: "Back to the roll"}
	s.Say = fmt.Sprintf("The %s is flicked shut, and the pressure at it jumps.", w.tap)
	return s
}
