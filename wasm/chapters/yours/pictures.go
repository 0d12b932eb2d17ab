package yours

import (
	"math"
	"strings"

	"quietpump/sim/chart"
)

// Pictures of what is asked for, as it looks in a bay or at a wall. Drawn for this
// project, in the ink of the drawing beside them.

const wide, high = 300.0, 132.0

type pen struct{ chart.Drawing }

func (p *pen) line(ink chart.Ink, width float64, at ...float64) {
	p.Add(chart.Shape{Points: points(at), Line: ink, Width: width})
}

func (p *pen) body(at ...float64) {
	p.Add(chart.Shape{Points: points(at), Closed: true, Fill: chart.Paper, Line: chart.Body, Width: 1.8})
}

func points(at []float64) []chart.Point {
	list := make([]chart.Point, 0, len(at)/2)
	for i := 0; i+1 < len(at); i += 2 {
		list = append(list, chart.Point{X: at[i], Y: at[i+1]})
	}
	return list
}

// tube is a line with water in it.
func (p *pen) tube(at ...float64) {
	p.line(chart.Body, 11, at...)
	p.line(chart.Still, 7.5, at...)
}

func (p *pen) box(x0, y0, x1, y1 float64) { p.body(x0, y0, x1, y0, x1, y1, x0, y1) }

// round is an oval, or a piece of one, degrees clockwise from three o'clock.
func oval(x, y, rx, ry, from, to float64) []float64 {
	var at []float64
	for i := range 25 {
		s, c := math.Sincos((from + (to-from)*float64(i)/24) * math.Pi / 180)
		at = append(at, x+rx*c, y+ry*s)
	}
	return at
}

func (p *pen) ball(x, y, r float64) { p.body(oval(x, y, r, r, 0, 345)...) }

func (p *pen) word(x, y float64, side chart.Side, text string) {
	p.Add(chart.Label{At: chart.Point{X: x, Y: y}, Text: text, Ink: chart.Soft, Size: 14, Side: side})
}

// leader joins a name to what it names.
func (p *pen) leader(at ...float64) { p.line(chart.Soft, 1, at...) }

// pump is the diaphragm head with its motor behind, at the left of a line.
func (p *pen) pump(x, y float64) {
	p.box(x-54, y-19, x-16, y+19)
	for _, d := range []float64{-44, -36, -28} {
		p.line(chart.Soft, 1, x+d, y-15, x+d, y+15)
	}
	p.ball(x, y, 24)
	for _, a := range []float64{-90, 30, 150} {
		s, c := math.Sincos(a * math.Pi / 180)
		p.ball(x+12*c, y+12*s, 5.5)
	}
}

// lever is a handle on a ball body in a line.
func (p *pen) lever(x, y, angle float64) {
	p.ball(x, y, 12)
	s, c := math.Sincos(angle * math.Pi / 180)
	p.line(chart.Body, 6, x, y, x+34*c, y+34*s)
}

// arrow is as it is cast on a body.
func (p *pen) arrow(x, y, length float64) {
	p.line(chart.Body, 2, x, y, x+length, y)
	p.line(chart.Body, 2, x+length-7, y-5, x+length, y, x+length-7, y+5)
}

