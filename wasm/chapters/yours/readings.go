package yours

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/diagnose"
)

// A blank is one thing to be told of a reading: typed, or chosen.
type blank struct {
	Key  string
	Ask  string
	Hint [2]string // an example, in US and in metric units
	// bare is the unit of a number that is typed alone; empty: none may be.
	bare [2]string
	// pick are the answers to choose from instead.
	pick func(rig *network.Rig) []string
	may  bool // it may be left empty
}

// A kind is a kind of reading: what is told of it, and how that goes into a reading.
type kind struct {
	Key, Text string
	Say       string // how to take it
	blanks    []blank
	// apart: it is told by the watch's beginning, so it is a reading of its own.
	apart bool
	// there reports whether a rig has what it is read of; nil: any has.
	there func(rig *network.Rig) bool
	into  func(r *diagnose.Reading, get told)
}

// A told reads what was told in the blanks, and remembers what could not be read.
type told struct {
	sys      unit.System
	of       kind
	values   map[string]string
	problems map[string]string
}

func (t told) text(key string) string { return strings.TrimSpace(t.values[key]) }

// withUnit gives a number that stands alone the blank's own unit.
func (t told) withUnit(key string) string {
	text := t.text(key)
	if _, err := strconv.ParseFloat(text, 64); err != nil {
		return text
	}
	for _, b := range t.of.blanks {
		if b.Key == key && b.bare[t.sys] != "" {
			return text + " " + b.bare[t.sys]
		}
	}
	return text
}

// hint says what to type, as the blank's example has it.
func (t told) hint(key string) string {
	for _, b := range t.of.blanks {
		if b.Key == key {
			return b.Hint[t.sys]
		}
	}
	return ""
}

// may reports whether a blank was left empty that may be.
func (t told) empty(key string) bool {
	if t.text(key) != "" {
		return false
	}
	for _, b := range t.of.blanks {
		if b.Key == key && !b.may {
			t.problems[key] = "Nothing is told here yet" + like(t.hint(key)) + "."
		}
	}
	return true
}

func like(hint string) string {
	if hint == "" {
		return ""
	}
	return ": write it like " + hint
}

func (t told) time(key string) (value, sd time.Duration) {
	if t.empty(key) {
		return 0, 0
	}
	value, sd, err := unit.ParseDuration(t.withUnit(key))
	if err != nil || value <= 0 {
		t.problems[key] = "That is no time" + like(t.hint(key)) + "."
	}
	return value, sd
}

func quantity[Q unit.Quantity](t told, key string) unit.Uncertain[Q] {
	if t.empty(key) {
		return unit.Uncertain[Q]{}
	}
	q, err := unit.Parse[Q](t.withUnit(key))
	if err != nil {
		what := "That is no amount"
		var p *unit.ParseError
		if errors.As(err, &p) && strings.Contains(err.Error(), "missing unit") {
			what = "Its unit is missing"
		}
		t.problems[key] = what + like(t.hint(key)) + "."
	}
	return q
}

func (t told) number(key string) int {
	if t.empty(key) {
		return 0
	}
	n, err := strconv.Atoi(t.text(key))
	if err != nil || n < 1 {
		t.problems[key] = "That is no whole number" + like(t.hint(key)) + "."
	}
	return n
}

// choice is what was picked.
func (t told) choice(key string) string {
	t.empty(key)
	return t.text(key)
}

func hasKind(k string) func(*network.Rig) bool {
	return func(rig *network.Rig) bool {
		return slices.ContainsFunc(rig.Parts(), func(p network.Part) bool { return p.Kind() == k })
	}
}

func named(kinds ...string) func(*network.Rig) []string {
	return func(rig *network.Rig) (list []string) {
		for _, p := range rig.Parts() {
			if slices.Contains(kinds, p.Kind()) {
				list = append(list, p.ID())
			}
		}
		return list
	}
}

// joints are those where a gauge can be screwed on: at taps, drains, inlets and pumps.
func joints(rig *network.Rig) (list []string) {
	for _, p := range rig.Parts() {
		at := ""
		switch p := p.(type) {
		case network.Fixture:
			at = p.At
		case network.Drain:
			at = p.At
		case network.Hookup:
			at = p.At
		case network.Pump:
			at = p.To
		}
		if at != "" && !slices.Contains(list, at) {
			list = append(list, at)
		}
	}
	return list
}

