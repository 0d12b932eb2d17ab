package house

import (
	"bytes"
	"time"

	"quietpump/sim/chart"
	"quietpump/wasm/desk"
	"quietpump/wasm/frame"
	"quietpump/wasm/sheet"
)

type sample struct {
	taps []string
	last frame.Frame
	x    float64
}

func (s *sample) Key() string  { return "yours" }
func (s *sample) Name() string { return "yours" }
func (s *sample) Sheet(l frame.Look) sheet.Sheet {
	var d chart.Drawing
	d.Width, d.Height = 60, 60
	d.Silhouette("pump", 6, 6, 48)
	var b bytes.Buffer
	_ = d.SVG(&b, chart.Auto, "p")
	sh := sheet.Sheet{Title: "Tap when the pump starts"}
	sh.Add(sheet.Words{Text: "Hose on or off?"}, sheet.Choice{Do: "hose", Ask: "Hose on or off?", Answers: []sheet.Answer{{Arg: "on", Text: "on"}, {Arg: "off", Text: "off"}}, Picture: b.String()},
		sheet.Tap{Do: "start", Text: "TAP WHEN IT STARTS"}, sheet.Field{Do: "name", Ask: "Name", Hint: "my coach"}, sheet.Slide{Do: "s", Ask: "How fast", At: 0.3, Shows: "60×"},
		sheet.Open{Do: "open", Text: "Open a card"}, sheet.Countdown{Until: time.Now().Truncate(time.Hour).Add(time.Hour), Text: "left of the hold test", Done: "done"},
		sheet.Rows{Cells: [][]string{{"start", "at"}, {"1", "10:00"}}}, sheet.Words{Text: "Heater off on gas and electric first.", Style: sheet.Caution})
	for _, t := range s.taps {
		sh.Add(sheet.Words{Text: t, Style: sheet.Item})
	}
	sh.Next = &sheet.Button{Do: "next", Text: "Go on"}
	return sh
}
func (s *sample) Do(e sheet.Event) {
	s.taps = append(s.taps, e.Do+" "+e.Arg+" "+e.At.Format("15:04:05"))
}
func (s *sample) Touch(p frame.Pointer)                       { s.x = p.X }
func (s *sample) Advance(now time.Time, b time.Duration) bool { return true }
func (s *sample) Draw(f *frame.Frame) {
	if f.Paper != s.last.Paper || f.Look != s.last.Look || f.Free != s.last.Free {
		s.last = *f
		f.Changed = true
		f.Still.Marks = nil
		b := f.Free.Inset(20)
		f.Still.Add(chart.Shape{Points: []chart.Point{{X: b.X0, Y: b.Y0}, {X: b.X1, Y: b.Y0}, {X: b.X1, Y: b.Y1}, {X: b.X0, Y: b.Y1}}, Closed: true, Line: chart.Body, Width: 1.5})
		for i, k := range []string{"pump", "shutoff", "check", "fixture", "accumulator"} {
			f.Still.Silhouette(k, b.X0+20+float64(i)*70, b.Y0+30, 60)
			f.Still.Add(chart.Label{At: chart.Point{X: b.X0 + 50 + float64(i)*70, Y: b.Y0 + 110}, Text: k, Size: 13, Ink: chart.Body, Side: chart.Middle, Halo: true})
		}
	}
	b := f.Free.Inset(20)
	x := b.X0 + 20 + float64(f.Now.UnixMilli()%4000)/4000*(b.Wide()-40)
	f.Moving.Add(chart.Shape{Points: []chart.Point{{X: b.X0 + 10, Y: b.Y1 - 40}, {X: x, Y: b.Y1 - 40}}, Line: chart.Cold, Width: 6, Dash: 12})
}
func (s *sample) Keep() ([]byte, error)    { return nil, nil }
func (s *sample) Restore([]byte) error     { return nil }
func (s *sample) Follow(l desk.Link) error { return nil }
func (s *sample) Effects() []desk.Effect   { return nil }
