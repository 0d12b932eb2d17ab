package drawing

import (
	"math"

	"quietpump/network"
	"quietpump/sim/chart"
	"quietpump/wasm/frame"
)

// A picture is a plan in a box: all places in px.
type picture struct {
	in     frame.Box
	l      *routed
	sx, sy float64 // px a cell
	x0, y0 float64
	thick  float64 // scale of line widths
	// headroom is what is left under the roof beyond what the lattice leaves, px.
	headroom float64
	text     float64 // size of labels
	hull     hull
	parts    []place // by part
	joints   map[string]chart.Point
	runs     []run
	hoses    []hose
	rings    []ring // couplings between tubes
	dial     dial
	tanks    []int // parts

	words words
}

// A place is where a part's silhouette stands.
type place struct {
	box   frame.Box   // zero: a tube
	port  chart.Point // where it joins the plumbing
	flip  bool
	mouth []chart.Point // a crossing's ports, in the part's order
}

// A ring is a coupling drawn across a tube.
type ring struct {
	at     chart.Point
	dx, dy float64
	wide   float64
}

// A dial is the gauge's face.
type dial struct {
	at chart.Point
	r  float64
	ok bool
}

// A run is a stretch of plumbing in which one flow runs.
type run struct {
	tube  int    // part; −1: what joins two parts without a tube
	part  string // whose flow it is
	joint string // at which it is taken; empty: the part's own
	sign  float64
	hot   bool
	wide  float64 // of the water, px
	path  []chart.Point
	along []float64 // length up to each point
	reach frame.Box // of the path
	long  float64
	gaps  [][2]float64 // where it passes under another
	nodes [2]int       // at its ends; −1: none, it goes on
	water [][]chart.Point
	clear chart.Point // the place farthest from all else
}

// picture is the plan in a box, kept for the boxes used last.
func (p *Plan) picture(in frame.Box) *picture {
	for i, pic := range p.pics {
		if pic.in == in {
			if i > 0 {
				copy(p.pics[1:i+1], p.pics[:i])
				p.pics[0] = pic
			}
			return pic
		}
	}
	pic := p.fit(in)
	if len(p.pics) < 3 {
		p.pics = append(p.pics, nil)
	}
	copy(p.pics[1:], p.pics)
	p.pics[0] = pic
	return pic
}

// most is how large a silhouette is drawn at most, px.
const most = 116

func (p *Plan) fit(in frame.Box) *picture {
	wide, high := max(in.Wide(), 60), max(in.High(), 60)
	under := min(max(0.13*high, 24), 96)
	over := min(max(0.03*high, 8), 24)
	l := p.lattice(wide / (high - under - over))
	pic := &picture{in: in, l: l, joints: map[string]chart.Point{}}
	wall := wallOf(under)
	pic.sx = (wide - 2*wall - 4) / float64(l.w)
	if high >= 160 { // a name fits between what is highest and the roof
		pic.headroom = min(max(20-clearance*(high-under-over)/float64(l.h), 0), 14)
	}
	high -= pic.headroom
	pic.sy = (high - under - over) / float64(l.h)
	// Neither way much more than the other: a picture is not stretched.
	if pic.sx > 1.5*pic.sy {
		pic.sx = 1.5 * pic.sy
	}
	if pic.sy > 1.6*pic.sx {
		pic.sy = 1.6 * pic.sx
	}
	pic.x0 = in.X0 + (wide-pic.sx*float64(l.w))/2
	pic.y0 = in.Y0 + over + pic.headroom + (high-under-over-pic.sy*float64(l.h))/2
	cell := min(pic.sx, pic.sy)
	pic.thick = min(max(cell/9, 0.62), 1.8)
	pic.text = 12
	if wide > 700 {
		pic.text = 13
	}
	if wide > 1200 {
		pic.text = 14
	}
	pic.hull = p.hull(pic, under)
	pic.stand(p)
	pic.tubes(p)
	pic.glaze()
	return pic
}