// picture of what a question asks for, as SVG; empty where it has none.
func picture(key string) string {
	p := &pen{chart.Drawing{Width: wide, Height: high}}
	switch key {
	case "accumulator":
		p.tube(62, 100, 300, 100)
		p.pump(62, 100)
		p.tube(178, 100, 178, 78)
		p.body(append(oval(178, 50, 26, 34, 180, 360), oval(178, 54, 26, 26, 0, 180)...)...)
		p.line(chart.Soft, 1.2, oval(178, 42, 25.5, 9, 15, 165)...)
		p.box(174, 6, 182, 17)
		p.leader(186, 11, 216, 22)
		p.word(220, 26, chart.Start, "air valve")
		p.word(62, 62, chart.Middle, "pump")
	case "pump check":
		p.tube(62, 78, 300, 78)
		p.pump(62, 78)
		p.body(128, 68, 138, 62, 176, 62, 186, 68, 186, 88, 176, 94, 138, 94, 128, 88)
		p.arrow(143, 78, 28)
		p.leader(157, 58, 172, 38)
		p.word(176, 36, chart.Start, "arrow on it")
		p.word(62, 42, chart.Middle, "pump")
	case "inlet":
		p.box(6, 8, 294, 124)
		p.ball(110, 66, 42)
		p.ball(110, 66, 28)
		for _, r := range []float64{23, 18} {
			p.line(chart.Soft, 1.2, oval(110, 66, r, r, 0, 345)...)
		}
		p.ball(110, 66, 7)
		p.leader(118, 66, 178, 48)
		p.word(182, 52, chart.Start, "screen, and a")
		p.word(182, 68, chart.Start, "plunger in it")
	case "fill valve":
		p.box(6, 8, 294, 124)
		p.ball(70, 70, 25)
		p.ball(70, 70, 14)
		p.ball(190, 70, 20)
		p.line(chart.Body, 8, 190, 70, 190, 30)
		p.line(chart.Soft, 1.2, oval(190, 70, 36, 36, -80, -10)...)
		p.word(70, 112, chart.Middle, "hose inlet")
		p.word(200, 30, chart.Start, "fill tank")
		p.word(232, 76, chart.Start, "use")
	case "pick-up":
		p.tube(0, 50, 190, 50)
		p.pump(242, 50)
		p.tube(110, 50, 110, 70, 96, 92, 50, 100, 24, 116)
		p.lever(110, 50, -60)
		p.leader(60, 102, 96, 120)
		p.word(100, 125, chart.Start, "loose hose")
		p.word(4, 36, chart.Start, "from the tank")
		p.word(236, 92, chart.Middle, "pump")
	case "heater":
		p.box(64, 6, 204, 126)
		for y := 22.0; y <= 62; y += 10 {
			p.line(chart.Body, 2.4, 84, y, 184, y)
		}
		p.box(150, 78, 168, 104)
		p.line(chart.Body, 3, 146, 76, 172, 76)
		p.tube(168, 96, 186, 96)
		p.leader(186, 92, 214, 80)
		p.word(216, 84, chart.Start, "relief valve")
	case "bypass":
		p.box(6, 6, 96, 126)
		p.word(51, 70, chart.Middle, "heater")
		p.tube(96, 32, 300, 32)
		p.tube(96, 102, 300, 102)
		p.tube(206, 32, 206, 102)
		p.lever(146, 32, 0)
		p.lever(146, 102, 0)
		p.lever(206, 67, 0)
	case "toilet":
		p.body(oval(120, 40, 56, 15, 0, 345)...)
		p.body(append([]float64{66, 44}, append(oval(120, 44, 54, 42, 180, 0), 140, 84, 146, 120, 94, 120, 100, 84)...)...)
		p.body(oval(120, 40, 56, 15, 0, 345)...)
		p.line(chart.Soft, 1.4, oval(120, 41, 40, 9, 0, 345)...)
		p.line(chart.Body, 7, 148, 112, 182, 106)
		p.leader(184, 104, 204, 92)
		p.word(208, 94, chart.Start, "pedal")
	case "outside shower":
		p.box(40, 6, 176, 126)
		p.box(176, 10, 236, 122)
		for _, x := range []float64{74, 120} {
			p.ball(x, 40, 13)
			p.line(chart.Body, 4, x-11, 40, x+11, 40)
			p.line(chart.Body, 4, x, 29, x, 51)
		}
		p.tube(97, 62, 97, 74, 130, 92, 96, 104, 72, 96)
		p.body(48, 88, 70, 88, 76, 96, 70, 106, 48, 106)
		p.word(206, 70, chart.Middle, "door")
		p.leader(131, 36, 246, 34)
		p.word(248, 38, chart.Start, "handles")
	case "appliance":
		p.box(70, 6, 158, 126)
		p.line(chart.Body, 1.6, 70, 30, 158, 30)
		p.ball(114, 76, 30)
		p.line(chart.Soft, 1.4, oval(114, 76, 22, 22, 0, 345)...)
		p.line(chart.Body, 3, 80, 18, 104, 18)
		p.tube(158, 104, 300, 104)
		p.word(226, 88, chart.Middle, "its own line")
	default:
		return ""
	}
	for _, q := range questions {
		if q.Key == key {
			p.Title, p.Words = q.Name, q.Where
		}
	}
	var b strings.Builder
	if p.SVG(&b, chart.Auto, "asked") != nil {
		return ""
	}
	return b.String()
}
