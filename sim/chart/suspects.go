package chart

import (
	"fmt"
	"math"
	"strings"

	"quietpump/hydraulics/unit"
)

// Suspects is what could be at fault, on a line from unlikely to almost surely.
type Suspects struct {
	Heading string // zero: one that says who leads
	List    []Suspect
}

// A Suspect is one of them.
type Suspect struct {
	Name   string
	Shape  string  // what it looks like in the hand: a network.Role, a kind of part, "air", "heat", "switch"; else a ring on a tube
	Belief float64 // 0 to 1
	Said   string  // the belief in words, such as "about 7 in 10"
	Group  int     // suspects of one number, above zero, cannot be told apart
}

// Title says who leads and how surely.
func (s Suspects) Title(unit.System) string {
	if s.Heading != "" {
		return s.Heading
	}
	lead := -1
	for i, x := range s.List {
		if lead < 0 || x.Belief > s.List[lead].Belief {
			lead = i
		}
	}
	switch {
	case lead < 0:
		return "Nothing is under suspicion"
	case s.List[lead].Belief < 0.3:
		return "No part stands out yet"
	}
	return "Most likely: " + withComma(s.List[lead].Name, s.List[lead].Said)
}

// Words tells each suspect's belief, and which cannot be told apart.
func (s Suspects) Words(unit.System) string {
	if len(s.List) == 0 {
		return "No part is under suspicion."
	}
	var each []string
	for _, x := range s.List {
		each = append(each, withComma(x.Name, x.Said))
	}
	text := "How likely each is: " + strings.Join(each, "; ") + "."
	for _, names := range s.groups() {
		text += " No test at hand tells apart " + strings.Join(names, " and ") + "."
	}
	return text
}

// groups are the names of those that cannot be told apart, in order.
func (s Suspects) groups() [][]string {
	var order []int
	names := map[int][]string{}
	for _, x := range s.List {
		if x.Group > 0 {
			if names[x.Group] == nil {
				order = append(order, x.Group)
			}
			names[x.Group] = append(names[x.Group], x.Name)
		}
	}
	var list [][]string
	for _, g := range order {
		if len(names[g]) > 1 {
			list = append(list, names[g])
		}
	}
	return list
}

func (s Suspects) draw(d *Drawing, _ unit.System) error {
	for _, x := range s.List {
		if !(x.Belief >= 0 && x.Belief <= 1) {
			return fmt.Errorf("suspects: %q is believed %g, which is not between 0 and 1", x.Name, x.Belief)
		}
	}
	const icon, nameSize = 26.0, 13.0
	joined := map[int]int{}
	for _, x := range s.List {
		if x.Group > 0 {
			joined[x.Group]++
		}
	}
	left, right := float64(edge+4), d.Width-edge-4
	tied := false
	for _, n := range joined {
		tied = tied || n > 1
	}
	if tied {
		left += 10
	}
	from, to := left+icon/2, right-icon/2
	at := func(belief float64) float64 { return from + belief*(to-from) }
	bracket := map[int][2]float64{}
	for i, x := range s.List {
		top := d.Height
		room := right - left - Wide(x.Said, labelSize, false) - 12
		var y float64
		for k, line := range wrap(x.Name, room, nameSize, i == 0) {
			y = top + 18 + 16*float64(k)
			d.Add(Label{At: Point{left, y}, Text: line, Ink: Body, Size: nameSize, Bold: i == 0, Halo: true})
		}
		d.text(right, top+18, End, Soft, labelSize, x.Said)
		y += icon/2 + 8
		d.line(Rule, 1.5, Point{from, y}, Point{to, y})
		px := at(x.Belief)
		d.line(Body, 2, Point{from, y}, Point{px, y})
		d.Silhouette(x.Shape, px-icon/2, y-icon/2, icon)
		if i == 0 && x.Belief >= 0.5 {
			d.Add(ringed(px, y, icon/2+5))
		}
		d.Height = y + icon/2 + 6
		if joined[x.Group] > 1 {
			b, begun := bracket[x.Group]
			if !begun {
				b[0] = top + 8
			}
			b[1] = y + 8
			bracket[x.Group] = b
		}
	}
	for _, x := range s.List {
		if b, ok := bracket[x.Group]; ok && joined[x.Group] > 1 {
			d.line(Soft, 1.5, Point{left - 5, b[0]}, Point{left - 10, b[0]}, Point{left - 10, b[1]}, Point{left - 5, b[1]})
			delete(bracket, x.Group)
		}
	}
	d.Height += 2
	d.line(Body, 1.5, Point{from, d.Height}, Point{to, d.Height})
	for i := range 11 {
		x, long := at(float64(i)/10), 3.0
		if i%5 == 0 {
			long = 6
		}
		d.line(Body, 1, Point{x, d.Height}, Point{x, d.Height + long})
	}
	d.Height += 18
	d.text(left, d.Height, Start, Soft, labelSize, "unlikely")
	if middle := "as likely as not"; Wide(middle, labelSize, false)/2+Wide("almost surely", labelSize, false)+8 < (right-left)/2 {
		d.text((from+to)/2, d.Height, Middle, Soft, labelSize, middle)
	}
	d.text(right, d.Height, End, Soft, labelSize, "almost surely")
	d.Height += 8
	if tied {
		for _, line := range wrap("No test at hand tells apart those that a bracket joins.", d.Width-2*edge, labelSize, false) {
			d.text(edge, d.Height+11, Start, Soft, labelSize, line)
			d.Height += 16
		}
	}
	d.Height += edge
	return nil
}

// ringed is the ring that a pencil leaves around a part: not quite round, and
// overlapping where it closes.
func ringed(x, y, r float64) Shape {
	var p []Point
	const n = 40
	for i := range n + 4 {
		a := -2 + 2*math.Pi*float64(i)/n
		k := r * (1 + 0.05*math.Sin(2*a+0.6) + 0.03*math.Sin(3*a) + 0.0022*float64(i))
		p = append(p, Point{x + 1.08*k*math.Cos(a), y + 0.95*k*math.Sin(a)})
	}
	return Shape{Points: p, Line: Seep, Width: 2}
}

// withComma sets a belief behind a name, where there is one.
func withComma(name, said string) string {
	if said == "" {
		return name
	}
	return name + ", " + said
}