// lookable are the parts and places where water can be seen, and the round of the taps.
func lookable(rig *network.Rig) []string {
	list := []string{round}
	for _, p := range rig.Parts() {
		if k := p.Kind(); k != "tube" && k != "elastic" && k != "waste tank" {
			list = append(list, p.ID())
		}
	}
	for _, j := range rig.Joints() {
		if j.Place != "" && !slices.Contains(list, j.Place) {
			list = append(list, j.Place)
		}
	}
	return list
}

// round is the look at all taps, as package diagnose calls it.
const round = "taps, pedal and handles"

func options(list ...string) func(*network.Rig) []string {
	return func(*network.Rig) []string { return list }
}

func timed(key, ask, us string) blank {
	return blank{Key: key, Ask: ask, Hint: [2]string{us, us}, bare: [2]string{"s", "s"}}
}

func pressed(key, ask, us, metric string) blank {
	return blank{Key: key, Ask: ask, Hint: [2]string{us, metric}, bare: [2]string{"psi", "bar"}}
}

func amount(key, ask, us, metric, bareUS, bareMetric string) blank {
	return blank{Key: key, Ask: ask, Hint: [2]string{us, metric}, bare: [2]string{bareUS, bareMetric}}
}

// The lamps of a tank's gauge, as job cards have them.
var lamps = []string{"empty", "1/3", "2/3", "full"}

func lamp(word string) float64 {
	return float64(max(slices.Index(lamps, word), 0)) / 3
}

