package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"quietpump/hydraulics/unit"
	"quietpump/sim"
	"quietpump/sim/chart"
	"quietpump/sim/repair"
	"quietpump/sim/waves"
)

// people tells it to people.
func (j *job) people(w io.Writer) error {
	without, with := &j.cases[0], &j.cases[1]
	top, low := without.res.Highest.Pressure, with.res.Highest.Pressure
	fmt.Fprintf(w, "%s: the %s is shut %s.\n", j.rig.Name(), j.tap, shutIn(j.over.Seconds()))
	fmt.Fprintf(w, "Without an accumulator the pressure goes up to %s, with one of %s to %s.\n\n", j.units.Format(top, 2), j.units.Format(j.bottle, 2), j.units.Format(low, 2))
	j.drawn(w)
	fmt.Fprintf(w, "\n%-22s %-30s %s\n", "", without.name, fmt.Sprintf("%s, %s", with.name, j.units.Format(j.bottle, 2)))
	row := func(what string, of func(s *seen) string) {
		fmt.Fprintln(w, strings.TrimRight(fmt.Sprintf("%-22s %-30s %s", what, of(without), of(with)), " "))
	}
	row("highest", func(s *seen) string { return j.units.Format(s.res.Highest.Pressure, 2) })
	row("  where", func(s *seen) string { return j.where(s.res.Highest) })
	row("  when", func(s *seen) string { return milliseconds(s.res.Highest.At) })
	row("lowest on the way", func(s *seen) string { p, _ := j.wayOf(s).low(); return j.pressure(p) })
	row("  where", func(s *seen) string { _, at := j.wayOf(s).low(); return j.stopAt(at) })
	row("the weakest part", func(s *seen) string { return j.against(s.res.Highest.Pressure) })
	if len(j.runs) > 0 {
		row("the pump", func(s *seen) string {
			return fmt.Sprintf("stops %s, starts %s", times(s.count(sim.PumpStops)), times(s.count(sim.PumpStarts)))
		})
	}
	if j.hasKind("relief valve") {
		row("the relief valve", func(s *seen) string {
			if s.count(sim.ReliefOpens) > 0 {
				return "opens " + times(s.count(sim.ReliefOpens))
			}
			return "stays shut"
		})
	}
	if j.hasKind("check") {
		row("back through checks", func(s *seen) string {
			most := unit.Flow(0)
			for _, q := range s.back {
				most = max(most, q)
			}
			if most < 1e-7 {
				return "nothing"
			}
			return j.units.Format(most, 2) + " before they shut"
		})
	}
	j.how(w)
	fmt.Fprintf(w, "\nHow large an accumulator, at the %s:\n", j.place)
	for _, s := range j.sizes {
		fmt.Fprintf(w, "  %-10s %s at most\n", j.units.Format(s.bottle, 2), j.units.Format(s.top, 2))
	}
	fmt.Fprintf(w, "One of %s beside the %s instead: %s at most there.\n", j.units.Format(j.beside.bottle, 2), j.tap, j.pressure(j.beside.top))
	j.findings(w)
	fmt.Fprintf(w, "\nBefore an accumulator is fitted:\n")
	for _, c := range []repair.Caution{repair.PullFuse, repair.NotUnder, repair.NeverPlug, repair.PotableOnly, repair.LastWord} {
		for i, line := range wrapped(string(c), 76) {
			fmt.Fprintf(w, "  %s %s\n", map[bool]string{true: "-", false: " "}[i == 0], line)
		}
	}
	return nil
}

// how says how the wave ran.
func (j *job) how(w io.Writer) {
	s := &j.cases[0]
	var slow, fast *waves.Tube
	for i := range s.res.Tubes {
		t := &s.res.Tubes[i]
		if slow == nil || t.Speed < slow.Speed {
			slow = t
		}
		if fast == nil || t.Speed > fast.Speed {
			fast = t
		}
	}
	g := s.res.Grid
	fmt.Fprintf(w, "\nThe wave runs at %s", j.units.Format(slow.Speed, 2))
	if fast.Speed > 1.02*slow.Speed {
		fmt.Fprintf(w, " to %s", j.units.Format(fast.Speed, 2))
	}
	fmt.Fprintf(w, " (%s to %s, with walls as soft and as stiff as are met),\n", j.units.Format(slow.Speeds[0], 2), j.units.Format(fast.Speeds[1], 2))
	fmt.Fprintf(w, "computed in %d steps of %d reaches; no tube is off by more than %.1f %%.\n", g.Steps, g.Reaches, 100*g.Rounding)
}

// against says how a pressure stands to what the weakest part bears.
func (j *job) against(p unit.Pressure) string {
	bears := j.units.Format(j.rating, 2)
	switch share := float64(p / j.rating); {
	case share > 1:
		return fmt.Sprintf("bears %s: too much", bears)
	case share > 0.8:
		return fmt.Sprintf("bears %s: close", bears)
	}
	return fmt.Sprintf("bears %s", bears)
}

// findings says what a person should know.
func (j *job) findings(w io.Writer) {
	var lines []string
	for i := range j.cases {
		s := &j.cases[i]
		if s.wild {
			lines = append(lines, s.name+" the pump would be starting and stopping all the while the tap runs; it was held running")
		}
		for _, x := range s.res.Warnings {
			lines = append(lines, fmt.Sprintf("%s, %s, from %s: %s", s.name, x.Part, milliseconds(x.At), x.What))
		}
	}
	lines = append(lines, "Plastic walls damp a wave more than is computed here, and loose tubes jump: it errs on the high side.",
		"Ratings are for standing pressure. What is screwed to the tubes may bear less: read its label.")
	fmt.Fprintln(w, "\nTake note:")
	for _, l := range lines {
		for i, line := range wrapped(l, 76) {
			fmt.Fprintf(w, "  %s%s\n", strings.Repeat(" ", 2*min(i, 1)), line)
		}
	}
}