// x and y are the px of lattice lines.
func (pic *picture) x(c float64) float64 { return pic.x0 + c*pic.sx }
func (pic *picture) y(c float64) float64 { return pic.y0 + c*pic.sy }

func (pic *picture) square(cx, cy, w, h float64) frame.Box {
	return frame.Box{X0: cx - w/2, Y0: cy - h/2, X1: cx + w/2, Y1: cy + h/2}
}

// stand places the silhouettes.
func (pic *picture) stand(p *Plan) {
	g := p.g
	pic.parts = make([]place, len(g.parts))
	unit := min(small*pic.sx, small*pic.sy*1.1, most)
	var wastes []int
	for i := range g.nodes {
		n, s := &g.nodes[i], &pic.l.spots[i]
		cx, cy := pic.x(float64(s.x)+float64(s.w)/2), pic.y(float64(s.y))
		switch n.sort {
		case underslung:
			wastes = append(wastes, n.part)
			continue
		case inline:
			size := unit
			if _, pump := g.parts[n.part].(network.Pump); pump {
				size = min(head*pic.sx, head*pic.sy, 1.5*most)
			}
			pic.parts[n.part] = place{box: pic.square(cx, cy, size, size), port: chart.Point{X: cx, Y: cy}, flip: s.flip}
			if i == p.gauge {
				r := min(float64(tall)*pic.sy*0.46, 3*pic.sx, 76)
				pic.dial = dial{chart.Point{X: cx, Y: cy - size/2 - r*1.12}, r, true}
			}
		case crossing:
			h := 2 * float64(s.up-1) * pic.sy
			w := min(float64(s.w)*pic.sx, 2*most)
			at := place{box: pic.square(cx, cy, w, h), port: chart.Point{X: cx, Y: cy}}
			at.mouth = make([]chart.Point, len(n.ports))
			for k := range at.mouth {
				at.mouth[k] = chart.Point{X: cx, Y: cy}
			}
			pic.parts[n.part] = at
		case inlet:
			pic.parts[n.part] = place{box: pic.square(cx, cy, unit, unit), port: chart.Point{X: cx + unit/2, Y: cy}}
			pic.lead(p, n.part)
		case vessel:
			b := frame.Box{X0: pic.x(float64(s.x)), X1: pic.x(float64(s.x + s.w)), Y0: pic.y(float64(s.y - s.up)), Y1: cy}
			pic.parts[n.part] = place{box: b, port: chart.Point{X: b.X1, Y: b.Y1}}
			pic.tanks = append(pic.tanks, n.part)
		case boiler:
			high := s.up
			if len(s.ups) > 0 {
				high -= stand
			}
			low := s.down
			if len(s.downs) > 0 {
				low -= stand
			}
			w := min(float64(s.w)*pic.sx, max(1.6*most, float64(max(len(s.ups), len(s.downs))*(small+1))*pic.sx))
			b := frame.Box{X0: cx - w/2, X1: cx + w/2, Y0: pic.y(float64(s.y - high)), Y1: pic.y(float64(s.y + low))}
			pic.parts[n.part] = place{box: b, port: chart.Point{X: cx, Y: cy}}
			pic.joints[n.joint] = chart.Point{X: cx, Y: cy}
			pic.hang(g, s.ups, cx, b.Y0, unit, -1)
			pic.hang(g, s.downs, cx, b.Y1, unit, 1)
			continue
		case bar:
			pic.joints[n.joint] = chart.Point{X: pic.x(float64(s.x + s.w/2)), Y: cy}
			pic.hang(g, s.ups, pic.x(float64(s.x+s.w/2)), cy, unit, -1)
			pic.hang(g, s.downs, pic.x(float64(s.x+s.w/2)), cy, unit, 1)
		}
	}
	if pic.dial.ok {
		pic.hull.part(pic.dial.at.X)
	}
	pic.sling(p, wastes)
}

