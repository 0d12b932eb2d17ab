package kernel

import "math"

// A plan is a system in one mode (one state of every device), reduced to what
// has to be solved: dead legs dropped, paths in a row merged, joined nodes made
// one, shut paths left out, the unknowns in an order that keeps the factor thin.
// Dropped and merged nodes can still be read.
type plan struct {
	key   []uint8 // state by device
	whole bool    // nothing dropped or merged: every node clings to its head

	unknowns   int
	branches   []branch
	begin      []float64 // flow at which Newton starts on a branch that carried nothing
	friction   []Friction
	outs       []int32 // branches that lead to an end
	oneSided   bool    // some branch depends on one end only: the matrix has lost its symmetry
	nodes      []reading
	adrift     []bool // by node: only a ghost decides its head
	paths      []carried
	stores     []int32  // unknown by store, -1: takes no part
	full       []bool   // by store: held at its head, spilling
	anchored   []bool   // by store: it holds its section in a steady answer …
	isAnchored bool     // … once that was asked for
	feed       []feed   // branches whose water runs into a store at an end
	inflows    []inflow // all branches to and from stores
	watches    []watch
	told       float64 // what a flow that is told of may be off by, m³/s; +Inf: none is
	fac        factor

	first, next []int32 // room of tally
}

// branch joins unknowns a and b by a law laid out for the inner loop, fix being
// what known heads add to its drop. An end is the unknown one past the last, whose
// head stays zero.
type branch struct {
	a, b        int32
	slot        int32 // its entry in the factor, with an end the one past the last
	first, last int32 // its friction, in the plan's
	form        Form
	fix         float64
	off         float64
	lam, kap    float64
	calm        float64 // below this flow all of its friction is laminar
	calmLam     float64 // lam with that friction
	least       float64 // below this flow the quadratic is at rest, no more than calm, and has …
	rest, bend  float64 // … these for half of Kap·l and of Kap/l
	law         *Law    // where it has a power or a curve
}

// tame reports whether the branch can lose what it does at flow q, which is above
// zero.
func (b *branch) tame(q float64) bool {
	if b.law != nil {
		d, _ := b.law.Drop(q)
		return math.Abs(d-b.off) < wildDrop
	}
	return q*(b.lam+b.kap*q) < wildDrop
}

// lay gives a branch its law.
func (p *plan) lay(b *branch, l *Law) {
	b.off, b.lam, b.kap, b.form = l.Off, l.Lam, l.Kap, l.Form
	b.calm, b.calmLam = math.Inf(1), l.Lam
	if l.Pow != 0 || l.Curve != nil {
		b.calm, b.law = 0, l
		return
	}
	b.first = int32(len(p.friction))
	p.friction = append(p.friction, l.Friction...)
	b.last = int32(len(p.friction))
	for _, f := range l.Friction {
		b.calm = math.Min(b.calm, 1/f.R)
		b.calmLam += 64 * laminar * f.F * f.R
	}
	if l.Still > 0 && l.Kap > 0 {
		b.least = math.Min(b.calm, math.Sqrt(l.Still/l.Kap))
		b.rest, b.bend = 0.5*l.Kap*b.least, 0.5*l.Kap/b.least
	}
}

// begin is the flow from which Newton finds its way along the law: where its drop
// is of the size of drops in a coach, since a tangent taken far above sends the
// heads of others out of all bounds, and from where it halves the flow with each
// iteration. A law whose slope falls as the flow rises, a crack that opens with
// pressure, is found from below.
func (l *Law) begin() float64 {
	const drop = 1e4 // Pa
	if l.Pow != 0 && l.Inv < 1 {
		return 0
	}
	q := firstFlow
	if l.Kap*q*q > drop {
		q = math.Sqrt(drop / l.Kap)
	}
	if l.Lam*q > drop {
		q = drop / l.Lam
	}
	if l.Pow != 0 && l.Pow*math.Pow(q, l.Inv) > drop {
		q = math.Pow(drop/l.Pow, 1/l.Inv)
	}
	return q
}

type feed struct{ branch, store int32 }

// inflow is a branch through which water reaches a store, sign −1: leaves it.
type inflow struct {
	branch, store int32
	sign          float64
}

