package chart

import (
	"math"

	"quietpump/network"
)

// A piece is part of a silhouette, in a box of 24 by 24.
type piece struct {
	points []Point
	closed bool
	fill   Ink
	line   Ink
	width  float64
}

// solid is a body with an outline, stroke a line, and wet a drop of water.
func solid(p ...Point) piece  { return piece{p, true, Paper, Body, 1.5} }
func stroke(p ...Point) piece { return piece{p, false, None, Body, 1.5} }
func bar(p ...Point) piece    { return piece{p, false, None, Body, 3} }
func wet(x, y float64) piece {
	s := drop(x, y, 2.6)
	return piece{s.Points, true, Seep, None, 0}
}

// arc is a piece of a circle from one angle to another, degrees clockwise from
// three o'clock.
func arc(x, y, r, from, to float64) []Point {
	n := max(4, int(math.Abs(to-from)/15))
	p := make([]Point, n+1)
	for i := range p {
		a := (from + (to-from)*float64(i)/float64(n)) * math.Pi / 180
		p[i] = Point{x + r*math.Cos(a), y + r*math.Sin(a)}
	}
	return p
}

func lobes(x, y, r float64) []Point {
	p := make([]Point, 36)
	for i := range p {
		a := 2 * math.Pi * float64(i) / 36
		k := r * (1 + 0.16*math.Cos(3*a+math.Pi/2))
		p[i] = Point{x + k*math.Cos(a), y + k*math.Sin(a)}
	}
	return p
}

// shapes are the parts as they look in the hand. Drawn for this project.
var shapes = func() map[string][]piece {
	tube := func(y float64) piece { return solid(box(1, y-3, 23, y+3)...) }
	pump := []piece{ // a diaphragm head with three lobes, seen from its end
		solid(lobes(12, 12, 9.5)...), solid(arc(12, 7, 2, 0, 345)...), solid(arc(7.7, 14.5, 2, 0, 345)...), solid(arc(16.3, 14.5, 2, 0, 345)...),
	}
	lever := []piece{tube(16), solid(arc(12, 16, 5.5, 0, 345)...), bar(Point{12, 15}, Point{20, 5})}
	flap := []piece{ // cut open, its flap hanging off the seat
		solid(Point{1, 9}, Point{6, 9}, Point{8, 5}, Point{17, 5}, Point{19, 9}, Point{23, 9}, Point{23, 15}, Point{19, 15}, Point{17, 19}, Point{8, 19}, Point{6, 15}, Point{1, 15}),
		stroke(Point{8.5, 5}, Point{8.5, 8}), stroke(Point{8.5, 16}, Point{8.5, 19}), bar(Point{9, 7.5}, Point{13.5, 16}),
	}
	tap := []piece{
		piece{append(append([]Point{{5, 21}}, arc(11, 9, 6, 180, 360)...), Point{17, 13}), false, None, Body, 4},
		bar(Point{2, 21}, Point{9, 21}), stroke(Point{7, 6}, Point{3, 3}), wet(17, 18),
	}
	toilet := []piece{
		solid(append(arc(12, 8, 8, 0, 180), Point{4, 8})...), bar(Point{3, 8}, Point{21, 8}),
		solid(Point{9, 16}, Point{15, 16}, Point{17, 22}, Point{7, 22}), bar(Point{17, 20}, Point{22, 18}),
	}
	drain := []piece{
		solid(box(9, 1, 15, 15)...), bar(Point{5, 9}, Point{19, 9}), solid(Point{9, 15}, Point{15, 15}, Point{13.5, 18}, Point{10.5, 18}), wet(12, 21.5),
	}
	relief := []piece{
		solid(box(8, 9, 16, 23)...), solid(box(16, 16, 22, 21)...), stroke(Point{9, 7.5}, Point{15, 6}, Point{9, 4.5}, Point{15, 3}), bar(Point{12, 2}, Point{22, 2}),
	}
	breaker := []piece{solid(append(arc(12, 9, 8, 180, 360), Point{4, 9})...), solid(box(9, 9, 15, 22)...), stroke(Point{6, 12}, Point{9, 12}), stroke(Point{15, 12}, Point{18, 12})}
	appliance := []piece{solid(box(4, 2, 20, 22)...), stroke(Point{4, 8}, Point{20, 8}), stroke(Point{7, 5}, Point{12, 5}), wet(12, 15)}
	ring := []piece{ // an elbow with a ring crimped on either leg
		solid(Point{1, 5}, Point{19, 5}, Point{19, 23}, Point{12, 23}, Point{12, 12}, Point{1, 12}),
		bar(Point{6, 3.5}, Point{6, 13.5}), bar(Point{10.5, 17}, Point{20.5, 17}), wet(7, 19),
	}
	vessel := []piece{solid(append(arc(12, 9, 7, 180, 360), arc(12, 16, 7, 0, 180)...)...), stroke(arc(12, 6, 9, 35, 145)...), stroke(Point{12, 1}, Point{12, 3})}
	bubble := []piece{tube(15), solid(arc(9, 14, 2.4, 0, 345)...), solid(arc(15, 13, 1.8, 0, 345)...), solid(arc(12, 6, 3, 0, 345)...)}
	glass := []piece{solid(append(arc(12, 4.5, 3, 180, 360), arc(12, 18, 4.6, -50, 230)...)...), piece{[]Point{{12, 9}, {12, 18}}, false, None, Hot, 3}}
	contacts := []piece{solid(box(3, 7, 21, 21)...), bar(Point{6, 14}, Point{10, 14}, Point{16, 10}), bar(Point{15, 14}, Point{18, 14})}
	unknown := []piece{piece{arc(12, 12, 9.5, 0, 345), true, Paper, Soft, 1.5}, stroke(append(arc(12, 9.5, 3.2, 180, 400), Point{12, 13}, Point{12, 14.5})...), bar(Point{12, 18}, Point{12, 18.1})}
	return map[string][]piece{
		string(network.PumpHeadValves): pump, "pump": pump, "hand pump": pump,
		string(network.FillValve): lever, string(network.OtherValve): lever, "shutoff": lever, "selector": lever,
		string(network.InletCheck): flap, "check": flap, "regulator": flap,
		string(network.Tap): tap, "fixture": tap, "mixer": tap,
		string(network.ToiletValve):    toilet,
		string(network.DrainValve):     drain,
		string(network.WornRelief):     relief,
		string(network.WornBreaker):    breaker,
		string(network.ApplianceValve): appliance,
		"accumulator":                  vessel, "heater": vessel,
		"air": bubble, "heat": glass, "switch": contacts, "none": unknown,
		string(network.WeepConnections): ring,
	}
}()

// Silhouette draws a part as it looks in the hand, in a box of size px with its
// upper left corner at x, y. The shape is a kind of part or a [network.Role]; what
// is neither is drawn as a connection.
func (d *Drawing) Silhouette(shape string, x, y, size float64) {
	pieces, ok := shapes[shape]
	if !ok {
		pieces = shapes[string(network.WeepConnections)]
	}
	k := size / 24
	// Paper behind it keeps it apart from the line it stands on.
	d.Add(Shape{Points: arc(x+size/2, y+size/2, size/2+1, 0, 345), Closed: true, Fill: Paper})
	for _, p := range pieces {
		at := make([]Point, len(p.points))
		for i, q := range p.points {
			at[i] = Point{x + k*q.X, y + k*q.Y}
		}
		d.Add(Shape{Points: at, Closed: p.closed, Fill: p.fill, Line: p.line, Width: p.width * k})
	}
}
