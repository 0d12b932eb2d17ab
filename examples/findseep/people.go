package main

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"quietpump/network"
	"quietpump/sim/diagnose"
)

// mostAssumed is how many assumed values are printed; the rest are counted.
const mostAssumed = 8

// A page gathers text; its first failure to write is kept.
type page struct {
	w   io.Writer
	err error
}

func (p *page) line(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintf(p.w, format+"\n", args...)
	}
}

// wrapped prints a text in lines of at most 96 characters behind an indent.
func (p *page) wrapped(first, rest, text string) {
	line := first
	for _, word := range strings.Fields(text) {
		if len([]rune(line))+1+len([]rune(word)) > 96 && strings.TrimSpace(line) != strings.TrimSpace(first) {
			p.line("%s", line)
			line = rest
		}
		if line != first && line != rest {
			line += " "
		}
		line += word
	}
	p.line("%s", line)
}

// writePeople prints the answer: what was seen, the size, where it could be going, the suspects, what was assumed,
// cautions.
func writePeople(w io.Writer, o options, rig *network.Rig, a *diagnose.Answer) error {
	p := &page{w: w}
	sys := o.units
	p.line("%s. %s", rig.Name(), seen(o, a.Reading))
	p.line("")
	p.wrapped("", "", fmt.Sprintf("%s is getting away, at %s.", capital(sys.SayBetween(a.Size.Low, a.Size.High)), sys.Format(a.Size.At, 2)))
	for _, way := range a.Size.Ways {
		p.line("  %-40s %s", byWords[way.By], sys.SayBetween(way.Low, way.High))
	}
	p.line("  %-40s %s to %s", "storage gives up between stop and start", sys.Format(a.Size.LowDrawdown, 2), sys.Format(a.Size.HighDrawdown, 2))
	for _, f := range a.Findings {
		p.wrapped("  ", "  ", f.Words(sys))
	}

	p.line("\nWhere it could be going, with the valves as they stood:")
	for _, path := range a.Paths {
		p.wrapped("  - ", "    ", path.Words)
	}

	p.line("\nEach suspect, with its leak as large as your times ask for:")
	p.line("  %-52s %9s %9s   %s", "suspect", "rest", "run", "leak at "+sys.Format(a.Size.At, 2))
	for _, s := range a.Suspects {
		if s.Unfit != "" {
			p.line("  %-52s %s", s.Name, s.Unfit)
			continue
		}
		p.line("  %-52s %9s %9s   %s", s.Name, shown(s.Rest), shown(s.Run), sys.Format(s.Seep.Ref, 2))
	}
	p.wrapped("  ", "  ", "The stopwatch tells how much, not where: nearly every suspect can be given the same times. Look first where a look is free: outside shower handles, toilet pedal, drains, and where the water would come out into the tank.")

	p.line("\nAssumed, not told; what matters most to the size first:")
	for i, v := range a.Assumed {
		if i == mostAssumed {
			p.line("  and %d more; -json lists them all", len(a.Assumed)-i)
			break
		}
		name := strings.TrimSpace(v.Part + " " + strings.ReplaceAll(v.Field, "_", " "))
		p.line("  %-30s %s (%s)", name, v.Value, v.Source)
	}

	p.line("\nBefore you work on it:")
	for _, c := range cautions {
		p.wrapped("  - ", "    ", c)
	}
	return p.err
}

var byWords = map[string]string{
	diagnose.ByRest: "by what storage holds, over the rest",
	diagnose.ByRun:  "by what the pump delivers, over its run",
	diagnose.ByCup:  "by your cup, over the rest",
}

// seen says what was read.
func seen(o options, r diagnose.Reading) string {
	var said []string
	times := func(before string, list []diagnose.Time) {
		if len(list) == 0 {
			return
		}
		var each []string
		for _, t := range list {
			each = append(each, shown(t.Value))
		}
		said = append(said, before+" "+strings.Join(each, ", "))
	}
	times("quiet for", r.Rest)
	times("runs for", r.Run)
	times("starts every", r.Every)
	for _, c := range r.Cup {
		said = append(said, "a cup of "+o.units.Format(c.Value, 2)+" drawn until it started")
	}
	stood := "valves as nobody had touched them"
	if len(r.Lineup) > 0 {
		stood = r.Lineup.String()
	}
	return "You saw: the pump " + strings.Join(said, "; ") + "; " + stood + "."
}

// shown is a time with two or three figures.
func shown(d time.Duration) string {
	s := d.Seconds()
	switch {
	case s < 10:
		return fmt.Sprintf("%.1f s", s)
	case s < 600:
		return fmt.Sprintf("%.0f s", s)
	case s < 36000:
		return fmt.Sprintf("%.0f min", s/60)
	}
	return fmt.Sprintf("%.0f h", math.Round(s/3600))
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