// hang puts parts beside each other on a joint, or below it.
func (pic *picture) hang(g *graph, parts []int, cx, y, size, way float64) {
	for k, part := range parts {
		x := cx + (float64(k)-float64(len(parts)-1)/2)*(small+1)*pic.sx
		off := way * 3.2 * pic.thick // on the tube, or under it
		b := frame.Box{X0: x - size/2, X1: x + size/2, Y0: y + off, Y1: y + off + size}
		if way < 0 {
			b.Y0, b.Y1 = y+off-size, y+off
		}
		pic.parts[part] = place{box: b, port: chart.Point{X: x, Y: y}}
	}
}

// sling hangs the waste tanks under the floor.
func (pic *picture) sling(p *Plan, wastes []int) {
	h := &pic.hull
	if len(wastes) == 0 {
		return
	}
	high := (h.ground - h.floor) * 0.52
	each := (h.slingTo - h.slingFrom) / float64(len(wastes))
	w := min(each*0.8, 3.4*high)
	for k, part := range wastes {
		cx := h.slingFrom + (float64(k)+0.5)*each
		b := frame.Box{X0: cx - w/2, X1: cx + w/2, Y0: h.floor, Y1: h.floor + high}
		pic.parts[part] = place{box: b, port: chart.Point{X: cx, Y: b.Y0}}
	}
}

// tubes traces the ways of the water.
func (pic *picture) tubes(p *Plan) {
	g := p.g
	nominal := func(i int) float64 {
		t := g.parts[i].(network.Tube)
		switch bore := float64(t.Bore); {
		case bore > 0.0140:
			return 6
		case bore > 0.0105:
			return 4.4
		}
		return 3
	}
	for i := range g.edges {
		e := &g.edges[i]
		way := pic.l.ways[i]
		if len(way) == 0 {
			continue
		}
		var path []chart.Point
		add := func(x, y float64) {
			q := chart.Point{X: x, Y: y}
			if n := len(path); n == 0 || math.Abs(path[n-1].X-x) > 0.01 || math.Abs(path[n-1].Y-y) > 0.01 {
				path = append(path, q)
			}
		}
		pic.meet(p, i, 0, way[0], add)
		for _, c := range way {
			add(pic.x(float64(c.x)), pic.y(float64(c.y)))
		}
		pic.meet(p, i, 1, way[len(way)-1], add)
		path = rounded(straightened(path), 1.1*min(pic.sx, pic.sy))
		if len(e.links) == 0 {
			r := pic.direct(p, e)
			r.wide, r.nodes = 4.4*pic.thick, [2]int{e.ends[0].node, e.ends[1].node}
			r.set(path)
			pic.runs = append(pic.runs, r)
			if len(e.joints) > 0 {
				if _, known := pic.joints[e.joints[0]]; !known {
					at, _, _ := r.point(r.long / 2)
					pic.joints[e.joints[0]] = at
				}
			}
			continue
		}
		whole := run{}
		whole.set(path)
		for k, link := range e.links {
			t := g.parts[link.part].(network.Tube)
			n := float64(len(e.links))
			r := run{tube: link.part, part: t.Name, sign: 1, wide: nominal(link.part) * pic.thick, hot: pic.warm(p, t)}
			if link.reverse {
				r.sign = -1
			}
			r.nodes = [2]int{-1, -1}
			if k == 0 {
				r.nodes[0] = e.ends[0].node
			}
			if k+1 == len(e.links) {
				r.nodes[1] = e.ends[1].node
			}
			r.set(whole.slice(whole.long*float64(k)/n, whole.long*float64(k+1)/n))
			pic.runs = append(pic.runs, r)
			if k > 0 && k-1 < len(e.joints) {
				at, dx, dy := whole.point(whole.long * float64(k) / n)
				pic.joints[e.joints[k-1]] = at
				if dx*dy == 0 { // not on a bend
					pic.rings = append(pic.rings, ring{at, dx, dy, r.wide})
				}
			}
		}
		// Joints where a tube meets a part.
		for side, x := range e.ends {
			n := &g.nodes[x.node]
			if n.sort == bar || n.sort == boiler {
				continue
			}
			at := path[0]
			if side == 1 {
				at = path[len(path)-1]
			}
			if _, known := pic.joints[n.ports[x.port]]; !known {
				pic.joints[n.ports[x.port]] = at
			}
		}
	}
	for i := range g.nodes {
		pic.branches(p, i)
	}
	pic.cross()
	pic.clear()
}

