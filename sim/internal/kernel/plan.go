package kernel

import "math"

// A Plan is a system in one mode (one state of every device), reduced to what
// has to be solved: dead legs dropped, paths in a row merged, joined nodes made
// one, shut paths left out, the unknowns in an order that keeps the factor thin.
// Dropped and merged nodes can still be read.
type Plan struct {
	key   []uint8 // state by device
	whole bool    // nothing dropped or merged: every node clings to its head

	unknowns int
	branches []branch
	begin    []float64 // flow at which Newton starts on a branch that carried nothing
	friction []Friction
	outs     []int32 // branches that lead to an end
	oneSided bool    // some branch depends on one end only: the matrix has lost its symmetry
	nodes    []reading
	adrift   []bool // by node: only a ghost decides its head
	paths    []carried
	stores   []int32  // unknown by store, -1: takes no part
	full     []bool   // by store: held at its head, spilling
	feed     []feed   // branches whose water runs into a store at an end
	inflows  []inflow // all branches to and from stores
	watches  []watch
	fac      factor
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
	least       float64 // below this flow the quadratic is at rest, no more than calm
	law         *Law    // where it has a power or a curve
}

// lay gives a branch its law.
func (p *Plan) lay(b *branch, l *Law) {
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

type edge struct {
	a, b  int32 // root nodes; b may be Out
	xb    float64
	into  int32
	law   *Law
	alive bool
	// paths in the row, oriented a→b: sign −1 where a path runs b→a
	first, last int32 // linked list over row
}

type rowLink struct {
	path int32
	sign float64
	next int32
	node int32 // node between this path and the next, -1 at the end
}

type feed struct{ branch, store int32 }

// inflow is a branch through which water reaches a store, sign −1: leaves it.
type inflow struct {
	branch, store int32
	sign          float64
}

// NewPlan reduces the system in the mode given by the devices' states.
func NewPlan(sys *System, states []uint8) *Plan { return newPlan(sys, states, false) }

func newPlan(sys *System, states []uint8, whole bool) *Plan {
	p := &Plan{key: append([]uint8(nil), states...), whole: whole}
	n := len(sys.Nodes)
	law := func(i int) *Law {
		pt := &sys.Paths[i]
		s := uint8(0)
		if pt.Device >= 0 {
			s = states[pt.Device]
		}
		if int(s) >= len(pt.Laws) {
			return nil
		}
		return pt.Laws[s]
	}

	// Joined nodes become one.
	root := make([]int32, n)
	for i := range root {
		root[i] = int32(i)
	}
	find := func(i int32) int32 {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	for i := range sys.Paths {
		if l := law(i); l != nil && l.Form == Joined {
			a, b := find(sys.Paths[i].A), find(sys.Paths[i].B)
			if a != b {
				root[b] = a
			}
		}
	}

	// Nodes that must stay: stores, ends of one-sided laws.
	keep := make([]bool, n)
	for i := range keep {
		keep[i] = whole
	}
	p.stores = make([]int32, len(sys.Stores))
	p.full = make([]bool, len(sys.Stores))
	storeNode := make([]int32, len(sys.Stores))
	for s := range sys.Stores {
		st := &sys.Stores[s]
		p.stores[s] = -1
		storeNode[s] = -1
		if st.Node == Out {
			continue
		}
		if st.Device >= 0 {
			bit := uint32(1) << states[st.Device]
			if st.Idle&bit != 0 {
				continue
			}
			p.full[s] = st.Full&bit != 0
		}
		storeNode[s] = find(st.Node)
	}

	// Edges, adjacency.
	edges := make([]edge, 0, len(sys.Paths))
	rows := make([]rowLink, len(sys.Paths))
	deg := make([]int32, n)
	ends := make([]int32, n) // edges to an end, which are never dead
	for i := range sys.Paths {
		l := law(i)
		if l == nil || l.Form == Joined {
			continue
		}
		pt := &sys.Paths[i]
		e := edge{a: find(pt.A), b: Out, xb: pt.XB, into: -1, law: l, alive: true, first: int32(i), last: int32(i)}
		rows[i] = rowLink{path: int32(i), sign: 1, next: -1, node: -1}
		if pt.B != Out {
			e.b = find(pt.B)
			if e.a == e.b {
				continue // both ends at one node: nothing drives it
			}
			deg[e.b]++
		} else {
			e.into = pt.Into
			if to := pour(sys, states, pt.Into); to >= 0 && find(to) != e.a {
				fed := *l
				fed.Form = Fed
				l, e.law, e.b, e.into = &fed, &fed, find(to), -1
				deg[e.b]++
			} else {
				ends[e.a]++
			}
		}
		deg[e.a]++
		if l.Form != Between {
			keep[e.a] = true
			if e.b != Out {
				keep[e.b] = true
			}
			p.oneSided = p.oneSided || e.b != Out
		}
		edges = append(edges, e)
		if l.Form != Between && e.b != Out {
			edges = append(edges, edge{a: e.a, b: e.b, into: -1, law: &stray, alive: true, first: -1, last: -1})
			deg[e.a]++
			deg[e.b]++
		}
	}
	adj := newLists(n, edges)

	// A ghost stands in only where nothing else decides a section's pressure.
	section := newUnion(n)
	for i := range edges {
		if e := &edges[i]; e.b != Out {
			section.join(e.a, e.b)
		}
	}
	decided := make([]bool, n)
	for i := range edges {
		if edges[i].b == Out {
			decided[section.find(edges[i].a)] = true
		}
	}
	for s := range sys.Stores {
		if storeNode[s] >= 0 && !sys.Stores[s].Ghost {
			decided[section.find(storeNode[s])] = true
			keep[storeNode[s]] = true
		}
	}
	p.adrift = make([]bool, n)
	for i := range p.adrift {
		p.adrift[i] = !decided[section.find(find(int32(i)))]
	}
	for s := range sys.Stores {
		if !sys.Stores[s].Ghost || storeNode[s] < 0 {
			continue
		}
		if r := section.find(storeNode[s]); decided[r] {
			storeNode[s] = -1
		} else {
			decided[r] = true // the first of several speaks for all
			keep[storeNode[s]] = true
		}
	}

	// Dead legs, outermost first.
	p.nodes = make([]reading, n)
	for i := range p.nodes {
		p.nodes[i] = reading{at: known, off: sys.Nodes[i].Start, from: -1}
	}
	type leg struct {
		node, to int32
		off      float64
	}
	var legs []leg
	queue := make([]int32, 0, n)
	for i := int32(0); i < int32(n); i++ {
		if root[i] == i && deg[i] == 1 && ends[i] == 0 && !keep[i] {
			queue = append(queue, i)
		}
	}
	for len(queue) > 0 {
		i := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		if deg[i] != 1 {
			continue
		}
		for _, ei := range adj.of(i) {
			e := &edges[ei]
			if !e.alive {
				continue
			}
			e.alive = false
			d0, _ := e.law.Drop(0)
			to, off := e.b, d0 // x_a = x_b + d(0)
			if e.a != i {
				to, off = e.a, -d0
			}
			legs = append(legs, leg{i, to, off})
			deg[i] = 0
			deg[to]--
			if deg[to] == 1 && ends[to] == 0 && !keep[to] {
				queue = append(queue, to)
			}
			break
		}
	}

	// Rows merge into one branch.
	other := func(e *edge, i int32) int32 {
		if e.a == i {
			return e.b
		}
		return e.a
	}
	for i := int32(0); i < int32(n); i++ {
		if root[i] != i || deg[i] != 2 || keep[i] || ends[i] > 1 {
			continue
		}
		var two [2]int32
		k := 0
		for _, ei := range adj.of(i) {
			if edges[ei].alive && k < 2 {
				two[k] = ei
				k++
			}
		}
		if k != 2 || two[0] == two[1] {
			continue
		}
		// e leads into i, f out of it.
		e, f := &edges[two[0]], &edges[two[1]]
		if e.b == Out {
			e, f = f, e
			two[0], two[1] = two[1], two[0]
		}
		if !addable(e.law, f.law) || other(e, i) == other(f, i) {
			continue
		}
		if e.b != i {
			reverse(e, rows)
		}
		if f.a != i {
			reverse(f, rows)
		}
		e.law = add(e.law, f.law, 1)
		rows[e.last].next = f.first
		rows[e.last].node = i
		e.last = f.last
		e.b, e.xb, e.into = f.b, f.xb, f.into
		f.alive = false
		if e.b != Out {
			adj.replace(e.b, two[1], two[0])
		} else {
			ends[e.a]++
		}
		deg[i] = 0
	}

	// What nothing decides is left out and keeps its start.
	comp := newUnion(n)
	anchored := make([]bool, n)
	for i := range edges {
		e := &edges[i]
		if e.alive && e.b != Out {
			comp.join(e.a, e.b)
		}
	}
	for i := range edges {
		if e := &edges[i]; e.alive && e.b == Out {
			anchored[comp.find(e.a)] = true
		}
	}
	for s := range sys.Stores {
		if storeNode[s] >= 0 {
			anchored[comp.find(storeNode[s])] = true
		}
	}

	// Number the unknowns in elimination order.
	num := make([]int32, n)
	for i := range num {
		num[i] = -1
	}
	m := int32(0)
	for i := int32(0); i < int32(n); i++ {
		if root[i] == i && (deg[i] > 0 || keep[i]) && anchored[comp.find(i)] {
			num[i] = m
			m++
		}
	}
	p.unknowns = int(m)
	pairs := make([][2]int32, 0, len(edges))
	for i := range edges {
		if e := &edges[i]; e.alive && e.b != Out && num[e.a] >= 0 {
			pairs = append(pairs, [2]int32{num[e.a], num[e.b]})
		}
	}
	order := minimumDegree(int(m), pairs)
	at := make([]int32, m) // old number → position
	for k, v := range order {
		at[v] = int32(k)
	}
	for i := range num {
		if num[i] >= 0 {
			num[i] = at[num[i]]
		}
	}
	for k := range pairs {
		pairs[k] = [2]int32{at[pairs[k][0]], at[pairs[k][1]]}
	}
	p.fac.analyse(int(m), pairs, p.oneSided)

	// Branches.
	p.paths = make([]carried, len(sys.Paths))
	for i := range p.paths {
		p.paths[i] = carried{branch: -1}
	}
	for i := range edges {
		e := &edges[i]
		if !e.alive || num[e.a] < 0 {
			continue
		}
		if e.b != Out && e.law.Form == Between && e.law.Curve == nil && num[e.a] > num[e.b] {
			reverse(e, rows) // so that rounding does not depend on how a tube was told
		}
		b := branch{a: num[e.a], b: m, slot: int32(len(p.fac.idx))}
		p.lay(&b, e.law)
		if e.b == Out || e.law.Form == Fed {
			b.fix = -e.xb
		}
		if e.b != Out {
			b.b = num[e.b]
			b.slot = p.fac.slot(b.a, b.b)
		}
		k := int32(len(p.branches))
		if e.b == Out {
			p.outs = append(p.outs, k)
		}
		p.branches = append(p.branches, b)
		p.begin = append(p.begin, e.law.begin())
		if e.into >= 0 {
			p.feed = append(p.feed, feed{k, e.into})
		}
		from := e.a
		for r := e.first; r >= 0; r = rows[r].next {
			p.paths[rows[r].path] = carried{k, rows[r].sign}
			if rows[r].node >= 0 {
				p.nodes[rows[r].node] = reading{at: inRow, from: from, law: law(int(rows[r].path)), by: p.paths[rows[r].path]}
				from = rows[r].node
			}
		}
	}

	// Readings.
	for i := int32(0); i < int32(n); i++ {
		if root[i] == i && num[i] >= 0 {
			p.nodes[i] = reading{at: num[i], from: -1}
		}
	}
	for k := len(legs) - 1; k >= 0; k-- {
		l := legs[k]
		r := p.nodes[l.to]
		if r.at == inRow || r.at == onNode {
			p.nodes[l.node] = reading{at: onNode, off: l.off, from: l.to}
			continue
		}
		r.off += l.off
		p.nodes[l.node] = r
	}
	for i := int32(0); i < int32(n); i++ {
		if r := find(i); r != i {
			p.nodes[i] = p.nodes[r]
		}
	}
	for s := range sys.Stores {
		if storeNode[s] >= 0 {
			p.stores[s] = num[storeNode[s]]
		}
	}
	p.tally()
	p.watch(sys, states)
	return p
}

// tally lists the branches to and from stores.
func (p *Plan) tally() {
	first := make([]int32, p.unknowns+1) // the first store at an unknown, and the next after each
	next := make([]int32, len(p.stores))
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

// stray runs beside a law that does not feel one of its sides, so that this side
// has a head even where the law asks for more than there is on it, or brings more
// than goes on. Over 3 bar it passes 3e-13 m³/s, which no part is told to carry.
var stray = Law{Lam: 1e18}

// reverse turns an edge between two nodes round, its row with it.
func reverse(e *edge, rows []rowLink) {
	l := *e.law
	l.Off = -l.Off
	e.law = &l
	e.a, e.b = e.b, e.a
	var prev, node int32 = -1, -1
	for r := e.first; r >= 0; {
		next, nd := rows[r].next, rows[r].node
		rows[r].next, rows[r].node = prev, node
		rows[r].sign = -rows[r].sign
		prev, node = r, nd
		r = next
	}
	e.first, e.last = e.last, e.first
}

// pour returns the node to which a dry tank's inflow is passed on, or -1.
func pour(sys *System, states []uint8, store int32) int32 {
	if store < 0 {
		return -1
	}
	if p := &sys.Stores[store].Pour; p.Dry>>states[p.Port]&1 != 0 {
		return p.Node
	}
	return -1
}
