package report

import (
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/chart"
	"quietpump/sim/diagnose"
	"quietpump/sim/repair"
)

// seeping finds the word that owners do not use.
var seeping = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`(?i)\bseep(s|ing|ed|age)?\b`) })

// owners puts the words of other packages into the owner's: a seep is a leak.
func owners(text string) string {
	return seeping().ReplaceAllStringFunc(text, func(s string) string {
		if s[0] == 'S' {
			return "Leak" + s[4:]
		}
		return "leak" + s[4:]
	})
}

// duration is a time as people say it.
func duration(d time.Duration, sys unit.System) string { return chart.Times(d).Say(0, sys) }

// written finds times as programs write them.
var written = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`\b(\d+h)?(\d+m)?\d+(\.\d+)?s\b`) })

// clock puts the times of a text into words.
func clock(text string, sys unit.System) string {
	return written().ReplaceAllStringFunc(text, func(s string) string {
		d, err := time.ParseDuration(s)
		if err != nil {
			return s
		}
		return duration(d, sys)
	})
}

// minutes is a stretch of work as people say it.
func minutes(m float64, sys unit.System) string {
	return duration(time.Duration(m*float64(time.Minute)), sys)
}

// stood says how the valves stood.
func stood(l network.Lineup) string {
	if len(l) == 0 {
		return "nothing touched"
	}
	var each []string
	for _, name := range slices.Sorted(maps.Keys(l)) {
		each = append(each, name+" "+l[name].String())
	}
	return strings.Join(each, ", ")
}

// between is a range with its middle.
func between[Q unit.Quantity](sys unit.System, r repair.Range[Q]) string {
	in := unit.UnitFor(sys, r.High)
	mid, low, high := in.Format(r.Mid, 2), in.Format(r.Low, 2), in.Format(r.High, 2)
	if low == high {
		return "about " + mid
	}
	return fmt.Sprintf("about %s (%s to %s)", mid, low, high)
}

func counted(r repair.Range[float64], sys unit.System) string {
	say := func(x float64) string { return chart.Numbers("", x).Say(0, sys) }
	if say(r.Low) == say(r.High) {
		return "about " + say(r.Mid)
	}
	return fmt.Sprintf("about %s (%s to %s)", say(r.Mid), say(r.Low), say(r.High))
}

// seen says what a reading was, in the order a person would tell it.
func seen(r diagnose.Reading, sys unit.System) string {
	var said []string
	add := func(format string, args ...any) { said = append(said, fmt.Sprintf(format, args...)) }
	times := func(before string, list []diagnose.Time) {
		if len(list) == 0 {
			return
		}
		var each []string
		for _, t := range list {
			each = append(each, duration(t.Value, sys))
		}
		add("%s %s", before, strings.Join(each, ", "))
	}
	times("the pump was quiet for", r.Rest)
	times("it ran for", r.Run)
	times("it started every", r.Every)
	for _, c := range r.Count {
		add("%d starts in %s", c.Starts, duration(c.Within, sys))
	}
	if r.Blip {
		add("it ran too briefly to be timed")
	}
	if r.NeverStops > 0 {
		add("it ran for %s without a stop", duration(r.NeverStops, sys))
	}
	if r.NoStart > 0 {
		add("no start in %s", duration(r.NoStart, sys))
	}
	for _, c := range r.Cup {
		add("%s drawn into a cup until it started", sys.Format(c.Value, 2))
	}
	for _, j := range r.Jug {
		tap := j.Tap
		if tap == "" {
			tap = "a tap"
		}
		add("%s filled at %s in %s", sys.Format(j.Volume, 2), tap, duration(j.Time.Value, sys))
	}
	gauge := func(what string, list []unit.Uncertain[unit.Pressure]) {
		for _, p := range list {
			add("%s %s", what, sys.Format(p.Value, 2))
		}
	}
	gauge("it starts at", r.CutIn)
	gauge("it stops at", r.CutOut)
	gauge("the accumulator's air charge is", r.Precharge)
	for _, g := range r.Gauge {
		add("the gauge at %s read %s %s", g.Joint, sys.Format(g.Pressure.Value, 2), after(g.At, sys))
	}
	for _, l := range r.Level {
		at := after(l.At, sys)
		switch l.By {
		case diagnose.ByLamp:
			add("%s %s: lamps lit up to %s", l.Tank, at, share(l.Lamp))
		case diagnose.BySpill:
			what := "spilling"
			if l.Spilling == diagnose.No {
				what = "not spilling"
			}
			if l.Spilt.Value > 0 {
				what += ", " + sys.Format(l.Spilt.Value, 2) + " caught"
			}
			add("%s %s: %s", l.Tank, at, what)
		default:
			add("%s %s: water at %s", l.Tank, at, sys.Format(l.Height.Value, 3))
		}
	}
	for _, l := range r.Look {
		what := string(l.For)
		if l.For == "" {
			what = string(diagnose.Drip)
		}
		switch l.Saw {
		case diagnose.Yes:
			add("%s at %s: seen", what, l.At)
		case diagnose.No:
			add("%s at %s: looked for, not seen", what, l.At)
		default:
			add("%s at %s: could not be seen", what, l.At)
		}
	}
	switch r.Heater {
	case diagnose.HeaterSettled:
		add("the heater was off and cold")
	case diagnose.HeaterWarming:
		add("the heater was heating")
	case diagnose.HeaterCooling:
		add("the heater was cooling")
	}
	if len(said) == 0 {
		return "nothing noted."
	}
	return strings.Join(said, "; ") + "."
}

// after says when in a watch something was read.
func after(d time.Duration, sys unit.System) string {
	if d == 0 {
		return "at first"
	}
	return "after " + duration(d, sys)
}

// share is a lamp of a tank's gauge.
func share(x float64) string {
	switch {
	case x <= 0:
		return "empty"
	case x < 0.5:
		return "a third"
	case x < 0.9:
		return "two thirds"
	}
	return "full"
}

func capital(s string) string {
	if s == "" {
		return s
	}
	r := []rune(s)
	return strings.ToUpper(string(r[:1])) + string(r[1:])
}

func stop(s string) string {
	if s == "" || strings.ContainsAny(s[len(s)-1:], ".!?:") {
		return s
	}
	return s + "."
}

func and(list []string) string {
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	return strings.Join(list[:len(list)-1], ", ") + " and " + list[len(list)-1]
}
