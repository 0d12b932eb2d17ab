package chart

import (
	"fmt"
	"math"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
)

// A PumpCurve is what a pump can do, what the taps ask of it, and where the two
// meet.
type PumpCurve struct {
	Heading string // zero: one that says where it works
	Curve   hydraulics.PumpCurve
	Demand  []Working // what the lines and open taps need for each flow, flows rising; may be left out
	Works   Working   // where the pump works; zero: not drawn
	Switch  Switch    // zero: not drawn
}

// A Working is a flow and the pressure rise that goes with it.
type Working struct {
	Flow unit.Flow
	Rise unit.Pressure
}

// Title says where the pump works.
func (c PumpCurve) Title(sys unit.System) string {
	switch {
	case c.Heading != "":
		return c.Heading
	case c.Works != Working{}:
		return fmt.Sprintf("The pump works at %s, raising the pressure by %s", sys.Format(c.Works.Flow, 2), sys.Format(c.Works.Rise, 2))
	}
	return "The more the pump must push, the less it delivers"
}

// Words tells the ends of the curve and where the pump works.
func (c PumpCurve) Words(sys unit.System) string {
	if len(c.Curve) < 2 {
		return "A pump's curve; nothing is drawn."
	}
	first, last := c.Curve[0], c.Curve[len(c.Curve)-1]
	text := fmt.Sprintf("Pressure against flow. The pump delivers %s at %s and %s at %s.",
		sys.Format(first.Flow, 2), sys.Format(first.Rise, 2), sys.Format(last.Flow, 2), sys.Format(last.Rise, 2))
	if (c.Works != Working{}) {
		text += fmt.Sprintf(" It works at %s and %s.", sys.Format(c.Works.Flow, 2), sys.Format(c.Works.Rise, 2))
	}
	if (c.Switch != Switch{}) {
		text += fmt.Sprintf(" It starts at %s and stops at %s.", sys.Format(c.Switch.Starts, 2), sys.Format(c.Switch.Stops, 2))
	}
	return text
}

func (c PumpCurve) draw(d *Drawing, sys unit.System) error {
	if err := c.Curve.Check(); err != nil {
		return err
	}
	most, top := float64(c.Curve[0].Flow), float64(c.Curve[len(c.Curve)-1].Rise)
	var fx, fy, dx, dy []float64
	const steps = 60
	for i := range steps + 1 {
		q := c.Curve[len(c.Curve)-1].Flow + (c.Curve[0].Flow-c.Curve[len(c.Curve)-1].Flow)*unit.Flow(i)/steps
		fx, fy = append(fx, float64(q)), append(fy, float64(c.Curve.Rise(q)))
	}
	for i, w := range c.Demand {
		if !finite(float64(w.Flow)) || !finite(float64(w.Rise)) || i > 0 && w.Flow <= c.Demand[i-1].Flow {
			return fmt.Errorf("pump curve: point %d of the demand does not follow the one before", i+1)
		}
		dx, dy = append(dx, float64(w.Flow)), append(dy, float64(w.Rise))
	}
	d.text(edge, d.Height+14, Start, Soft, labelSize, "pressure that the pump adds")
	d.Height += 18
	if len(dx) > 1 {
		for _, k := range []struct {
			line  Ink
			width float64
			dash  float64
			words string
		}{{Cold, 2.5, 0, "the pump"}, {Body, 1.5, 6, "what the open taps need"}} {
			y := d.Height + 10
			d.Add(Shape{Points: []Point{{edge, y}, {edge + 24, y}}, Line: k.line, Width: k.width, Dash: k.dash})
			d.text(edge+30, y+4, Start, Body, labelSize, k.words)
			d.Height += 17
		}
		d.Height += 3
	}
	f := framed(d, over(0, most, false, quantityScale[unit.Flow], sys, 0, 0.05), over(0, top, false, quantityScale[unit.Pressure], sys, 0, 0.05),
		math.Min(0.6*d.Width, 340), "flow")
	if (c.Switch != Switch{}) {
		for _, s := range []struct {
			p     unit.Pressure
			words string
		}{{c.Switch.Stops, "stops at "}, {c.Switch.Starts, "starts at "}} {
			y := f.y.at(float64(s.p))
			if !(y > f.top && y < f.bottom) {
				continue
			}
			d.Add(Shape{Points: []Point{{f.left, y}, {f.right, y}}, Line: Body, Width: 1, Dash: 5})
			d.text(f.left+5, y-4, Start, Body, labelSize, s.words+sys.Format(s.p, 2))
		}
	}
	f.curve(Cold, 2.5, 0, fx, fy)
	f.curve(Body, 1.5, 6, dx, dy)
	if (c.Works != Working{}) {
		x, y := f.x.at(float64(c.Works.Flow)), f.y.at(float64(c.Works.Rise))
		if x < f.left || x > f.right || y < f.top || y > f.bottom || !finite(x) || !finite(y) {
			return fmt.Errorf("pump curve: it cannot work at %v and %v, which is off the curve", c.Works.Flow, c.Works.Rise)
		}
		d.Add(Shape{Points: arc(x, y, 4, 0, 345), Closed: true, Fill: Body, Line: Paper, Width: 1}, ringed(x, y, 11))
		words := sys.Format(c.Works.Flow, 2) + " at " + sys.Format(c.Works.Rise, 2)
		// Above the ring, and within the field.
		half := Wide(words, labelSize, true)/2 + 4
		tx := math.Max(f.left+half, math.Min(f.right-half, x+half+6))
		d.Add(Label{At: Point{tx, y - 18}, Text: words, Ink: Seep, Size: labelSize, Side: Middle, Bold: true, Halo: true})
	}
	return nil
}
