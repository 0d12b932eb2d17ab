package drawing

import (
	"cmp"
	"math"
	"slices"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

// words are the labels of a picture: names with their leaders, and the room kept
// for numbers, which change all the time.
type words struct {
	done    bool
	units   unit.System
	picked  string
	bare    bool
	show    []string
	faulty  []string // as View.Faults has them
	open    []bool   // fixtures that stand open, by part
	names   []label
	numbers []slot
}

// A label is a name where it stands.
type label struct {
	text   chart.Label
	leader []chart.Point
	over   bool // it lies over a tube, whose water would cover it
}

// A slot is room for a number.
type slot struct {
	what numbered
	part int // of a tank, tap
	seep network.Seep
	at   chart.Point
	side chart.Side
	wide float64
	free bool // nothing found room
}

// widest are the widest numbers there are, by what they tell and the units.
var widest = map[numbered][2]string{
	pressureOf: {"188 psi", "0.88 bar"},
	waterOf:    {"188 gal", "0.88 L"},
	flowOf:     {"88 fl oz/min", "880 mL/min"},
	seepOf:     {"8.8 fl oz/min", "880 mL/min"},
}

// A numbered thing.
type numbered int

const (
	pressureOf numbered = iota // at the gauge
	waterOf                    // in a tank
	flowOf                     // from a tap
	seepOf
)

// name settles the labels, unless they stand as they should already.
func (p *Plan) name(pic *picture, l frame.Look, v View) {
	w := &pic.words
	if w.same(p, l, v) {
		return
	}
	w.done, w.units, w.picked, w.bare = true, l.Units, v.Picked, v.Bare
	w.show = append(w.show[:0], v.Show...)
	w.faulty = w.faulty[:0]
	for _, f := range v.Faults {
		w.faulty = append(w.faulty, f.Faulty())
	}
	w.open = w.open[:0]
	for _, part := range p.g.parts {
		w.open = append(w.open, flowing(v.Lineup, part))
	}
	w.names, w.numbers = w.names[:0], w.numbers[:0]
	s := &scribe{pic: pic, size: pic.text}
	s.obstacles(p)
	s.figures(p, v, l.Units)
	s.titles(p, v)
}

// flowing tells a part that stands open to the air.
func flowing(l network.Lineup, part network.Part) bool {
	switch part.(type) {
	case network.Fixture, network.Drain, network.Appliance:
		return opening(l, part) > 0
	}
	return false
}

func (w *words) same(p *Plan, l frame.Look, v View) bool {
	if !w.done || w.units != l.Units || w.picked != v.Picked || w.bare != v.Bare || !slices.Equal(w.show, v.Show) || len(w.faulty) != len(v.Faults) || len(w.open) != len(p.g.parts) {
		return false
	}
	for i, f := range v.Faults {
		if w.faulty[i] != f.Faulty() {
			return false
		}
	}
	for i, part := range p.g.parts {
		if w.open[i] != flowing(v.Lineup, part) {
			return false
		}
	}
	return true
}

func (w *words) draw(d *chart.Drawing) {
	for i := range w.names {
		if n := &w.names[i]; n.leader != nil {
			d.Add(chart.Shape{Points: n.leader, Line: chart.Soft, Width: 1})
		}
	}
	for i := range w.names {
		if !w.names[i].over {
			d.Add(w.names[i].text)
		}
	}
}

// A scribe finds room for labels.
type scribe struct {
	pic   *picture
	size  float64
	taken []frame.Box // silhouettes and labels
}

func meets(a, b frame.Box) bool { return a.X0 < b.X1 && b.X0 < a.X1 && a.Y0 < b.Y1 && b.Y0 < a.Y1 }

// obstacles are what no label may cover.
func (s *scribe) obstacles(p *Plan) {
	pic := s.pic
	for i := range pic.parts {
		if b := pic.parts[i].box; b != (frame.Box{}) {
			s.taken = append(s.taken, b.Inset(-1))
		}
	}
	for _, t := range pic.tanks {
		s.taken = append(s.taken, pic.lip(pic.parts[t].box))
	}
	if pic.dial.ok {
		r := pic.dial.r + 1
		s.taken = append(s.taken, pic.square(pic.dial.at.X, pic.dial.at.Y, 2*r, 2*r))
	}
	for _, at := range pic.joints {
		s.taken = append(s.taken, pic.square(at.X, at.Y, 4, 4))
	}
	h := &pic.hull
	s.taken = append(s.taken, pic.square(h.wheel.X, h.wheel.Y, 2.6*h.radius, 2.6*h.radius))
	slices.SortFunc(s.taken, func(a, b frame.Box) int {
		return cmp.Or(cmp.Compare(a.X0, b.X0), cmp.Compare(a.Y0, b.Y0), cmp.Compare(a.X1, b.X1), cmp.Compare(a.Y1, b.Y1))
	})
}

// figures keeps room for numbers: they are found room first and give way last.
func (s *scribe) figures(p *Plan, v View, units unit.System) {
	pic := s.pic
	system := 0
	if units == unit.Metric {
		system = 1
	}
	wide := func(what numbered) float64 { return chart.Wide(widest[what][system], s.size, true) }
	add := func(what numbered, part int, seep network.Seep, beside frame.Box) {
		wide := wide(what)
		at, side, ok := s.room(beside, wide, 20, 10)
		if !ok {
			at, side, ok = s.room(beside, wide, 80, 10)
		}
		pic.words.numbers = append(pic.words.numbers, slot{what, part, seep, at, side, wide, !ok})
	}
	if pic.dial.ok {
		r := pic.dial.r
		const below = 0.62 // of the radius, where the needle does not come
		if room := 2*r*math.Sqrt(1-below*below) - 2; chart.Wide("88 psi", s.size, true) < room {
			pic.words.numbers = append(pic.words.numbers, slot{what: pressureOf, part: -1, at: chart.Point{X: pic.dial.at.X, Y: pic.dial.at.Y + below*r + 0.3*s.size}, side: chart.Middle, wide: room})
		} else {
			add(pressureOf, -1, network.Seep{}, pic.square(pic.dial.at.X, pic.dial.at.Y, 2*r, 2*r))
		}
	}
	for _, t := range pic.tanks {
		b := pic.parts[t].box
		if full := units.Format(p.g.parts[t].(network.Tank).Capacity, 2); chart.Wide(full, s.size, true)+4 <= b.Wide() {
			pic.words.numbers = append(pic.words.numbers, slot{what: waterOf, part: t, at: chart.Point{X: (b.X0 + b.X1) / 2, Y: b.Y1 - 7}, side: chart.Middle, wide: b.Wide()})
			continue
		}
		add(waterOf, t, network.Seep{}, b)
	}
	for _, f := range v.Faults {
		seep, ok := f.(network.Seep)
		if !ok {
			continue
		}
		if b, ok := pic.where(p, seep.Part); ok {
			o := pic.around(b, 0)
			around := pic.square(o.at.X, o.at.Y, 2.1*o.rx, 2.1*o.ry)
			s.taken = append(s.taken, around, frame.Box{X0: o.at.X, X1: around.X1, Y0: around.Y1, Y1: around.Y1 + 8}) // and its drops
			add(seepOf, -1, seep, around)
		}
	}
	for i, part := range p.g.parts {
		if flowing(v.Lineup, part) {
			add(flowOf, i, network.Seep{}, pic.parts[i].box)
		}
	}
}

// An oval is where a ring is drawn.
type oval struct {
	at     chart.Point
	rx, ry float64
}

// around is the ring round something, so much wider than it needs to be.
func (pic *picture) around(b frame.Box, wider float64) oval {
	o := oval{at: chart.Point{X: (b.X0 + b.X1) / 2, Y: (b.Y0 + b.Y1) / 2}}
	round := max(0.64*max(b.Wide(), b.High()), 12)
	o.rx, o.ry = max(min(round, 0.64*b.Wide()+8), 12)+wider, max(min(round, 0.64*b.High()+8), 12)+wider
	// It stays on the paper.
	o.rx = min(o.rx, (o.at.X-pic.in.X0-1.3)/1.03, (pic.in.X1-o.at.X-1.3)/1.03)
	o.ry = min(o.ry, (o.at.Y-pic.in.Y0-1.3)/1.03, (pic.in.Y1-o.at.Y-1.3)/1.03)
	return o
}

// titles names the parts: those that must be first, then as the water meets them.
func (s *scribe) titles(p *Plan, v View) {
	pic := s.pic
	type named struct {
		text   string
		must   int
		rank   int
		x      float64
		beside frame.Box
	}
	var list []named
	chief := "" // the pump, by which everything else is found
	if p.gauge >= 0 {
		chief = p.g.parts[p.g.nodes[p.gauge].part].ID()
	}
	must := func(name string) int {
		switch {
		case name == v.Picked:
			return 0
		case slices.Contains(v.Show, name):
			return 1
		}
		for _, f := range v.Faults {
			if f.Faulty() == name {
				return 2
			}
		}
		if name == chief {
			return 3
		}
		return 4
	}
	seen := map[string]bool{}
	for i, part := range p.g.parts {
		name := part.ID()
		seen[name] = true
		m := must(name)
		if _, tube := part.(network.Tube); tube && m > 1 {
			continue
		}
		if m > 1 && v.Bare {
			continue
		}
		if b, ok := pic.where(p, name); ok {
			n := named{name, m, 0, b.X0, b}
			if at, ok := p.g.of[i]; ok {
				n.rank = p.g.nodes[at].rank
			}
			switch part.(type) {
			case network.Pump, network.Tank:
				n.rank -= 1000
			case network.Elastic, network.AirPocket:
				n.rank += 1000
			}
			list = append(list, n)
		}
	}
	for _, name := range append([]string{v.Picked}, v.Show...) {
		if b, ok := pic.where(p, name); ok && !seen[name] {
			seen[name] = true
			list = append(list, named{name, must(name), 0, b.X0, b})
		}
	}
	slices.SortFunc(list, func(a, b named) int {
		return cmp.Or(cmp.Compare(a.must, b.must), cmp.Compare(a.rank, b.rank), cmp.Compare(a.x, b.x), cmp.Compare(a.text, b.text))
	})
	const many = 120 // more than anybody reads, and than there is room for
	for _, n := range list[:min(many, len(list))] {
		far := 30.0
		overTube := math.Inf(1) // it gives way
		if pic.in.Wide() > 700 {
			far = 64
		}
		if n.must == 3 {
			overTube = 70
		}
		if n.must < 3 {
			far, overTube = 120, 70
		}
		bold := n.must == 0
		wide := chart.Wide(n.text, s.size, bold)
		at, side, ok := s.room(n.beside, wide, far, overTube)
		if !ok {
			continue
		}
		lab := label{text: chart.Label{At: at, Text: n.text, Ink: chart.Body, Size: s.size, Side: side, Bold: bold, Halo: true}}
		lab.leader = s.leader(at, side, wide, n.beside)
		lab.over = s.tubed(s.box(at, side, wide), 1) > 0
		pic.words.names = append(pic.words.names, lab)
	}
	slices.SortStableFunc(pic.words.names, func(a, b label) int { return cmp.Compare(a.text.At.X, b.text.At.X) })
}

// box is the room a label takes.
func (s *scribe) box(at chart.Point, side chart.Side, wide float64) frame.Box {
	x := at.X
	switch side {
	case chart.Middle:
		x -= wide / 2
	case chart.End:
		x -= wide
	}
	return frame.Box{X0: x, X1: x + wide, Y0: at.Y - 0.86*s.size, Y1: at.Y + 0.28*s.size}
}

// room finds a place for a label of that width beside something, no farther off
// than far, and takes it. Places near come first; one over a tube costs overTube.
func (s *scribe) room(beside frame.Box, wide, far, overTube float64) (at chart.Point, side chart.Side, ok bool) {
	pic := s.pic
	cx, cy := (beside.X0+beside.X1)/2, (beside.Y0+beside.Y1)/2
	up, down := 0.86*s.size, 0.28*s.size
	best := math.Inf(1)
	var taken frame.Box
	try := func(x, y float64, sd chart.Side, cost float64) {
		if cost >= best {
			return
		}
		q := chart.Point{X: x, Y: y}
		b := s.box(q, sd, wide)
		if b.X0 < pic.in.X0+1 || b.X1 > pic.in.X1-1 || b.Y0 < pic.in.Y0+1 || b.Y1 > pic.in.Y1-1 {
			return
		}
		grown := frame.Box{X0: b.X0 - 3, X1: b.X1 + 3, Y0: b.Y0 - 1, Y1: b.Y1 + 1}
		for _, t := range s.taken {
			if meets(grown, t) {
				return
			}
		}
		cost += s.tubed(b, overTube)
		if cost < best {
			cost += s.barred(q, sd, wide, beside)
		}
		if cost < best {
			best, at, side, taken, ok = cost, q, sd, grown, true
		}
	}
	for _, d := range [...]float64{3, 7, 12, 18, 26, 36, 48, 62, 80, 100, 120} {
		if d > far || d >= best {
			break
		}
		for _, shift := range [...]float64{0, -0.3, 0.3, -0.5, 0.5} {
			c := d + 12*math.Abs(shift)
			x := cx + shift*wide
			try(x, beside.Y1+d+up, chart.Middle, c)
			try(x, beside.Y0-d-down, chart.Middle, c+1)
		}
		for _, shift := range [...]float64{0, -1, 1, -2, 2} {
			c := d + 3 + 4*math.Abs(shift)
			y := cy + 0.3*s.size + shift*s.size
			try(beside.X1+d, y, chart.Start, c)
			try(beside.X0-d, y, chart.End, c)
		}
	}
	if ok {
		s.taken = append(s.taken, taken)
	}
	return at, side, ok
}

// tubed is what it costs a label to lie over tubes.
func (s *scribe) tubed(b frame.Box, each float64) float64 {
	cost := 0.0
	for i := range s.pic.runs {
		if s.pic.runs[i].over(b) {
			cost += each
		}
	}
	for i := range s.pic.hoses {
		if s.pic.hoses[i].over(b) {
			cost += each
		}
	}
	h := &s.pic.hull
	if p := h.pane; meets(p, b) && !meets(p.Inset(8), b) {
		cost += 8
	}
	for _, x := range [2]float64{h.left, h.right} {
		if b.X0 < x+h.wall && b.X1 > x-h.wall {
			cost += 20 + each
		}
	}
	for _, y := range [2]float64{h.roof, h.floor} {
		if b.Y0 < y+h.wall && b.Y1 > y-h.wall {
			cost += 20 + each
		}
	}
	return cost
}

// over reports whether a run lies in a box.
func (r *run) over(b frame.Box) bool {
	if !meets(r.reach.Inset(-r.wide), b) {
		return false
	}
	for k := 1; k < len(r.path); k++ {
		a, c := r.path[k-1], r.path[k]
		if meets(frame.Box{X0: min(a.X, c.X) - r.wide, X1: max(a.X, c.X) + r.wide, Y0: min(a.Y, c.Y) - r.wide, Y1: max(a.Y, c.Y) + r.wide}, b) {
			return true
		}
	}
	return false
}

// barred is what it costs if the leader runs over something else.
func (s *scribe) barred(at chart.Point, side chart.Side, wide float64, beside frame.Box) float64 {
	l := s.leader(at, side, wide, beside)
	if l == nil {
		return 0
	}
	cost := 4.0
	for _, t := range s.taken {
		if own := beside.Inset(-4); t.X0 >= own.X0 && t.X1 <= own.X1 && t.Y0 >= own.Y0 && t.Y1 <= own.Y1 {
			continue
		}
		if crosses(l[0], l[1], t) {
			cost += 30
		}
	}
	for i := range s.pic.runs {
		if p := s.pic.runs[i].path; len(p) > 1 {
			for k := 1; k < len(p); k++ {
				if _, ok := meet(l[0], l[1], p[k-1], p[k]); ok {
					cost += 5
				}
			}
		}
	}
	return cost
}

// crosses tells whether a stretch runs through a box.
func crosses(a, b chart.Point, t frame.Box) bool {
	const n = 12
	for k := range n + 1 {
		f := float64(k) / n
		if t.Holds(a.X+f*(b.X-a.X), a.Y+f*(b.Y-a.Y)) {
			return true
		}
	}
	return false
}

// leader joins a label to what it names, where it does not stand right at it.
func (s *scribe) leader(at chart.Point, side chart.Side, wide float64, beside frame.Box) []chart.Point {
	b := s.box(at, side, wide)
	clampTo := func(x, lo, hi float64) float64 { return min(max(x, lo), hi) }
	cx, cy := (beside.X0+beside.X1)/2, (beside.Y0+beside.Y1)/2
	from := chart.Point{X: clampTo(cx, b.X0, b.X1), Y: clampTo(cy, b.Y0, b.Y1)}
	to := chart.Point{X: clampTo(from.X, beside.X0, beside.X1), Y: clampTo(from.Y, beside.Y0, beside.Y1)}
	if math.Hypot(to.X-from.X, to.Y-from.Y) < 8 {
		return nil
	}
	return []chart.Point{from, to}
}
