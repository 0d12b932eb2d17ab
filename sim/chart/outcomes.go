package chart

import (
	"fmt"
	"math"
	"strings"

	"quietpump/hydraulics/unit"
)

// Outcomes is what may come of a step, how likely that is and what it would
// mean: a stem that parts into branches as thick as their chances.
type Outcomes struct {
	Heading string // zero: the step
	Step    string // what is done, such as "shut the fill valve and watch for 6 min"
	List    []Outcome
}

// An Outcome is one of them.
type Outcome struct {
	See    string  // what is seen, such as "no start in 6 min"
	Chance float64 // 0 to 1
	Said   string  // the chance in words
	Then   string  // what follows, such as "the fill valve it is, about 9 in 10"
}

// Title is the step.
func (o Outcomes) Title(unit.System) string {
	if o.Heading != "" {
		return o.Heading
	}
	if o.Step == "" {
		return "What may come of it"
	}
	return capital(o.Step)
}

// Words tells each outcome, its chance and what it would mean.
func (o Outcomes) Words(unit.System) string {
	var b strings.Builder
	b.WriteString("What may come of it.")
	for _, x := range o.List {
		fmt.Fprintf(&b, " %s: %s.", capital(withComma(x.See, x.Said)), x.Then)
	}
	return b.String()
}

func (o Outcomes) draw(d *Drawing, _ unit.System) error {
	for _, x := range o.List {
		if !(x.Chance >= 0 && x.Chance <= 1) {
			return fmt.Errorf("outcomes: %q has a chance of %g, which is not between 0 and 1", x.See, x.Chance)
		}
	}
	const seeSize, stem, branch = 13.0, 14.0, 26.0
	left := stem + branch + 8
	trunk := d.Height + 2
	for _, x := range o.List {
		top := d.Height
		y := top + 18
		mid := y - 4
		d.text(d.Width-edge, y, End, Soft, labelSize, x.Said)
		room := d.Width - edge - left - Wide(x.Said, labelSize, false) - 12
		for i, line := range wrap(x.See, room, seeSize, true) {
			if i > 0 {
				y += 17
			}
			d.Add(Label{At: Point{left, y}, Text: line, Ink: Body, Size: seeSize, Bold: true})
		}
		for _, line := range wrap(x.Then, d.Width-edge-left, seeSize, false) {
			y += 17
			d.Add(Label{At: Point{left, y}, Text: line, Ink: Body, Size: seeSize})
		}
		w := math.Max(1, 10*x.Chance)
		bend := []Point{{stem, math.Min(trunk, mid-8)}, {stem, mid - 8}}
		bend = append(bend, arc(stem+8, mid-8, 8, 180, 90)...)
		bend = append(bend, Point{stem + branch - 3, mid})
		d.line(Cold, w, bend...)
		tip := stem + branch + 1
		d.line(Cold, 1.5, Point{tip - 6, mid - 4}, Point{tip, mid}, Point{tip - 6, mid + 4})
		d.Height = y + 10
	}
	d.Height += edge
	return nil
}
