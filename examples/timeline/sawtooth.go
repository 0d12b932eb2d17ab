package main

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

const (
	wide  = 72 // columns of the picture, labels included
	high  = 12 // rows
	teeth = 4  // cycles shown
	looks = 8  // times the pressure is looked at in one column
)

// watched is the pump whose switch the picture shows: the first that starts, or
// else the rig's first.
func (j *job) watched() (pump network.Pump, ok bool) {
	first := ""
	for _, e := range j.rec.Events {
		if e.What == sim.PumpStarts {
			first = e.Part
			break
		}
	}
	for _, p := range j.rig.Parts() {
		if p, is := p.(network.Pump); is && (first == "" || p.Name == first) {
			return j.asItIs(p), true
		}
	}
	return network.Pump{}, false
}

// asItIs is the pump with the settings to which its switch has drifted.
func (j *job) asItIs(p network.Pump) network.Pump {
	if p.Hold != nil {
		p.CutIn, p.CutOut = p.Hold.Start, p.Hold.Set
	}
	for _, f := range j.wrong {
		if d, ok := f.(network.DriftedSwitch); ok && d.Part == p.Name {
			if d.CutIn != 0 {
				p.CutIn = d.CutIn
			}
			if d.CutOut != 0 {
				p.CutOut = d.CutOut
			}
		}
	}
	return p
}

// A tooth is what one column shows: the range of pressure within it, and whether
// the pump ran.
type tooth struct {
	low, high float64 // Pa; NaN where nothing decides the pressure
	runs      bool
}

// sawTooth draws the pressure at the pump's switch over the first few cycles.
func (j *job) sawTooth(w io.Writer) error {
	pump, ok := j.watched()
	if !ok {
		_, err := fmt.Fprintln(w, "No pump, so there is no saw-tooth to draw.")
		return err
	}
	if j.rec.Until == 0 {
		_, err := fmt.Fprintln(w, "It ended as it began, so there is no saw-tooth to draw.")
		return err
	}
	stops := fmt.Sprintf("stops at %s ", j.units.Format(pump.CutOut, 2))
	if pump.Hold != nil {
		stops = fmt.Sprintf("holds %s ", j.units.Format(pump.CutOut, 2))
	}
	starts := fmt.Sprintf("starts at %s ", j.units.Format(pump.CutIn, 2))
	margin := max(len([]rune(stops)), len([]rune(starts)))
	columns := wide - margin - 1
	span := j.shown(pump.Name)
	row, err := j.teeth(pump, span, columns)
	if err != nil {
		return err
	}

	low, top := float64(pump.CutIn), float64(pump.CutOut)
	for _, c := range row {
		if !math.IsNaN(c.low) {
			low, top = math.Min(low, c.low), math.Max(top, c.high)
		}
	}
	line := func(p float64) int { return int(math.Round((top - p) / (top - low) * (high - 1))) }
	grid := make([][]byte, high)
	for r := range grid {
		grid[r] = []byte(strings.Repeat(" ", columns))
	}
	label := make([]string, high)
	label[0] = j.units.Format(unit.Pressure(top), 2) + " "
	label[high-1] = j.units.Format(unit.Pressure(low), 2) + " "
	for p, text := range map[unit.Pressure]string{pump.CutOut: stops, pump.CutIn: starts} {
		r := line(float64(p))
		label[r], grid[r] = text, []byte(strings.Repeat("-", columns))
	}
	for x, c := range row {
		if math.IsNaN(c.low) {
			continue
		}
		for r := line(c.high); r <= line(c.low); r++ {
			grid[r][x] = '*'
		}
	}

	fmt.Fprintf(w, "Pressure at the switch of %q over the first %s:\n\n", pump.Name, said(span))
	for r := range grid {
		fmt.Fprintln(w, strings.TrimRight(fmt.Sprintf("%*s|%s", margin, label[r], grid[r]), " "))
	}
	axis, times := ticks(span, columns)
	fmt.Fprintf(w, "%*s+%s\n", margin, "", axis)
	fmt.Fprintln(w, strings.TrimRight(fmt.Sprintf("%*s0%s", margin, "", times), " "))
	runs := []byte(strings.Repeat(" ", columns))
	for x, c := range row {
		if c.runs {
			runs[x] = '^'
		}
	}
	if marks := strings.TrimRight(string(runs), " "); marks != "" {
		fmt.Fprintf(w, "%*s %s\n", margin, "^ it runs ", marks)
	}
	return nil
}

// shown is how much of the record is drawn: a few cycles, or all of it where
// there are fewer.
func (j *job) shown(pump string) time.Duration {
	end := j.rec.Until
	if at := j.rec.Stops(pump); len(at) >= teeth {
		end = math.Min(end, 1.03*at[teeth-1])
	}
	return seconds(end)
}

// teeth looks at the pressure throughout every column.
func (j *job) teeth(pump network.Pump, span time.Duration, columns int) ([]tooth, error) {
	row := make([]tooth, columns)
	last := math.NaN()
	for x := range row {
		c := tooth{low: last, high: last} // columns join
		for k := range looks {
			at := time.Duration(float64(span) * (float64(x) + float64(k)/(looks-1)) / float64(columns))
			s, err := j.rec.At(min(at, span))
			if err != nil {
				return nil, err
			}
			last = math.NaN()
			if p, ok := s.Pressure(pump.Sense); ok {
				last = float64(p)
				if math.IsNaN(c.low) {
					c.low, c.high = last, last
				}
				c.low, c.high = math.Min(c.low, last), math.Max(c.high, last)
			}
		}
		row[x] = c
	}
	width := span.Seconds() / float64(columns)
	for _, c := range j.cycles() {
		to := j.rec.Until
		if c.ran >= 0 {
			to = c.at + c.ran
		}
		for x := int(c.at / width); c.pump == pump.Name && x < columns && float64(x)*width <= to; x++ {
			row[x].runs = true
		}
	}
	return row, nil
}

// ticks is a time axis, from its corner on, with a mark about every sixth of it.
func ticks(span time.Duration, columns int) (axis, times string) {
	step := 12 * time.Hour
	for _, s := range []time.Duration{
		time.Millisecond, 10 * time.Millisecond, 100 * time.Millisecond,
		time.Second, 2 * time.Second, 5 * time.Second, 10 * time.Second, 20 * time.Second, 30 * time.Second,
		time.Minute, 2 * time.Minute, 5 * time.Minute, 10 * time.Minute, 20 * time.Minute, 30 * time.Minute,
		time.Hour, 2 * time.Hour, 4 * time.Hour,
	} {
		if 6*s >= span {
			step = s
			break
		}
	}
	for 6*step < span { // longer than three days
		step *= 2
	}
	marks, words := []byte(strings.Repeat("-", columns)), []byte(strings.Repeat(" ", columns))
	for t := step; t <= span; t += step {
		x := int(float64(t) / float64(span) * float64(columns))
		if x >= columns {
			break
		}
		marks[x] = '+'
		if text := said(t); x+len(text) <= columns {
			copy(words[x:], text)
		}
	}
	return string(marks), string(words)
}

// said is a time in the one unit that suits its size, to two digits or all of its
// whole part.
func said(t time.Duration) string {
	switch {
	case t < 2*time.Minute:
		return short(t.Seconds()) + " s"
	case t < 2*time.Hour:
		return short(t.Minutes()) + " min"
	}
	return short(t.Hours()) + " h"
}

// short is a number to two digits, or all of its whole part.
func short(x float64) string {
	if x >= 10 {
		return fmt.Sprintf("%.0f", x)
	}
	return fmt.Sprintf("%.2g", x)
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }
