package find

import (
	"fmt"
	"math"
	"slices"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/diagnose"
	"quietpump/wasm/scene"
)

// A search looks for the riddle's fault as the advice of [diagnose] goes, in slices,
// by the same bill as the reader. It knows of the fault only what its tests show.
type search struct {
	riddle *riddle
	c      diagnose.Case
	now    *diagnose.Session
	like   *diagnose.Session
	bill   bill
	steps  []string // what was done, and what it showed
	alike  []string // names that no test could part from the guilty one
	done   bool
}

// mostSteps is how many steps a search may take; then it gives up.
const mostSteps = 15

func newSearch(q *riddle) *search {
	s := &search{riddle: q}
	s.c = diagnose.Case{Rig: q.rig}
	s.c.Readings = []diagnose.Reading{{Rest: timed(q.seen.rest), Run: timed(q.seen.run)}}
	s.bill.Watching = (q.seen.rest + q.seen.run) / 60
	s.steps = []string{fmt.Sprintf("Watch one turn of the pump: quiet for %s, then it runs for %s.", scene.Span(q.seen.rest), scene.Span(q.seen.run))}
	return s
}

func timed(x float64) []diagnose.Time { return []diagnose.Time{{Value: seconds(x)}} }

// advance does some 2 ms of work.
func (s *search) advance() error {
	if s.done {
		return nil
	}
	if s.now == nil {
		var err error
		if s.now, err = diagnose.Begin(s.c, diagnose.Options{Like: s.like}); err != nil {
			s.done = true
			return err
		}
		return nil
	}
	over, err := s.now.Advance()
	if err != nil {
		s.done = true
		return err
	}
	if !over {
		return nil
	}
	b := s.now.Belief()
	s.like, s.now = s.now, nil
	if err = s.take(b); err != nil || len(s.steps) > mostSteps {
		s.done = true
	}
	return err
}

// take takes the step that is advised.
func (s *search) take(b *diagnose.Belief) error {
	name := s.riddle.suspects[s.riddle.guilty].Name
	for _, g := range b.Groups {
		if slices.Contains(g.Names, name) {
			s.alike = g.Names
		}
	}
	if len(b.Next) == 0 {
		s.done = true
		return nil
	}
	switch c := &b.Next[0]; c.Do {
	case diagnose.DoTest:
		return s.test(c)
	case diagnose.DoLook:
		wet := slices.Contains(s.riddle.shows, c.Part) && (c.For == diagnose.Drip || c.For == diagnose.Hiss)
		s.bill.Hands += lookMinutes
		s.steps = append(s.steps, c.Words+": "+map[bool]string{true: "yes.", false: "no."}[wet])
		s.c.Readings = append(s.c.Readings, diagnose.Reading{Look: []diagnose.Look{{At: c.Part, For: c.For, Saw: saw(wet)}}})
		return nil
	case diagnose.DoQuiet:
		s.bill.Watching += 30
		s.steps = append(s.steps, "Watch for half an hour: it is not quiet.")
		s.c.Done = append(s.c.Done, diagnose.Done{Do: c.Do, Before: len(s.c.Readings), After: diagnose.Same})
	case diagnose.DoCure: // a worn seat is not cured by flushing
		s.bill.Hands += c.Minutes
		s.again(c)
	default:
		switch {
		case c.Part == "": // somebody who finds it by other means
			s.steps = append(s.steps, c.Words+".")
			s.bill.Wrong += callMinutes
			s.done = true
			return nil
		case s.works(b, c):
			s.steps = append(s.steps, c.Words+": that was it.")
			s.done = true
			return nil
		}
		s.bill.Wrong += wrongMinutes
		s.bill.Guesses++
		s.again(c)
	}
	return nil
}

// again notes that a step changed nothing, and what the pump does after it.
func (s *search) again(c *diagnose.Choice) {
	s.steps = append(s.steps, c.Words+": no change.")
	s.c.Done = append(s.c.Done, diagnose.Done{Do: c.Do, Part: c.Part, Before: len(s.c.Readings), After: diagnose.Same})
	s.c.Readings = append(s.c.Readings, diagnose.Reading{Rest: timed(s.riddle.seen.rest)})
	s.bill.Watching += s.riddle.seen.rest / 60
}

