package scene

import (
	"math"

	"quietpump/sim/chart"
)

// Begins is the time of day on the watch at the beginning, s: nine in the evening,
// when all is quiet and a pump is heard.
const begins = 21 * 3600

// watchFace is the watch without its hands.
func (s *Scene) watchFace(d *chart.Drawing) {
	w := s.places.watch
	ring := func(r float64) []chart.Point {
		var a arena
		return a.round(w.x, w.y, r, 0, 352)
	}
	top := w.y - w.r
	// The bow, the crown, the case.
	var bow arena
	d.Add(stroke(chart.Body, 1.5, bow.round(w.x, top-12, 6.5, -130, 130)))
	d.Add(solid(chart.Body, chart.None, 0, []chart.Point{{X: w.x - 6, Y: top - 11}, {X: w.x + 6, Y: top - 11}, {X: w.x + 6, Y: top - 5}, {X: w.x - 6, Y: top - 5}}))
	for x := -4.0; x <= 4; x += 4 {
		d.Add(stroke(chart.Paper, 1, []chart.Point{{X: w.x + x, Y: top - 10}, {X: w.x + x, Y: top - 6}}))
	}
	d.Add(stroke(chart.Body, 5, []chart.Point{{X: w.x, Y: top - 5}, {X: w.x, Y: top - 1}}))
	d.Add(solid(chart.Paper, chart.Body, 2.5, ring(w.r)), solid(chart.None, chart.Soft, 1, ring(w.r-3.5)))
	for h := range 12 {
		in := 0.14
		if h%3 == 0 {
			in = 0.24
		}
		a := 30 * float64(h)
		d.Add(stroke(chart.Body, 1.5, []chart.Point{polar(w.x, w.y, w.r-6, a), polar(w.x, w.y, (w.r-6)*(1-in), a)}))
	}
}

// hands are the watch's, at the simulated time.
func (s *Scene) hands(d *chart.Drawing, calm bool) {
	w := s.places.watch
	t := math.Mod(begins+s.roll.newest, 12*3600)
	centre := chart.Point{X: w.x, Y: w.y}
	d.Add(stroke(chart.Body, 2.5, s.points.line(centre, polar(w.x, w.y, 0.45*w.r, t/120))),
		stroke(chart.Body, 1.5, s.points.line(centre, polar(w.x, w.y, 0.72*w.r, math.Mod(t, 3600)/10))))
	if s.live.Rate() <= 10 && !calm {
		d.Add(stroke(chart.Seep, 1, s.points.line(polar(w.x, w.y, -0.2*w.r, math.Mod(t, 60)*6), polar(w.x, w.y, 0.75*w.r, math.Mod(t, 60)*6))))
	}
	d.Add(stroke(chart.Body, 4, s.points.line(centre)))
}

// rate writes how fast the clock goes, beside the watch or below it.
func (s *Scene) rate(d *chart.Drawing, stands bool) {
	w, l := s.places.watch, s.live
	times, words := Pace(l.Rate())
	if l.Slow() {
		times, _ = Pace(math.Max(l.Pace(), 1))
		words = "all this device can"
	}
	if stands || l.Halted() != "" {
		times, words = "0×", "time stands still"
	}
	if s.places.small {
		t := label(w.x, w.y+w.r+17, chart.Middle, 15, chart.Body, times)
		t.Bold = true
		d.Add(t)
		return
	}
	// Within the block; where that is narrow, in two lines.
	x, y, room := w.x+w.r+12, w.y-2, s.places.figures.X1-6-(w.x+w.r+12)
	lines := []string{words}
	if chart.Wide(words, 12, false) > room {
		lines, y = halves(words), w.y-10
	}
	t := label(x, y, chart.Start, 20, chart.Body, times)
	t.Bold = true
	d.Add(t)
	for i, line := range lines {
		d.Add(label(x, y+17+15*float64(i), chart.Start, 12, chart.Soft, line))
	}
}

// halves are words in two lines, of which the longer is as short as it can be.
func halves(words string) []string {
	cut := -1
	for i := range words {
		if words[i] == ' ' && (cut < 0 || max(i, len(words)-i) < max(cut, len(words)-cut)) {
			cut = i
		}
	}
	if cut < 0 {
		return []string{words}
	}
	return []string{words[:cut], words[cut+1:]}
}
