package watch

import (
	"fmt"
	"math"
	"slices"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/wasm/frame"
	"quietpump/wasm/scene"
	"quietpump/wasm/sheet"
)

// Sheet is the margin note as it stands.
func (c *Chapter) Sheet(look frame.Look) sheet.Sheet {
	return c.note.Of(c.now, look, func() sheet.Sheet { return c.write(look.Units) })
}

func (c *Chapter) write(sys unit.System) sheet.Sheet {
	l := c.stage.Live
	starts, stops := l.Switch()
	low, high := sys.Format(starts, 2), sys.Format(stops, 2)
	running := false
	if p, ok := l.Pump(); ok {
		running = l.Running(p.Name)
	}
	h := l.Habit()
	var s sheet.Sheet
	finding, next := "", ""
	say := ""
	switch c.step {
	case asleep:
		s.Title = "Every tap is shut, and the pump sleeps"
		s.Add(sheet.Words{Text: fmt.Sprintf("This is a water system, cut open. Its pump fills the lines until the pressure in them is %s; there its switch puts it to sleep. The pen below the pump writes that pressure on the paper.", high)},
			sheet.Words{Text: "No water leaves. So the line on the paper stays level, and the pump stays quiet, all night if need be."})
		finding = fmt.Sprintf("Quiet for %s, at %s.", scene.Span(h.Quiet), c.pressure(sys))
		next = "Open the " + c.tap
		say = fmt.Sprintf("Every tap is shut. The pump sleeps at %s.", high)
	case opened:
		s.Title = "Water leaves, and the pressure sinks"
		s.Add(sheet.Words{Text: fmt.Sprintf("The %s is open. The pressure sinks to %s, and there the switch starts the pump.", c.tap, low)},
			sheet.Words{Text: "Pressure is all the switch knows. Why it sank, it does not know."})
		switch {
		case running:
			finding = "The pump runs, because water is leaving: " + c.flow(sys) + "."
		case c.since(sim.PumpStops):
			finding = "The pump rests, and will start again at " + low + "."
		default:
			finding = fmt.Sprintf("%s and sinking. The pump starts at %s.", c.pressure(sys), low)
		}
		next = "Shut the tap"
		say = fmt.Sprintf("The %s is open; the pressure sinks to %s and the pump starts.", c.tap, low)
	case shut:
		s.Title = "Shut again: the pump fills up and stops"
		s.Add(sheet.Words{Text: fmt.Sprintf("Nothing leaves now, so the pressure climbs to %s and the pump stops.", high)})
		if name, room, ok := c.store(sys); ok {
			s.Add(sheet.Words{Text: fmt.Sprintf("The %s is a bottle with a cushion of air in it. Between the two printed lines it takes in and gives back about %s, so the pump need not start for every sip.", name, room)})
		} else {
			s.Add(sheet.Words{Text: "There is no bottle of air to hold a little in store here: only the lines themselves, which stretch a hair. A sip is enough to start the pump."})
		}
		if running {
			finding = "The pump fills the lines: " + c.pressure(sys) + "."
		} else {
			finding = fmt.Sprintf("Quiet for %s. It stays so: nothing leaves.", scene.Span(h.Quiet))
		}
		next = fmt.Sprintf("Let the %s leak", c.seep.Part)
		say = fmt.Sprintf("The tap is shut. The pump fills the lines to %s and stops.", high)
	case seeping:
		s.Title = "One part lets a little by, and nobody sees it"
		s.Add(sheet.Words{Text: c.leaks(sys)},
			sheet.Words{Text: "No tap is open. But look at the line on the paper: it sinks."})
		switch {
		case running || h.Cycles > 0 || c.since(sim.PumpStarts):
			finding = fmt.Sprintf("At %s the pump started, by itself.", low)
		default:
			finding = fmt.Sprintf("%s and sinking. The pump starts at %s.", c.pressure(sys), low)
		}
		next = "Why does it start?"
		say = "Water gets away through the " + c.seep.Part + ". The pressure sinks."
	case cycling:
		s.Title = "The switch cannot tell a leak from a tap"
		room := "what the lines hold in store"
		if _, r, ok := c.store(sys); ok {
			room = "the " + r + " in store"
		}
		s.Add(sheet.Words{Text: fmt.Sprintf("Water leaves, the pressure sinks to %s, the pump starts. It puts back %s in a moment, stops at %s and sleeps, until the leak has emptied it once more.", low, room, high)},
			sheet.Words{Text: "So it keeps time like a clock. How long it is quiet tells how large the leak is: twice the leak, half the quiet."})
		if h.Cycles > 0 {
			finding = fmt.Sprintf("Quiet for %s, then it runs for %s. Again and again.", scene.Span(h.Rest), scene.Span(h.Run))
		} else {
			finding = fmt.Sprintf("Watch one whole turn. Now %s.", c.pressure(sys))
		}
		next = "What does it cost?"
		say = "The pump cycles: the leak empties what the pump has filled."
	case costs:
		if c.mended {
			s.Title = "Tight again, and the pump sleeps"
			s.Add(sheet.Words{Text: fmt.Sprintf("The %s holds now. The pump was never at fault: it started because water was leaving.", c.seep.Part)},
				sheet.Words{Text: "Long enough quiet is the proof of a repair. How long is enough can be worked out: the chapter yours does it for your own system."})
			finding = fmt.Sprintf("Quiet for %s.", scene.Span(h.Quiet))
			if running {
				finding = "The pump fills the lines once more: " + c.pressure(sys) + "."
			}
			next = "Watch it from the beginning"
			say = "The leak is mended and the pump sleeps."
			break
		}
		s.Title = "What it costs to leave it"
		if h.Cycles == 0 {
			finding = "Watch one whole turn first."
		} else {
			finding = fmt.Sprintf("The pump starts %s times a day, and no tap was opened.", count(h.Starts))
			cells := [][]string{{"in a day", ""}, {"starts", count(h.Starts)}, {"water pumped for nothing", sys.Format(h.Water, 2)}}
			if h.Charge > 0 {
				cells = append(cells, []string{"from the battery", sys.Format(h.Charge, 2)})
			}
			s.Add(sheet.Rows{Cells: cells})
		}
		s.Add(sheet.Words{Text: c.where()})
		next = "Mend it"
		say = "What it costs in a day: " + finding
	}
	blocks := s.Blocks
	s.Blocks = nil
	s.Add(sheet.Words{Text: fmt.Sprintf("%d of %d", c.step+1, steps), Style: sheet.Small})
	if halted := l.Halted(); halted != "" {
		finding = halted
	}
	s.Add(sheet.Words{Text: finding, Style: sheet.Finding})
	s.Add(blocks...)
	if c.step > 0 {
		s.Add(sheet.Buttons{List: []sheet.Button{{Do: "back", Text: "One step back"}}})
	}
	s.Add(sheet.Words{Text: "Touch the things themselves, or press here", Style: sheet.Head})
	s.Add(c.stage.Clock()...)
	s.Add(c.stage.Hands())
	s.Next = &sheet.Button{Do: "next", Text: next}
	s.Say = say
	if told := c.stage.Happened(sys); told != "" {
		s.Say = say + " " + told
	}
	return s
}