// works reports whether a swap is of what is at fault.
func (s *search) works(b *diagnose.Belief, c *diagnose.Choice) bool {
	guilty := &s.riddle.suspects[s.riddle.guilty]
	if guilty.Role == network.WeepConnections {
		for _, h := range b.Hypotheses {
			if len(h.Suspects) == 1 && h.Suspects[0].Name == guilty.Name && slices.Contains(h.Parts, c.Part) {
				return true
			}
		}
		return c.Part == guilty.Place
	}
	return c.Part == guilty.Seep.Part
}

// test does a test on the riddle.
func (s *search) test(c *diagnose.Choice) error {
	d := diagnose.Reading{Lineup: c.Lineup}
	what := "Watch again"
	if len(c.Lineup) > 0 {
		what = "With " + c.Lineup.String()
	}
	s.bill.Hands += turnMinutes * float64(len(c.Lineup))
	span := math.Max(c.Watch.Seconds(), 1)
	switch c.For {
	case diagnose.ACup:
		v, err := s.riddle.cup()
		if err != nil {
			return err
		}
		s.bill.Hands += cupMinutes
		d.Cup = []unit.Uncertain[unit.Volume]{{Value: v}}
		s.steps = append(s.steps, fmt.Sprintf("Draw a cup slowly: %s until the pump starts.", unit.US.Format(v, 2)))
	case diagnose.Charge:
		for _, p := range s.riddle.rig.Parts() {
			if a, ok := p.(network.Accumulator); ok {
				d.Precharge = []unit.Uncertain[unit.Pressure]{{Value: a.Precharge}}
			}
		}
		s.bill.Hands += cupMinutes
		s.steps = append(s.steps, "Read the accumulator's charge: as it should be.")
	case diagnose.ALevel:
		levels, err := s.riddle.levels(c.Lineup, span)
		if err != nil {
			return err
		}
		d.Level = levels
		s.bill.Watching += span / 60
		s.steps = append(s.steps, fmt.Sprintf("%s: read the tank before and after %s.", what, scene.Span(span)))
	default:
		w, err := s.riddle.watch(c.Lineup, span)
		if err != nil {
			return err
		}
		switch {
		case !w.starts:
			d.NoStart = c.Watch
			s.bill.Watching += span / 60
			s.steps = append(s.steps, fmt.Sprintf("%s: no start in %s.", what, scene.Span(span)))
		default:
			d.Rest = timed(w.rest)
			s.bill.Watching += w.rest / 60
			s.steps = append(s.steps, fmt.Sprintf("%s: quiet for %s.", what, scene.Span(w.rest)))
		}
	}
	s.c.Readings = append(s.c.Readings, d)
	return nil
}

// cup is what can be drawn slowly from just after a stop until the pump starts.
func (q *riddle) cup() (unit.Volume, error) {
	var tap string
	for _, p := range q.rig.Parts() {
		if f, ok := p.(network.Fixture); ok && !f.Toilet {
			tap = f.Name
			break
		}
	}
	const slowly = 600 * unit.MillilitrePerMinute
	drawn := network.Seep{Part: tap}
	drawn.Ref, drawn.At = slowly, 45*unit.PSI
	faults := network.Faults{q.seep, drawn}
	if drawn.Part == q.seep.Part {
		drawn.Ref += q.seep.Ref
		faults = network.Faults{drawn}
	}
	rec, err := q.simulate(nil, faults, 4*mostRest)
	if err != nil {
		return 0, err
	}
	until := first(rec).rest
	// What runs from the tap falls with the pressure from the stop to the start.
	const parts = 64
	var v unit.Volume
	for i := range parts {
		at, err := rec.At(seconds(until * (float64(i) + 0.5) / parts))
		if err != nil {
			return 0, err
		}
		flow, _ := at.Flow(tap)
		v += unit.Volume(math.Abs(float64(flow)) * until / parts)
	}
	return v, nil
}

// levels are what a rule reads at the fresh tank before and after a watch.
func (q *riddle) levels(lineup network.Lineup, span float64) ([]diagnose.Level, error) {
	rec, err := q.simulate(lineup, network.Faults{q.seep}, span)
	if err != nil {
		return nil, err
	}
	var all []diagnose.Level
	for _, p := range q.rig.Parts() {
		t, ok := p.(network.Tank)
		if !ok {
			continue
		}
		for _, at := range []float64{0, span} {
			s, err := rec.At(seconds(at))
			if err != nil {
				return nil, err
			}
			h, _ := s.Level(t.Name)
			all = append(all, diagnose.Level{Tank: t.Name, At: seconds(at), Height: unit.Uncertain[unit.Length]{Value: h}})
		}
		return all, nil
	}
	return nil, nil
}
