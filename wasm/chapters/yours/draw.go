package yours

import (
	"math"
	"time"

	"quietpump/sim/chart"
	"quietpump/wasm/drawing"
	"quietpump/wasm/frame"
	"quietpump/wasm/scene"
)

// Draw puts the water system as far as it is known into the frame, and the tape of
// taps below it.
func (c *Chapter) Draw(f *frame.Frame) {
	rig := c.rig()
	if c.plate == nil || c.plateOf != rig {
		plate, err := scene.NewPlate(rig)
		if err != nil {
			return
		}
		c.plate, c.plateOf = plate, rig
		f.Still.Marks = f.Still.Marks[:0]
	}
	taped := c.page == atListen || c.page == atStart && c.what == pumpStarts
	box, tape := places(f.Free, taped)
	c.enter.box = box
	v := drawing.View{Lineup: c.base(), Picked: c.ringed()}
	if c.page == atEnter {
		v.Lineup = c.lineup()
	}
	if c.page == atListen && c.step != nil {
		if l, err := rig.Lineup(c.step.Lineup); err == nil {
			v.Lineup = l
		}
	}
	v.Show = []string{"pump", "fresh tank"}
	if v.Picked != "" {
		v.Show = append([]string{v.Picked}, v.Show...)
	}
	f.Still.Title = "Your water system from the side"
	f.Still.Words = "It is drawn as far as it is known."
	c.plate.Draw(f, box, v)
	if taped {
		c.tape(&f.Moving, tape, f.Now)
	}
}

// ringed is the part that the note speaks of.
func (c *Chapter) ringed() string {
	if c.picked != "" {
		return c.picked
	}
	part := ""
	switch c.page {
	case atAsk:
		if list := c.job.Answers.asked(); c.ask < len(list) {
			part = partOf[list[c.ask].Key]
			if part == "outside shower head" && !c.job.Answers.system().Heater {
				part = "outside shower"
			}
		}
	case atAnswer, atSection:
		if b := c.belief(); b != nil && len(b.Hypotheses) > 0 && len(b.Hypotheses[0].Parts) > 0 {
			part = b.Hypotheses[0].Parts[0]
		}
	case atStep, atListen:
		if c.step != nil {
			part = c.step.Part
		}
	}
	if _, ok := c.rig().Part(part); !ok {
		return ""
	}
	return part
}

// places are where the drawing and the tape stand.
func places(free frame.Box, taped bool) (draw, tape frame.Box) {
	edge := 16.0
	if free.Wide() < 640 {
		edge = 8
	}
	draw = free.Inset(edge)
	if !taped {
		return draw, tape
	}
	tall := math.Min(math.Max(0.2*free.High(), 58), 120)
	tape = frame.Box{X0: draw.X0, Y0: draw.Y1 - tall, X1: draw.X1, Y1: draw.Y1}
	draw.Y1 = tape.Y0 - 8
	return draw, tape
}

// tape is a strip of paper on which each tap has left its mark, the present at its
// right end, where the pump stands.
func (c *Chapter) tape(d *chart.Drawing, b frame.Box, now time.Time) {
	line := func(ink chart.Ink, width, x0, y0, x1, y1 float64) {
		d.Add(chart.Shape{Points: []chart.Point{{X: x0, Y: y0}, {X: x1, Y: y1}}, Line: ink, Width: width})
	}
	line(chart.Soft, 1, b.X0, b.Y0, b.X1, b.Y0)
	line(chart.Soft, 1, b.X0, b.Y1, b.X1, b.Y1)
	low := b.Y1 - 20
	taps := c.ear.Taps
	var first, last time.Time
	for _, t := range taps {
		if t != 0 {
			if first.IsZero() {
				first = t.time()
			}
			last = t.time()
		}
	}
	if first.IsZero() {
		d.Add(chart.Label{At: chart.Point{X: (b.X0 + b.X1) / 2, Y: (b.Y0+b.Y1)/2 + 5}, Text: "Each tap leaves its mark here", Ink: chart.Soft, Size: 13, Side: chart.Middle})
		return
	}
	end := now
	if end.Before(last) {
		end = last
	}
	whole := math.Max(end.Sub(first).Seconds(), 20)
	left, right := b.X0+14, b.X1-14
	at := func(t time.Time) float64 { return right - end.Sub(t).Seconds()/whole*(right-left) }
	var before time.Time
	missed := false
	free := math.Inf(-1) // right end of the last label
	for i, t := range taps {
		if t == 0 {
			missed = true
			continue
		}
		x := at(t.time())
		if !before.IsZero() {
			from := at(before)
			if !missed && c.ear.is(i) == stops && c.ear.is(i-1) == starts {
				d.Add(chart.Shape{Points: []chart.Point{{X: from, Y: b.Y0 + 8}, {X: math.Max(x, from+3), Y: b.Y0 + 8}, {X: math.Max(x, from+3), Y: low}, {X: from, Y: low}}, Closed: true, Fill: chart.Band})
			}
			text := span(t.time().Sub(before).Seconds())
			if missed {
				text = "one missed"
			}
			if w := chart.Wide(text, 13, false); w < x-from-4 && from > free {
				d.Add(chart.Label{At: chart.Point{X: (from + x) / 2, Y: b.Y1 - 5}, Text: text, Ink: chart.Body, Size: 13, Side: chart.Middle})
				free = (from+x)/2 + w/2
			}
		}
		line(chart.Rule, 1, x, b.Y0, x, b.Y1)
		up := b.Y0 + 8
		if c.ear.is(i) == stops {
			up = (b.Y0 + low) / 2
		}
		line(chart.Body, 3, x, up, x, low)
		before, missed = t.time(), false
	}
	// What is still quiet.
	x := at(before)
	if text := span(end.Sub(before).Seconds()); end.After(before) {
		for u := x + 6; u < right-2; u += 9 {
			line(chart.Soft, 1.5, u, low-6, math.Min(u+4, right), low-6)
		}
		if w := chart.Wide(text, 13, true); w < right-x-4 && x > free {
			d.Add(chart.Label{At: chart.Point{X: (x + right) / 2, Y: b.Y1 - 5}, Text: text, Ink: chart.Body, Size: 13, Side: chart.Middle, Bold: true})
		}
	}
}