// warm tells a tube that carries hot water.
func (pic *picture) warm(p *Plan, t network.Tube) bool {
	return p.hot[t.From] && p.hot[t.To] || p.hot[t.From] && pic.heated(p, t.To) || p.hot[t.To] && pic.heated(p, t.From)
}

func (pic *picture) heated(p *Plan, joint string) bool {
	i, ok := p.g.at[joint]
	return ok && p.g.nodes[i].sort == boiler
}

// direct is the run between two parts, or a part and a joint, without a tube.
func (pic *picture) direct(p *Plan, e *edge) run {
	r := run{tube: -1, sign: 1}
	if len(e.joints) > 0 {
		r.joint = e.joints[0]
		r.hot = p.hot[r.joint] && !pic.heated(p, r.joint)
	}
	n := &p.g.nodes[e.ends[0].node]
	if n.sort == bar || n.sort == boiler {
		n = &p.g.nodes[e.ends[1].node]
	} else {
		r.sign = -1 // FlowAt is positive into the part
	}
	if n.part >= 0 {
		r.part = p.g.parts[n.part].ID()
	}
	return r
}

// meet leads an edge's path from where its way ends to the node's own shape: first
// before the way, then after it.
func (pic *picture) meet(p *Plan, e, side int, at cell, add func(x, y float64)) {
	x := p.g.edges[e].ends[side]
	n := &p.g.nodes[x.node]
	t := pic.l.ends[e][side]
	px, py := pic.x(float64(at.x)), pic.y(float64(at.y))
	switch n.sort {
	case bar:
		px = pic.x(float64(t.hub))
	case vessel:
	default:
		b := &pic.parts[n.part].box
		left := t.x <= pic.l.spots[x.node].x
		if px = b.X1; left {
			px = b.X0
		}
		if n.sort == crossing {
			pic.parts[n.part].mouth[x.port] = chart.Point{X: px, Y: py}
		}
	}
	add(px, py)
}

// branches are the short ways from a joint to what stands or hangs at it.
func (pic *picture) branches(p *Plan, i int) {
	n := &p.g.nodes[i]
	if n.sort != bar {
		return
	}
	hub := pic.joints[n.joint]
	for _, h := range n.hung {
		at := &pic.parts[h]
		r := run{tube: -1, part: p.g.parts[h].ID(), joint: n.joint, sign: 1, wide: 4.4 * pic.thick, hot: p.hot[n.joint], nodes: [2]int{i, -1}}
		if math.Abs(at.port.X-hub.X) > 0.01 {
			r.set([]chart.Point{hub, at.port})
			pic.runs = append(pic.runs, r)
		}
	}
}

// where is the box of a part, or a small one round a joint.
func (pic *picture) where(p *Plan, name string) (frame.Box, bool) {
	for i, part := range p.g.parts {
		if part.ID() != name {
			continue
		}
		if b := pic.parts[i].box; b != (frame.Box{}) {
			return b, true
		}
		for k := range pic.runs {
			if r := &pic.runs[k]; r.tube == i {
				return pic.square(r.clear.X, r.clear.Y, r.wide, r.wide), true
			}
		}
	}
	if at, ok := pic.joints[name]; ok {
		return pic.square(at.X, at.Y, 6*pic.thick, 6*pic.thick), true
	}
	return frame.Box{}, false
}