// plan reduces the system in the mode given by the devices' states, in the room of an old
// plan; whole, it drops and merges nothing.
func (r *reduction) plan(p *plan, sys *System, states []uint8, whole bool) {
	r.reduce(sys, states, whole)
	p.key, p.whole, p.oneSided = append(p.key[:0], states...), whole, r.oneSided
	p.full, p.adrift = append(p.full[:0], r.full...), append(p.adrift[:0], r.adrift...)
	p.isAnchored = false
	pairs := r.number()
	p.unknowns = int(r.unknowns)
	p.fac.analyse(p.unknowns, pairs, r.entries, p.oneSided)
	p.branch(r)
	p.read(r)
	p.stores = sized(p.stores, len(sys.Stores))
	for s, node := range r.stores {
		p.stores[s] = -1
		if node >= 0 {
			p.stores[s] = r.num[node]
		}
	}
	p.tally()
	p.watch(sys, states)
}

// branch makes a branch of each edge that is left, and says which carries what
// each path does.
func (p *plan) branch(r *reduction) {
	p.paths = sized(p.paths, len(r.sys.Paths))
	for i := range p.paths {
		p.paths[i] = carried{branch: -1}
	}
	n, rough := 0, 0
	for i := range r.edges {
		if e := &r.edges[i]; e.alive && r.num[e.a] >= 0 {
			n++
			rough += len(e.law.Friction)
		}
	}
	p.branches, p.begin, p.friction = sized(p.branches, n)[:0], sized(p.begin, n)[:0], sized(p.friction, rough)[:0]
	p.outs, p.feed = p.outs[:0], p.feed[:0]
	for i := range r.edges {
		e := &r.edges[i]
		if !e.alive || r.num[e.a] < 0 {
			continue
		}
		if e.b != Out && e.law.Form == Between && e.law.Curve == nil && r.num[e.a] > r.num[e.b] {
			r.reverse(e) // so that rounding does not depend on how a tube was told
		}
		b := branch{a: r.num[e.a], b: r.unknowns, slot: int32(len(p.fac.idx))}
		p.lay(&b, e.law)
		if e.b == Out || e.law.Form == Fed {
			b.fix = -e.xb
		}
		k := int32(len(p.branches))
		if e.b == Out {
			p.outs = append(p.outs, k)
		} else {
			b.b = r.num[e.b]
			b.slot = p.fac.slot(b.a, b.b)
		}
		p.branches = append(p.branches, b)
		p.begin = append(p.begin, e.law.begin())
		if e.into >= 0 {
			p.feed = append(p.feed, feed{k, e.into})
		}
		for l := e.first; l >= 0; l = r.rows[l].next {
			p.paths[l] = carried{k, r.rows[l].sign}
		}
	}
}

// read says how each node's head is found.
func (p *plan) read(r *reduction) {
	p.nodes = sized(p.nodes, len(r.sys.Nodes))
	for i := range p.nodes {
		p.nodes[i] = reading{at: known, off: r.sys.Nodes[i].Start, from: -1}
		if r.root.is(int32(i)) && r.num[i] >= 0 {
			p.nodes[i] = reading{at: r.num[i], from: -1}
		}
	}
	for i := range r.edges {
		e := &r.edges[i]
		if !e.alive || r.num[e.a] < 0 {
			continue
		}
		from := e.a
		for l := e.first; l >= 0; l = r.rows[l].next {
			if node := r.rows[l].node; node >= 0 {
				p.nodes[node] = reading{at: inRow, from: from, law: r.law(int(l)), by: p.paths[l]}
				from = node
			}
		}
	}
	for k := len(r.legs) - 1; k >= 0; k-- {
		l := r.legs[k]
		to := p.nodes[l.to]
		if to.at == inRow || to.at == onNode {
			p.nodes[l.node] = reading{at: onNode, off: l.off, from: l.to}
			continue
		}
		to.off += l.off
		p.nodes[l.node] = to
	}
	for i := range p.nodes {
		if root := r.root.find(int32(i)); root != int32(i) {
			p.nodes[i] = p.nodes[root]
		}
	}
}

// tally lists the branches to and from stores.
func (p *plan) tally() {
	p.first, p.next, p.inflows = sized(p.first, p.unknowns+1), sized(p.next, len(p.stores)), p.inflows[:0]
	first := p.first // the first store at an unknown, and the next after each
	next := p.next
	for k := range first {
		first[k] = -1
	}
	for s, k := range p.stores {
		if k >= 0 {
			first[k], next[s] = int32(s), first[k]
		}
	}
	for j := range p.branches {
		b := &p.branches[j]
		for s := first[b.a]; s >= 0; s = next[s] {
			p.inflows = append(p.inflows, inflow{int32(j), s, -1})
		}
		for s := first[b.b]; s >= 0; s = next[s] {
			p.inflows = append(p.inflows, inflow{int32(j), s, 1})
		}
	}
	for _, f := range p.feed {
		p.inflows = append(p.inflows, inflow{f.branch, f.store, 1})
	}
}
