package drawing

import (
	"quietpump/network"
	"quietpump/sim/chart"
)

// A hose comes to a hookup from the left edge, over the ground.
type hose struct {
	run
	hookup int
}

// hosed tells a hookup with a hose on it.
func hosed(s network.Setting) bool { return s.Word() == "on" || s.Word() == "shut at spigot" }

func (pic *picture) lead(p *Plan, part int) {
	b := pic.parts[part].box
	y := (b.Y0 + b.Y1) / 2
	x := b.X0 + 0.2*b.Wide()
	r := min(0.5*(x-pic.in.X0), 0.3*b.Wide()+4)
	h := hose{hookup: part}
	h.tube, h.part, h.sign, h.wide = -1, p.g.parts[part].ID(), -1, 4.6*pic.thick
	edge := 3.75 * pic.thick
	low := pic.hull.ground - edge
	h.set(rounded([]chart.Point{{X: pic.in.X0 + edge, Y: low}, {X: x - r, Y: low}, {X: x - r, Y: y}, {X: x, Y: y}}, r))
	h.water = [][]chart.Point{h.path}
	pic.hoses = append(pic.hoses, h)
}

// hose draws what comes to a hookup: nothing unless the hose is on.
func (pic *picture) hose(d *chart.Drawing, part int, s network.Setting) {
	for i := range pic.hoses {
		h := &pic.hoses[i]
		if h.hookup != part || !hosed(s) {
			continue
		}
		d.Add(chart.Shape{Points: h.path, Line: chart.Body, Width: 7.5 * pic.thick})
		d.Add(chart.Shape{Points: h.path, Line: chart.Still, Width: h.wide})
		if s.Word() == "shut at spigot" { // its handle, across
			at := h.path[0]
			d.Add(chart.Shape{Points: []chart.Point{{X: at.X + 10, Y: at.Y - 10}, {X: at.X + 10, Y: at.Y}}, Line: chart.Body, Width: 3.4})
		}
	}
}
