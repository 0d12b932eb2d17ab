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
	calm    bool
	blank   bool // nothing is known, and no number will be written
	show    []string
	faulty  []string // as View.Faults has them
	seeps   []bool   // which of them are seeps
	open    []bool   // fixtures that stand open, by part
	names   []label
	numbers []slot
}

// A label is a name where it stands.
type label struct {
	text   chart.Label
	leader []chart.Point
	over   bool      // it lies over a tube, whose water would cover it
	tag    frame.Box // it breaks the wall: paper behind it
}

// A slot is room for a number.
type slot struct {
	what numbered
	of   int // part: of a tank or tap; of a seep which of the faults
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
	seepOf:     {"8.8 fl oz/min", "880 mL/min"}, // where nothing moves; else how much faster than life it does
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
	w.done, w.units, w.picked, w.calm, w.blank = true, l.Units, v.Picked, l.Calm, v.Sample == nil
	w.show = append(w.show[:0], v.Show...)
	w.faulty, w.seeps = w.faulty[:0], w.seeps[:0]
	for _, f := range v.Faults {
		_, seep := f.(network.Seep)
		w.faulty, w.seeps = append(w.faulty, f.Faulty()), append(w.seeps, seep)
	}
	w.open = w.open[:0]
	for _, part := range p.g.parts {
		w.open = append(w.open, flowing(v.Lineup, part))
	}
	w.names, w.numbers = w.names[:0], w.numbers[:0]
	s := &scribe{pic: pic, size: pic.text}
	s.obstacles(p)
	s.figures(p, v, l)
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
	if !w.done || w.units != l.Units || w.picked != v.Picked || w.calm != l.Calm || w.blank != (v.Sample == nil) || !slices.Equal(w.show, v.Show) || len(w.faulty) != len(v.Faults) || len(w.open) != len(p.g.parts) {
		return false
	}
	for i, f := range v.Faults {
		if _, seep := f.(network.Seep); w.faulty[i] != f.Faulty() || w.seeps[i] != seep {
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
		if b := w.names[i].tag; b != (frame.Box{}) {
			d.Add(chart.Shape{Points: []chart.Point{{X: b.X0, Y: b.Y0}, {X: b.X1, Y: b.Y0}, {X: b.X1, Y: b.Y1}, {X: b.X0, Y: b.Y1}}, Closed: true, Fill: chart.Paper})
		}
		if !w.names[i].over {
			d.Add(w.names[i].text)
		}
	}
}

// figures keeps room for numbers: they are found room first and give way last.
func (s *scribe) figures(p *Plan, v View, l frame.Look) {
	pic := s.pic
	system := 0
	if l.Units == unit.Metric {
		system = 1
	}
	wide := func(what numbered) float64 {
		if what == seepOf && !l.Calm {
			return chart.Wide("×2000", s.size, true)
		}
		return chart.Wide(widest[what][system], s.size, true)
	}
	add := func(what numbered, of int, beside frame.Box) {
		wide, far, overTube := wide(what), 80.0, 40.0
		if what == pressureOf { // the pen below has it too: right at the gauge or not at all
			_, stops := switchOf(p.g.parts[p.g.nodes[p.gauge].part].(network.Pump))
			wide, far, overTube = chart.Wide(l.Units.Format(full(stops), 2), s.size, true), 12, math.Inf(1)
		}
		before := len(s.taken)
		at, side, ok := s.room(beside, wide, min(far, 48), overTube)
		if !ok {
			at, side, ok = s.room(beside, wide, far, overTube)
		}
		if b := s.box(at, side, wide); ok && what == pressureOf && !above(b, beside) && !level(b, beside) {
			s.taken, ok = s.taken[:before], false
		}
		pic.words.numbers = append(pic.words.numbers, slot{what, of, at, side, wide, !ok})
	}
	if !pic.words.blank {
		s.known(p, l, add)
	}
	for i, f := range v.Faults {
		seep, ok := f.(network.Seep)
		if !ok {
			continue
		}
		if b, ok := pic.where(p, seep.Part); ok {
			o := pic.around(b, 0)
			around := pic.square(o.at.X, o.at.Y, 2.1*o.rx, 2.1*o.ry)
			s.taken = append(s.taken, around, frame.Box{X0: o.at.X, X1: around.X1, Y0: around.Y1, Y1: around.Y1 + 8}) // and its drops
			add(seepOf, i, around)
		}
	}
	if b, ok := pic.where(p, v.Picked); ok && v.Picked != "" { // names keep clear of its ring
		o := pic.around(b, 5)
		s.taken = append(s.taken, pic.square(o.at.X, o.at.Y, 2*o.rx, 2*o.ry))
	}
	for i, part := range p.g.parts {
		if flowing(v.Lineup, part) {
			add(flowOf, i, pic.parts[i].box)
		}
	}
}

// above reports whether a label stands over or under the middle of something, level
// whether it stands beside it.
func above(label, of frame.Box) bool {
	x := (of.X0 + of.X1) / 2
	return label.X0 < x && x < label.X1
}

func level(label, of frame.Box) bool {
	y := (of.Y0 + of.Y1) / 2
	return label.Y0 < y && y < label.Y1
}

// known keeps room for the pressure at the gauge and what is in the tanks.
func (s *scribe) known(p *Plan, l frame.Look, add func(what numbered, of int, beside frame.Box)) {
	pic := s.pic
	if pic.dial.ok {
		r := pic.dial.r
		const below = 0.62 // of the radius, where the needle does not come
		if room := 2*r*math.Sqrt(1-below*below) - 2; chart.Wide("88 psi", s.size, true) < room {
			pic.words.numbers = append(pic.words.numbers, slot{what: pressureOf, at: chart.Point{X: pic.dial.at.X, Y: pic.dial.at.Y + below*r + 0.3*s.size}, side: chart.Middle, wide: room})
		} else {
			add(pressureOf, -1, pic.square(pic.dial.at.X, pic.dial.at.Y, 2*r, 2*r))
		}
	}
	for _, t := range pic.tanks {
		b := pic.parts[t].box
		if full := l.Units.Format(p.g.parts[t].(network.Tank).Capacity, 2); chart.Wide(full, s.size, true) <= b.Wide()+2 {
			pic.words.numbers = append(pic.words.numbers, slot{what: waterOf, of: t, at: chart.Point{X: (b.X0 + b.X1) / 2, Y: b.Y1 - 7}, side: chart.Middle, wide: b.Wide()})
			continue
		}
		add(waterOf, t, b)
	}
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
		if b, ok := pic.where(p, name); ok {
			if name == v.Picked {
				o := pic.around(b, 5)
				b = pic.square(o.at.X, o.at.Y, 2.02*o.rx, 2.02*o.ry)
			}
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
			if m == 1 { // in the order in which they are asked for
				n.rank = slices.Index(v.Show, name)
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
			far, overTube = max(far, 62), 90
		}
		if n.must < 3 {
			far, overTube = 120, 400 // sooner far off, or across a word, than on a tube
		}
		bold := n.must == 0
		wide := chart.Wide(n.text, s.size, bold)
		at, side, ok := s.room(n.beside, wide, far, overTube)
		if !ok && pic.in.Wide() > 900 { // a screen has room for all names, if need be over a tube
			at, side, ok = s.room(n.beside, wide, far, 60)
		}
		if !ok {
			continue
		}
		lab := label{text: chart.Label{At: at, Text: n.text, Ink: chart.Body, Size: s.size, Side: side, Bold: bold, Halo: true}}
		if lab.leader = s.leader(at, side, wide, n.beside); lab.leader != nil {
			s.led = append(s.led, lab.leader)
		}
		b := s.box(at, side, wide)
		lab.over = s.tubes(b) > 0
		if s.walled(b) {
			in := pic.in
			lab.tag = frame.Box{X0: max(b.X0-2, in.X0), X1: min(b.X1+2, in.X1), Y0: b.Y0, Y1: min(b.Y1+1, in.Y1)}
		}
		pic.words.names = append(pic.words.names, lab)
	}
	slices.SortStableFunc(pic.words.names, func(a, b label) int { return cmp.Compare(a.text.At.X, b.text.At.X) })
}
