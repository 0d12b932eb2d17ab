package chart

import (
	"fmt"
	"math"
	"strings"

	"quietpump/hydraulics/unit"
)

// An Axis is one quantity that a sweep went through.
type Axis struct {
	Name   string // "accumulator volume"
	Values Values // rising
	Log    bool   // on a scale that grows tenfold; the values are then above zero
}

// A Sweep is what followed as one quantity went through its values, as lines.
type Sweep struct {
	Heading string // zero: one that says how the first line goes
	X       Axis
	Y       string // what is drawn upward, such as "rest"
	LogY    bool
	Lines   []Line // up to six
}

// A Line is what followed, at each of the sweep's values.
type Line struct {
	Name   string // empty where there is one line
	Values Values // NaN where there is none
}

// styles tell lines apart without colour: by dashes, and by the marks on them.
var styles = [...]struct {
	ink  Ink
	dash float64
}{{Cold, 0}, {Seep, 6}, {Hot, 2}, {Body, 10}, {Still, 0}, {Soft, 4}}

// Title says how the line goes from one end of the sweep to the other.
func (s Sweep) Title(sys unit.System) string {
	if s.Heading != "" {
		return s.Heading
	}
	if len(s.Lines) == 0 || s.Lines[0].Values.Len() < 2 || s.X.Values.Len() != s.Lines[0].Values.Len() {
		return s.Y + " against " + s.X.Name
	}
	v, last := s.Lines[0].Values, s.Lines[0].Values.Len()-1
	a, b := v.list[0], v.list[last]
	goes := "goes"
	switch {
	case !finite(a) || !finite(b):
	case math.Abs(b-a) <= 0.03*math.Max(math.Abs(a), math.Abs(b)):
		return fmt.Sprintf("%s hardly depends on %s", capital(s.Y), s.X.Name)
	case b > a:
		goes = "grows"
	case b < a:
		goes = "falls"
	}
	name := ""
	if s.Lines[0].Name != "" && len(s.Lines) > 1 {
		name = " (" + s.Lines[0].Name + ")"
	}
	return fmt.Sprintf("%s%s %s from %s to %s as %s goes from %s to %s", capital(s.Y), name, goes, v.Say(0, sys), v.Say(last, sys),
		s.X.Name, s.X.Values.Say(0, sys), s.X.Values.Say(last, sys))
}

// Words tells each line at its ends and its middle.
func (s Sweep) Words(sys unit.System) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s against %s.", capital(s.Y), s.X.Name)
	for _, l := range s.Lines {
		n := l.Values.Len()
		if n == 0 || n != s.X.Values.Len() {
			continue
		}
		b.WriteString(" ")
		if l.Name != "" {
			b.WriteString(capital(l.Name) + ": ")
		}
		var each []string
		for i, last := range []int{0, n / 2, n - 1} {
			if i > 0 && last == 0 {
				continue
			}
			each = append(each, l.Values.Say(last, sys)+" at "+s.X.Values.Say(last, sys))
		}
		b.WriteString(strings.Join(each, ", ") + ".")
	}
	return b.String()
}

func (s Sweep) draw(d *Drawing, sys unit.System) error {
	if err := rising(s.X.Name, s.X.Values.list, s.X.Log); err != nil {
		return fmt.Errorf("sweep: %w", err)
	}
	if n := len(s.Lines); n == 0 || n > len(styles) {
		return fmt.Errorf("sweep: %d lines; from 1 to %d can be told apart", n, len(styles))
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, l := range s.Lines {
		if l.Values.Len() != s.X.Values.Len() {
			return fmt.Errorf("sweep: line %q has %d values for %d of %s", l.Name, l.Values.Len(), s.X.Values.Len(), s.X.Name)
		}
		for _, v := range l.Values.list {
			if finite(v) && (v > 0 || !s.LogY) {
				lo, hi = math.Min(lo, v), math.Max(hi, v)
			}
		}
	}
	if lo > hi {
		return fmt.Errorf("sweep: %s is not known at any of the values", s.Y)
	}
	if s.LogY && lo == hi {
		lo, hi = lo/2, hi*2
	}
	d.text(edge, d.Height+14, Start, Soft, labelSize, s.Y)
	d.Height += 18
	if len(s.Lines) > 1 || s.Lines[0].Name != "" {
		s.key(d)
	}
	if low := lo; !s.LogY && low > 0 && low < 0.4*hi {
		lo = 0 // near enough to zero to begin there
	}
	x := s.X.Values
	f := framed(d, over(x.list[0], x.list[len(x.list)-1], s.X.Log, x.scale, sys, 0, 0),
		over(lo, hi, s.LogY, s.Lines[0].Values.scale, sys, 0, 0.06), math.Min(0.6*d.Width, 340), s.X.Name)
	for i, l := range s.Lines {
		st := styles[i]
		f.curve(st.ink, 2, st.dash, x.list, l.Values.list)
		last := math.Inf(-1)
		for k, v := range l.Values.list {
			px := f.x.at(x.list[k])
			if !finite(v) || s.LogY && v <= 0 || px-last < 14 {
				continue
			}
			last = px
			d.Add(marker(i, px, f.y.at(v)))
		}
	}
	return nil
}

// key names the lines, as many beside each other as there is room for.
func (s Sweep) key(d *Drawing) {
	x, y := float64(edge), d.Height+12
	for i, l := range s.Lines {
		name := fit(l.Name, d.Width-2*edge-38, labelSize, false)
		need := 38 + Wide(name, labelSize, false)
		if x > edge && x+need > d.Width-edge {
			x, y = edge, y+18
		}
		d.Add(Shape{Points: []Point{{x, y - 4}, {x + 30, y - 4}}, Line: styles[i].ink, Width: 2, Dash: styles[i].dash}, marker(i, x+15, y-4))
		d.text(x+36, y, Start, Body, labelSize, name)
		x += need + 14
	}
	d.Height = y + 8
}

// marker is the i-th mark: round, square, triangle, diamond, and the hollow ones.
func marker(i int, x, y float64) Shape {
	var p []Point
	switch i % 4 {
	case 0:
		p = arc(x, y, 3.4, 0, 345)
	case 1:
		p = box(x-3, y-3, x+3, y+3)
	case 2:
		p = []Point{{x, y - 4}, {x + 4, y + 3}, {x - 4, y + 3}}
	case 3:
		p = []Point{{x, y - 4.4}, {x + 4.4, y}, {x, y + 4.4}, {x - 4.4, y}}
	}
	m := Shape{Points: p, Closed: true, Fill: styles[i].ink, Line: Paper, Width: 1}
	if i >= 4 {
		m.Fill, m.Line, m.Width = Paper, styles[i].ink, 1.5
	}
	return m
}

func capital(s string) string {
	if s == "" {
		return s
	}
	r := []rune(s)
	return strings.ToUpper(string(r[:1])) + string(r[1:])
}
