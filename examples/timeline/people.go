package main

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strings"

	"quietpump/examples/internal/ask"
	"quietpump/hydraulics/unit"
	"quietpump/sim"
)

// people writes what a person reads: the answer, the picture, then the account.
func (j *job) people(out io.Writer) error {
	w := bufio.NewWriter(out)
	j.answer(w)
	fmt.Fprintln(w)
	if err := j.sawTooth(w); err != nil {
		return err
	}
	fmt.Fprintln(w)
	j.table(w)
	j.samples(w)
	j.ledger(w)
	j.findings(w)
	j.assumed(w)
	e := j.rec.Effort
	fmt.Fprintf(w, "\nComputed in %d steps (%d of them taken again), %d Newton iterations, %d factorisations.\n", e.Steps, e.Refused, e.Newton, e.Factorisations)
	return w.Flush()
}

// answer is the first thing to know: how often the pump starts, and under what.
func (j *job) answer(w io.Writer) {
	fmt.Fprintf(w, "%s, %s", j.rig.Name(), said(seconds(j.rec.Until)))
	if len(j.lineup) > 0 {
		fmt.Fprintf(w, ", %s", j.lineup)
	}
	fmt.Fprintln(w)
	for _, f := range j.wrong {
		fmt.Fprintf(w, "What is wrong: %s\n", f)
	}
	if len(j.wrong) == 0 {
		fmt.Fprintln(w, "Nothing is wrong: no -fault was given.")
	}
	starts := j.rec.Starts("")
	switch runs := j.cycles(); {
	case len(starts) == 0:
		fmt.Fprintln(w, "The pump never starts.")
	case len(starts) == 1:
		fmt.Fprintln(w, "The pump starts once.")
	default:
		rest, n := 0.0, 0
		for _, c := range runs {
			if c.rested > 0 {
				rest += c.rested
				n++
			}
		}
		if n > 0 {
			fmt.Fprintf(w, "The pump starts %d times and rests %s between, on average.\n", len(starts), said(seconds(rest/float64(n))))
		} else {
			fmt.Fprintf(w, "The pumps start %d times.\n", len(starts))
		}
	}
}

// A cycle is one run of a pump and the rest after it, s.
type cycle struct {
	pump        string
	at          float64
	ran, rested float64 // negative where the record ends before it does
}

// cycles pairs starts with stops, pump by pump, in order of start.
func (j *job) cycles() []cycle {
	var out []cycle
	last := map[string]int{}
	for _, e := range j.rec.Events {
		k, seen := last[e.Part]
		switch e.What {
		case sim.PumpStarts:
			if seen && out[k].ran >= 0 {
				out[k].rested = e.At - out[k].at - out[k].ran
			}
			last[e.Part] = len(out)
			out = append(out, cycle{pump: e.Part, at: e.At, ran: -1, rested: -1})
		case sim.PumpStops:
			if seen {
				out[k].ran = e.At - out[k].at
			}
		}
	}
	return out
}

// most is how many rows of the record are shown at each end of a long one.
const most = 20

// table lists the cycles, and everything else that happened between them.
func (j *job) table(w io.Writer) {
	cycles := j.cycles()
	pumps := map[string]bool{}
	shortest, longest := math.Inf(1), 0.0
	for _, c := range cycles {
		pumps[c.pump] = true
		if c.ran > 0 {
			shortest = math.Min(shortest, c.ran)
		}
		longest = math.Max(longest, c.rested)
	}
	decimals := 1
	if shortest < 1 {
		decimals = min(4, int(math.Ceil(-math.Log10(shortest)))+1)
	}
	rest, restUnit := 1.0, "s"
	if longest >= 1200 {
		rest, restUnit = 60, "min"
	}
	span := func(x, scale float64, decimals int) string {
		if x < 0 {
			return "to the end"
		}
		return fmt.Sprintf("%.*f", decimals, x/scale)
	}
	var rows []string
	k := 0
	for _, e := range j.rec.Events {
		switch e.What {
		case sim.PumpStops:
			continue
		case sim.PumpStarts:
			c := cycles[k]
			k++
			name := ""
			if len(pumps) > 1 {
				name = c.pump
			}
			d := 0
			if longest < 20 || restUnit == "min" {
				d = 1
			}
			rested := ""
			if c.ran >= 0 {
				rested = span(c.rested, rest, d)
			}
			rows = append(rows, fmt.Sprintf("%-12s %10s  %15s  %s", clock(c.at), span(c.ran, 1, decimals), rested, name))
		default:
			rows = append(rows, fmt.Sprintf("%-12s %s", clock(e.At), happened(e)))
		}
	}
	if len(rows) == 0 {
		fmt.Fprintln(w, "Nothing happened.")
		return
	}
	fmt.Fprintln(w, strings.TrimRight(fmt.Sprintf("%-12s %10s  %15s  %s", "at, h:min:s", "ran, s", "then rested, "+restUnit, ""), " "))
	for i, r := range rows {
		if i == most && len(rows) > 2*most+1 {
			fmt.Fprintf(w, "... %d more; -csv lists them all\n", len(rows)-2*most)
		}
		if i < most || i >= len(rows)-most || len(rows) <= 2*most+1 {
			fmt.Fprintln(w, strings.TrimRight(r, " "))
		}
	}
}