// since reports whether something has happened to the pump since the last change.
func (c *Chapter) since(what sim.What) bool {
	l := c.stage.Live
	list, _ := l.Events(0)
	for _, e := range list {
		if e.What == what && e.At >= l.Time()-l.Habit().Since {
			return true
		}
	}
	return false
}

func (c *Chapter) pressure(sys unit.System) string {
	p, ok := c.stage.Live.Sample().Pressure(c.stage.Live.Gauge())
	if !ok {
		return "no pressure"
	}
	return sys.Format(unit.Pressure(math.Round(float64(p)/500)*500), 2)
}

func (c *Chapter) flow(sys unit.System) string {
	q, _ := c.stage.Live.Sample().Flow(c.tap)
	return sys.Format(q, 2)
}

// store is the accumulator, and what it gives back between the two settings of the
// switch by its charge of air.
func (c *Chapter) store(sys unit.System) (name, room string, ok bool) {
	starts, stops := c.stage.Live.Switch()
	for _, p := range c.stage.Live.Rig().Parts() {
		if a, is := p.(network.Accumulator); is {
			gas := hydraulics.Gas{Volume: a.Volume, Precharge: a.Precharge, Exponent: a.Exponent}
			return a.Name, sys.Format(gas.Drawdown(starts, stops, unit.Atmosphere), 2), true
		}
	}
	return "", "", false
}

// leaks says where the water goes.
func (c *Chapter) leaks(sys unit.System) string {
	q := c.seep.Flow(45 * unit.PSI)
	text := fmt.Sprintf("The %s should be tight, and lets %s by: a cup in %s.", c.seep.Part, sys.Format(q, 2), scene.Span(float64(unit.Cup)/float64(q)))
	if c.round() {
		return text + " It slips back into the tank it came from: no drip, no puddle."
	}
	return text
}

// round reports whether what seeps goes back into the fresh tank.
func (c *Chapter) round() bool {
	return slices.ContainsFunc(c.stage.Live.Rig().EscapePaths(nil), func(path network.EscapePath) bool {
		return path.Suspect.Seep.Part == c.seep.Part && path.To == network.ToFreshTank
	})
}

// where says what becomes of the water.
func (c *Chapter) where() string {
	if c.round() {
		return "The water goes round and round: it is not lost. The battery, the pump and your sleep are. On the hose the same leak would fill the tank until it spills."
	}
	return "And the water is gone, to where nobody looks for it."
}

// count is a number of times, to two figures.
func count(x float64) string {
	if x >= 100 {
		p := math.Pow(10, math.Floor(math.Log10(x))-1)
		return fmt.Sprintf("%.0f", math.Round(x/p)*p)
	}
	return fmt.Sprintf("%.0f", x)
}