func (j *job) hasKind(kind string) bool {
	for _, p := range j.rig.Parts() {
		if p.Kind() == kind {
			return true
		}
	}
	return false
}

// where says where a peak stood.
func (j *job) where(p waves.Peak) string {
	if p.Joint == j.at {
		return "at the " + j.tap
	}
	if p.Joint != "" {
		return "at " + p.Joint
	}
	return fmt.Sprintf("in %s, %s along", p.Tube, j.units.Format(p.X, 2))
}

const (
	wide = 60 // columns of the picture
	high = 14 // rows
)

// drawn draws the highest and lowest pressure along the way from the source to the tap.
func (j *job) drawn(w io.Writer) {
	a, b := j.ways[0], j.ways[1]
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, c := range []along{a, b} {
		for i := range c.x {
			lo, hi = math.Min(lo, float64(c.lowest[i])), math.Max(hi, float64(c.highest[i]))
		}
	}
	if near := float64(j.rating); near < 1.5*hi {
		hi = math.Max(hi, near)
	}
	grid := make([][]byte, high)
	for r := range grid {
		grid[r] = []byte(strings.Repeat(" ", wide))
	}
	row := func(p unit.Pressure) int {
		return min(max(int(math.Round((hi-float64(p))/(hi-lo)*(high-1))), 0), high-1)
	}
	if float64(j.rating) <= hi {
		copy(grid[row(j.rating)], strings.Repeat("-", wide))
	}
	long := float64(a.x[len(a.x)-1])
	put := func(c along, list []unit.Pressure, mark byte) {
		for x := range wide {
			at := unit.Length(long * float64(x) / (wide - 1))
			k := 0
			for k < len(c.x)-1 && c.x[k] < at {
				k++
			}
			grid[row(list[k])][x] = mark
		}
	}
	put(a, a.start, '.')
	put(b, b.highest, '+')
	put(b, b.lowest, '+')
	put(a, a.highest, 'o')
	put(a, a.lowest, 'o')
	margin := 0
	label := make([]string, high)
	for _, p := range []unit.Pressure{unit.Pressure(hi), unit.Pressure(lo), a.start[0]} {
		label[row(p)] = j.units.Format(p, 2) + " "
		margin = max(margin, len(label[row(p)]))
	}
	fmt.Fprintf(w, "Highest and lowest along the tubes: o without, + with the accumulator, . before\n\n")
	for r := range grid {
		fmt.Fprintln(w, strings.TrimRight(fmt.Sprintf("%*s|%s", margin, label[r], grid[r]), " "))
	}
	marks, names := []byte(strings.Repeat("-", wide)), []byte(strings.Repeat(" ", wide+20))
	end := len(names)
	for i := len(a.stops) - 1; i >= 0; i-- {
		s := a.stops[i]
		x := min(int(math.Round(float64(s.at)/long*(wide-1))), wide-1)
		marks[x] = '+'
		from := max(0, min(x-len(s.name)/2, wide-len(s.name)))
		if from+len(s.name) < end {
			copy(names[from:], s.name)
			end = from - 1
		}
	}
	fmt.Fprintf(w, "%*s+%s\n", margin, "", marks)
	fmt.Fprintln(w, strings.TrimRight(fmt.Sprintf("%*s %s", margin, "", names), " "))
}

// picture is the same for a page.
func (j *job) picture() chart.Picture {
	var e chart.Envelope
	for i := range j.cases {
		a := j.ways[i]
		if i == 0 {
			e.At, e.Before = a.x, a.start
			for _, s := range a.stops {
				e.Stops = append(e.Stops, chart.Stop{At: s.at, Name: s.name})
			}
		}
		name := j.cases[i].name
		if i > 0 {
			name = fmt.Sprintf("with one of %s", j.units.Format(j.bottle, 2))
		}
		e.Extremes = append(e.Extremes, chart.Extreme{Name: name, Highest: a.highest, Lowest: a.lowest})
	}
	e.Limit = j.rating
	return e
}

// shutIn says in how long a tap is shut.
func shutIn(s float64) string {
	if s == 0 {
		return "at once"
	}
	return "in " + milliseconds(s)
}

// pressure is a pressure to two figures; a gauge shows no less than a pascal.
func (j *job) pressure(p unit.Pressure) string {
	return j.units.Format(unit.Pressure(math.Round(float64(p))), 2)
}

func (j *job) wayOf(s *seen) *along {
	for k := range j.cases {
		if &j.cases[k] == s {
			return &j.ways[k]
		}
	}
	return nil
}

// stopAt says where on the way a place is.
func (j *job) stopAt(x unit.Length) string {
	for _, s := range j.ways[0].stops {
		if math.Abs(float64(s.at-x)) < 1e-9 {
			return "at the " + s.name
		}
	}
	return j.units.Format(x, 2) + " along"
}

// milliseconds is a short time, to two figures or all of its whole part.
func milliseconds(s float64) string {
	ms := 1000 * s
	if ms > 0 && ms < 10 {
		return fmt.Sprintf("%.2g ms", ms)
	}
	return fmt.Sprintf("%.0f ms", ms)
}

// times is how often.
func times(n int) string {
	switch n {
	case 0:
		return "never"
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

// wrapped breaks a text into lines.
func wrapped(text string, most int) (lines []string) {
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && len(line)+1+len(word) > most {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}