// kinds are all that a job card's reading can hold, what most people have first.
var kinds = []kind{
	{Key: "rest", Text: "how long it is quiet", Say: "From the pump's stop to its next start, every tap shut.", blanks: []blank{timed("rest", "Quiet for", "95 s, or 1:35")},
		into: func(r *diagnose.Reading, t told) { r.Rest = append(r.Rest, diagnose.Time(pair(t.time("rest")))) }},
	{Key: "run", Text: "how long it runs", Say: "From its start to its stop.", blanks: []blank{timed("run", "It runs for", "3 s")},
		into: func(r *diagnose.Reading, t told) { r.Run = append(r.Run, diagnose.Time(pair(t.time("run")))) }},
	{Key: "every", Text: "from start to start", Say: "Where only the starts were heard.", blanks: []blank{timed("every", "It starts every", "20 min")},
		into: func(r *diagnose.Reading, t told) { r.Every = append(r.Every, diagnose.Time(pair(t.time("every")))) }},
	{Key: "count", Text: "so many starts in so long", blanks: []blank{{Key: "starts", Ask: "Starts", Hint: [2]string{"6", "6"}}, {Key: "within", Ask: "in", Hint: [2]string{"9 h", "9 h"}, bare: [2]string{"h", "h"}}},
		into: func(r *diagnose.Reading, t told) {
			within, _ := t.time("within")
			r.Count = append(r.Count, diagnose.Count{Starts: t.number("starts"), Within: within})
		}},
	{Key: "nostart", Text: "no start in so long", apart: true, Say: "Counted from a pump stop that you saw.", blanks: []blank{{Key: "nostart", Ask: "No start in", Hint: [2]string{"12 min", "12 min"}, bare: [2]string{"min", "min"}}},
		into: func(r *diagnose.Reading, t told) { r.NoStart, _ = t.time("nostart") }},
	{Key: "blip", Text: "it runs for a blink only", Say: "Too short to be timed.",
		into: func(r *diagnose.Reading, _ told) { r.Blip = true }},
	{Key: "never", Text: "it never stops", apart: true, blanks: []blank{{Key: "never", Ask: "It ran on for", Hint: [2]string{"10 min", "10 min"}, bare: [2]string{"min", "min"}}},
		into: func(r *diagnose.Reading, t told) { r.NeverStops, _ = t.time("never") }},
	{Key: "cup", Text: "a cup drawn", Say: "As soon as the pump stops open a tap a trickle, and catch the water until the pump starts. It measures what the lines hold in store, and halves the doubt about the leak.",
		blanks: []blank{amount("cup", "In the cup", "2.5 fl oz", "75 mL", "fl oz", "mL")},
		into:   func(r *diagnose.Reading, t told) { r.Cup = append(r.Cup, quantity[unit.Volume](t, "cup")) }},
	{Key: "jug", Text: "a jug filled at a tap", Say: "Tap fully open, pump running. It measures the pump.",
		blanks: []blank{amount("volume", "The jug holds", "1 gal", "4 L", "gal", "L"), timed("time", "It filled in", "34 s"), {Key: "tap", Ask: "At", pick: named("fixture"), may: true}},
		into: func(r *diagnose.Reading, t told) {
			r.Jug = append(r.Jug, diagnose.Jug{Tap: t.choice("tap"), Volume: quantity[unit.Volume](t, "volume").Value, Time: diagnose.Time(pair(t.time("time")))})
		}},
	{Key: "starts at", Text: "a gauge as it starts", Say: "A gauge on any tap or drain.", blanks: []blank{pressed("starts at", "It starts at", "30 psi", "2 bar")},
		into: func(r *diagnose.Reading, t told) { r.CutIn = append(r.CutIn, quantity[unit.Pressure](t, "starts at")) }},
	{Key: "stops at", Text: "a gauge as it stops", Say: "A gauge on any tap or drain.", blanks: []blank{pressed("stops at", "It stops at", "45 psi", "3 bar")},
		into: func(r *diagnose.Reading, t told) {
			r.CutOut = append(r.CutOut, quantity[unit.Pressure](t, "stops at"))
		}},
	{Key: "gauge", Text: "a gauge at two times", apart: true, Say: "Screwed on somewhere, read just as the pump stops and once more later.",
		blanks: []blank{{Key: "joint", Ask: "The gauge is at", pick: joints}, pressed("first", "At first", "45 psi", "3 bar"), pressed("later", "Later", "38 psi", "2.6 bar"), timed("after", "That was after", "2 min")},
		into: func(r *diagnose.Reading, t told) {
			after, _ := t.time("after")
			at := t.choice("joint")
			r.Gauge = append(r.Gauge, diagnose.Gauge{Joint: at, Pressure: quantity[unit.Pressure](t, "first")}, diagnose.Gauge{Joint: at, At: after, Pressure: quantity[unit.Pressure](t, "later")})
		}},
	{Key: "charge", Text: "the accumulator's air charge", there: hasKind("accumulator"), Say: "Pump off, pressure let out at a tap, then a tyre gauge on its valve.", blanks: []blank{pressed("charge", "The gauge reads", "27 psi", "1.9 bar")},
		into: func(r *diagnose.Reading, t told) {
			r.Precharge = append(r.Precharge, quantity[unit.Pressure](t, "charge"))
		}},
	{Key: "level", Text: "how the tank's level moves", apart: true, there: hasKind("tank"), Say: "Measured with a rule or on a clear hose, both times from the same mark.",
		blanks: []blank{{Key: "tank", Ask: "Tank", pick: named("tank")}, amount("first", "Water stands at first", "7 in", "180 mm", "in", "mm"), amount("later", "and later", "7 1/4 in", "186 mm", "in", "mm"), {Key: "after", Ask: "That was after", Hint: [2]string{"1 h", "1 h"}, bare: [2]string{"min", "min"}}},
		into: func(r *diagnose.Reading, t told) {
			after, _ := t.time("after")
			tank := t.choice("tank")
			r.Level = append(r.Level, diagnose.Level{Tank: tank, Height: quantity[unit.Length](t, "first")}, diagnose.Level{Tank: tank, At: after, Height: quantity[unit.Length](t, "later")})
		}},
	{Key: "lamps", Text: "the lamps of the tank's gauge", apart: true, there: hasKind("tank"), Say: "How far they are lit, at two times.",
		blanks: []blank{{Key: "tank", Ask: "Tank", pick: named("tank")}, {Key: "first", Ask: "Lit at first up to", pick: options(lamps...)}, {Key: "later", Ask: "and later up to", pick: options(lamps...)}, {Key: "after", Ask: "That was after", Hint: [2]string{"10 h", "10 h"}, bare: [2]string{"h", "h"}}},
		into: func(r *diagnose.Reading, t told) {
			after, _ := t.time("after")
			tank := t.choice("tank")
			r.Level = append(r.Level, diagnose.Level{Tank: tank, By: diagnose.ByLamp, Lamp: lamp(t.choice("first"))}, diagnose.Level{Tank: tank, At: after, By: diagnose.ByLamp, Lamp: lamp(t.choice("later"))})
		}},
	{Key: "spill", Text: "the tank spills", apart: true, there: hasKind("tank"), Say: "Water comes out of its overflow or vent.",
		blanks: []blank{{Key: "tank", Ask: "Tank", pick: named("tank")}, {Key: "spills", Ask: "Does it spill?", pick: options(yes, no)}, {Key: "after", Ask: "That was after", Hint: [2]string{"1 h", "1 h"}, bare: [2]string{"min", "min"}}, {Key: "spilt", Ask: "Caught, if any", Hint: [2]string{"1 gal", "4 L"}, bare: [2]string{"gal", "L"}, may: true}},
		into: func(r *diagnose.Reading, t told) {
			after, _ := t.time("after")
			r.Level = append(r.Level, diagnose.Level{Tank: t.choice("tank"), At: after, By: diagnose.BySpill, Spilling: diagnose.Told(t.choice("spills")), Spilt: quantity[unit.Volume](t, "spilt")})
		}},
	{Key: "look", Text: "something looked for", blanks: []blank{{Key: "at", Ask: "Where", pick: lookable}, {Key: "for", Ask: "What for", pick: options(string(diagnose.Drip), string(diagnose.Warm), string(diagnose.Hiss), string(diagnose.LeftOn))}, {Key: "saw", Ask: "Was it there?", pick: options(yes, no, cant)}},
		Say: "A drip, a line that is warm where it should be cold, a hiss, a handle left on.",
		into: func(r *diagnose.Reading, t told) {
			r.Look = append(r.Look, diagnose.Look{At: t.choice("at"), For: diagnose.For(t.choice("for")), Saw: seen(t.choice("saw"))})
		}},
	{Key: "relief", Text: "the relief drips", there: hasKind("relief valve"), Say: "The valve with a lever on the side of the water heater. Never plug it and never hold it shut.", blanks: []blank{{Key: "saw", Ask: "Does it drip?", pick: options(yes, no, cant)}},
		into: func(r *diagnose.Reading, t told) {
			r.Look = append(r.Look, diagnose.Look{At: "relief valve", For: diagnose.Drip, Saw: seen(t.choice("saw"))})
		}},
}