// happened says an event that is no start or stop.
func happened(e sim.Event) string {
	if e.What == sim.Scheduled {
		return e.Part + " is set anew"
	}
	return fmt.Sprintf("%s: %s", e.Part, e.What)
}

// samples lists what stands at the times of -at.
func (j *job) samples(w io.Writer) {
	for i := range j.rec.Samples {
		s := &j.rec.Samples[i]
		fmt.Fprintf(w, "\nAt %s:\n", clock(s.At))
		for _, joint := range j.rig.Joints() {
			text := "nothing decides it"
			if p, ok := s.Pressure(joint.Name); ok {
				text = j.units.Format(unit.Pressure(math.Round(float64(p))), 2) // a gauge shows no less than a pascal
			}
			fmt.Fprintf(w, "  %-24s %s\n", joint.Name, text)
		}
		for _, part := range j.rig.Parts() {
			if q, ok := s.Flow(part.ID()); ok && math.Abs(float64(q)) >= leastFlow {
				fmt.Fprintf(w, "  %-24s %s\n", "through "+part.ID(), j.units.Format(q, 2))
			}
		}
	}
}

// What is less is not worth a line to a person.
const (
	leastFlow   = float64(unit.Millilitre) / 3600
	leastVolume = float64(unit.Millilitre)
)

// ledger says where the water went.
func (j *job) ledger(w io.Writer) {
	l := &j.rec.Ledger
	amount := func(v float64) string { return j.units.Format(unit.Volume(math.Abs(v)), 2) }
	faulty := map[string]bool{}
	for _, f := range j.wrong {
		faulty[f.Faulty()] = true
	}
	fmt.Fprintln(w, "\nWhere the water went:")
	said := false
	tell := func(v float64, format string, args ...any) {
		if math.Abs(v) < leastVolume {
			return
		}
		said = true
		fmt.Fprintf(w, "  %-8s %s\n", amount(v), fmt.Sprintf(format, args...))
	}
	for _, p := range j.rig.Parts() {
		v := l.Parts[p.ID()]
		switch kind := p.Kind(); {
		case kind == "pump" || kind == "hand pump":
			tell(v, "through the %s", p.ID())
		case kind == "hookup":
			tell(v, "%s the %s", map[bool]string{true: "back out at", false: "in from"}[v > 0], p.ID())
		case kind == "fixture" || kind == "appliance" || kind == "drain" || kind == "relief valve" || kind == "vacuum breaker":
			tell(v, "out of the %s", p.ID())
		case faulty[p.ID()] && len(p.Joints()) == 2 && v < 0:
			tell(v, "back through the %s", p.ID())
		case faulty[p.ID()] && len(p.Joints()) == 2:
			tell(v, "through the %s", p.ID())
		}
	}
	for _, p := range j.rig.Parts() {
		v := l.Stored[p.ID()]
		tell(v, "%s in the %s than at the start", map[bool]string{true: "more", false: "less"}[v > 0], p.ID())
		tell(l.Spilled[p.ID()], "spilled over the %s", p.ID())
	}
	tell(l.Out, "left the water system altogether")
	if !said {
		fmt.Fprintln(w, "  It stayed where it was.")
	}
	lost := math.Abs(l.Closure)
	if lost < float64(unit.Millilitre)/1000 {
		fmt.Fprintln(w, "  Every drop is accounted for.")
	} else {
		fmt.Fprintf(w, "  %s is not accounted for.\n", amount(lost))
	}
}

// findings says what a person should know.
func (j *job) findings(w io.Writer) {
	if c := j.rec.Chatter; c != nil {
		fmt.Fprintf(w, "\nThe %s starts and stops %s times a second, which wears it: %s.\n", c.Part, short(c.Rate), c.Cause)
		if c.Stopped {
			fmt.Fprintf(w, "What follows would be more of the same, so it was simulated to %s and no further.\n", clock(j.rec.Until))
		}
	}
	var lines []string
	for _, p := range j.rig.Warnings() {
		lines = append(lines, fmt.Sprint(p))
	}
	for _, x := range j.rec.Warnings {
		lines = append(lines, fmt.Sprintf("%s, from %s: %s", x.Part, clock(x.At), x.What))
	}
	if len(lines) > 0 {
		fmt.Fprintln(w, "\nTake note:")
	}
	for _, l := range lines {
		fmt.Fprintln(w, "  "+l)
	}
}

// clock is a time as h:min:s.
func clock(s float64) string {
	n := int(math.Round(s))
	return fmt.Sprintf("%d:%02d:%02d", n/3600, n/60%60, n%60)
}

// mostAssumed is how many assumed values are printed; the rest are counted.
const mostAssumed = 8

// assumed lists the values that nobody told, those of pumps and stores first: a
// cycle hangs on them.
func (j *job) assumed(w io.Writer) {
	list := ask.Assumed(j.rig)
	if len(list) == 0 {
		return
	}
	fmt.Fprintln(w, "\nAssumed, not told:")
	for i, a := range list {
		if i == mostAssumed {
			fmt.Fprintf(w, "  and %d more; -json lists them all\n", len(list)-i)
			break
		}
		fmt.Fprintf(w, "  %-30s %s (%s)\n", a.Part+" "+strings.ReplaceAll(a.Field, "_", " "), a.Value, a.Source)
	}
}