func pair(value, sd time.Duration) struct{ Value, SD time.Duration } {
	return struct{ Value, SD time.Duration }{value, sd}
}

// seen is an answer to a look, as the library has it.
func seen(answer string) diagnose.Told {
	if answer == yes || answer == no {
		return diagnose.Told(answer)
	}
	return diagnose.Unsaid
}

// kindOf is the kind of a key.
func kindOf(key string) (kind, bool) {
	i := slices.IndexFunc(kinds, func(k kind) bool { return k.Key == key })
	if i < 0 {
		return kind{}, false
	}
	return kinds[i], true
}

// read makes a reading of what was told in the blanks of a kind, or says at which
// blank what is to be told otherwise.
func (k kind) read(sys unit.System, rig *network.Rig, lineup network.Lineup, values map[string]string) (diagnose.Reading, map[string]string) {
	t := told{sys, k, values, map[string]string{}}
	r := diagnose.Reading{Lineup: lineup}
	k.into(&r, t)
	for _, b := range k.blanks {
		if b.pick == nil || t.text(b.Key) == "" {
			continue
		}
		if !slices.Contains(b.pick(rig), t.text(b.Key)) {
			t.problems[b.Key] = fmt.Sprintf("There is no %s here.", t.text(b.Key))
		}
	}
	if len(t.problems) > 0 {
		return diagnose.Reading{}, t.problems
	}
	return r, nil
}
