package kernel

// A reduction is a system in one mode on its way to a plan: what joins what once
// joined nodes are one, shut paths and dead legs gone and paths in a row merged.
type reduction struct {
	sys    *System
	states []uint8

	root     union   // joined nodes
	stores   []int32 // node by store, -1: takes no part
	full     []bool  // by store: held at its head, spilling
	keep     []bool  // nodes that must stay: stores, ends of one-sided laws
	edges    []edge
	rows     []link  // by path
	deg      []int32 // edges of a node that are left
	ends     []int32 // … of them to an end, which are never dead
	around   lists   // edges of each node
	legs     []leg   // dead ones, outermost first
	adrift   []bool  // by node: only a ghost decides its head
	oneSided bool

	num      []int32 // unknown by node, -1: none
	unknowns int32
	entries  int // pairs of unknowns that are neighbours once elimination has filled in

	section union // room
	decided []bool
	queue   []int32
	pairs   [][2]int32
	at      []int32
	graph   quotient
}

// edge is a path, or several in a row, between two nodes or a node and an end.
type edge struct {
	a, b        int32 // root nodes; b may be Out
	xb          float64
	into        int32
	law         *Law
	alive       bool
	first, last int32 // the paths of the row, linked in rows; -1: none
}

// link is a path in its row: sign −1 where it runs against the edge.
type link struct {
	sign float64
	next int32
	node int32 // node between this path and the next, -1 at the end
}

// leg is a dead one: node stands so much above the node it hangs on.
type leg struct {
	node, to int32
	off      float64
}

// reduce reduces the system, in the room of what was reduced before; whole, it drops and
// merges nothing.
func (r *reduction) reduce(sys *System, states []uint8, whole bool) {
	r.sys, r.states, r.oneSided = sys, states, false
	r.unite()
	r.place(whole)
	r.connect()
	r.standIn()
	r.dropLegs()
	r.mergeRows()
}

// law is a path's law in this mode; nil: shut.
func (r *reduction) law(i int) *Law {
	pt := &r.sys.Paths[i]
	s := uint8(0)
	if pt.Device >= 0 {
		s = r.states[pt.Device]
	}
	if int(s) >= len(pt.Laws) {
		return nil
	}
	return pt.Laws[s]
}

// unite makes joined nodes one.
func (r *reduction) unite() {
	r.root.part(len(r.sys.Nodes))
	for i := range r.sys.Paths {
		if l := r.law(i); l != nil && l.Form == Joined {
			r.root.join(r.sys.Paths[i].A, r.sys.Paths[i].B)
		}
	}
}

// place finds the stores that take part.
func (r *reduction) place(whole bool) {
	r.keep = sized(r.keep, len(r.sys.Nodes))
	for i := range r.keep {
		r.keep[i] = whole
	}
	r.stores = sized(r.stores, len(r.sys.Stores))
	r.full = sized(r.full, len(r.sys.Stores))
	for s := range r.sys.Stores {
		st := &r.sys.Stores[s]
		r.stores[s] = -1
		if st.Node == Out {
			continue
		}
		if st.Device >= 0 {
			bit := uint32(1) << r.states[st.Device]
			if st.Idle&bit != 0 {
				continue
			}
			r.full[s] = st.Full&bit != 0
		}
		r.stores[s] = r.root.find(st.Node)
	}
}

// connect makes an edge of each open path.
func (r *reduction) connect() {
	sys, n := r.sys, len(r.sys.Nodes)
	r.edges = sized(r.edges, len(sys.Paths))[:0]
	r.rows = sized(r.rows, len(sys.Paths))
	r.deg, r.ends = sized(r.deg, n), sized(r.ends, n)
	for i := range sys.Paths {
		l := r.law(i)
		if l == nil || l.Form == Joined {
			continue
		}
		pt := &sys.Paths[i]
		e := edge{a: r.root.find(pt.A), b: Out, xb: pt.XB, into: -1, law: l, alive: true, first: int32(i), last: int32(i)}
		r.rows[i] = link{sign: 1, next: -1, node: -1}
		if pt.B != Out {
			e.b = r.root.find(pt.B)
			if e.a == e.b {
				continue // both ends at one node: nothing drives it
			}
			r.deg[e.b]++
		} else {
			e.into = pt.Into
			if to := r.pour(pt.Into); to >= 0 && r.root.find(to) != e.a {
				fed := *l
				fed.Form = Fed
				l, e.law, e.b, e.into = &fed, &fed, r.root.find(to), -1
				r.deg[e.b]++
			} else {
				r.ends[e.a]++
			}
		}
		r.deg[e.a]++
		if l.Form != Between {
			r.keep[e.a] = true
			if e.b != Out {
				r.keep[e.b] = true
			}
			r.oneSided = r.oneSided || e.b != Out
		}
		r.edges = append(r.edges, e)
		if l.Form != Between && e.b != Out {
			r.edges = append(r.edges, edge{a: e.a, b: e.b, into: -1, law: &stray, alive: true, first: -1, last: -1})
			r.deg[e.a]++
			r.deg[e.b]++
		}
	}
	r.around.list(n, r.edges)
}

// stray runs beside a law that does not feel one of its sides, so that this side
// has a head even where the law asks for more than there is on it, or brings more
// than goes on. Over 3 bar it passes 3e-13 m³/s, which no part is told to carry.
var stray = Law{Lam: 1e18}

// pour returns the node to which a dry tank's inflow is passed on, or -1.
func (r *reduction) pour(store int32) int32 {
	if store < 0 {
		return -1
	}
	if p := &r.sys.Stores[store].Pour; p.Dry != 0 && p.Dry>>r.states[p.Port]&1 != 0 {
		return p.Node
	}
	return -1
}

// standIn lets a ghost take part only where nothing else decides a section's
// pressure.
func (r *reduction) standIn() {
	n := len(r.sys.Nodes)
	r.section.part(n)
	section := r.section
	for i := range r.edges {
		if e := &r.edges[i]; e.b != Out {
			section.join(e.a, e.b)
		}
	}
	r.decided = sized(r.decided, n)
	decided := r.decided
	for i := range r.edges {
		if r.edges[i].b == Out {
			decided[section.find(r.edges[i].a)] = true
		}
	}
	for s, node := range r.stores {
		if node >= 0 && !r.sys.Stores[s].Ghost {
			decided[section.find(node)] = true
			r.keep[node] = true
		}
	}
	r.adrift = sized(r.adrift, n)
	for i := range r.adrift {
		r.adrift[i] = !decided[section.find(r.root.find(int32(i)))]
	}
	for s, node := range r.stores {
		if node < 0 || !r.sys.Stores[s].Ghost {
			continue
		}
		if of := section.find(node); decided[of] {
			r.stores[s] = -1
		} else {
			decided[of] = true // the first of several speaks for all
			r.keep[node] = true
		}
	}
}

// dropLegs takes off what leads nowhere, outermost first.
func (r *reduction) dropLegs() {
	dead := func(i int32) bool { return r.deg[i] == 1 && r.ends[i] == 0 && !r.keep[i] }
	r.legs = r.legs[:0]
	queue := r.queue[:0]
	for i := range int32(len(r.deg)) {
		if r.root.is(i) && dead(i) {
			queue = append(queue, i)
		}
	}
	for len(queue) > 0 {
		i := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		if r.deg[i] != 1 {
			continue
		}
		for _, k := range r.around.of(i) {
			e := &r.edges[k]
			if !e.alive {
				continue
			}
			e.alive = false
			off, _ := e.law.Drop(0) // x_a = x_b + d(0)
			to := e.b
			if e.a != i {
				to, off = e.a, -off
			}
			r.legs = append(r.legs, leg{i, to, off})
			r.deg[i] = 0
			r.deg[to]--
			if dead(to) {
				queue = append(queue, to)
			}
			break
		}
	}
	r.queue = queue
}

// mergeRows makes one edge of two that meet where nothing else does.
func (r *reduction) mergeRows() {
	for i := range int32(len(r.deg)) {
		if !r.root.is(i) || r.deg[i] != 2 || r.keep[i] || r.ends[i] > 1 {
			continue
		}
		var two [2]int32
		k := 0
		for _, ei := range r.around.of(i) {
			if r.edges[ei].alive && k < 2 {
				two[k] = ei
				k++
			}
		}
		if k != 2 || two[0] == two[1] {
			continue
		}
		// e leads into i, f out of it.
		e, f := &r.edges[two[0]], &r.edges[two[1]]
		if e.b == Out {
			e, f = f, e
			two[0], two[1] = two[1], two[0]
		}
		if !addable(e.law, f.law) || e.other(i) == f.other(i) {
			continue
		}
		if e.b != i {
			r.reverse(e)
		}
		if f.a != i {
			r.reverse(f)
		}
		e.law = add(e.law, f.law, 1)
		r.rows[e.last].next = f.first
		r.rows[e.last].node = i
		e.last = f.last
		e.b, e.xb, e.into = f.b, f.xb, f.into
		f.alive = false
		if e.b != Out {
			r.around.replace(e.b, two[1], two[0])
		} else {
			r.ends[e.a]++
		}
		r.deg[i] = 0
	}
}

// other is the end of the edge that is not i.
func (e *edge) other(i int32) int32 {
	if e.a == i {
		return e.b
	}
	return e.a
}

// reverse turns an edge between two nodes round, its row with it.
func (r *reduction) reverse(e *edge) {
	if e.law.Off != 0 {
		l := *e.law
		l.Off = -l.Off
		e.law = &l
	}
	e.a, e.b = e.b, e.a
	var prev, node int32 = -1, -1
	for i := e.first; i >= 0; {
		k := &r.rows[i]
		next, nd := k.next, k.node
		k.next, k.node, k.sign = prev, node, -k.sign
		prev, node = i, nd
		i = next
	}
	e.first, e.last = e.last, e.first
}

// number numbers the unknowns in their order of elimination and returns which are
// neighbours. What nothing decides is left out and keeps its start.
func (r *reduction) number() (pairs [][2]int32) {
	n := len(r.sys.Nodes)
	r.section.part(n)
	r.decided = sized(r.decided, n)
	section, decided := r.section, r.decided
	for i := range r.edges {
		if e := &r.edges[i]; e.alive && e.b != Out {
			section.join(e.a, e.b)
		}
	}
	for i := range r.edges {
		if e := &r.edges[i]; e.alive && e.b == Out {
			decided[section.find(e.a)] = true
		}
	}
	for _, node := range r.stores {
		if node >= 0 {
			decided[section.find(node)] = true
		}
	}
	r.num, r.unknowns = sized(r.num, n), 0
	for i := range r.num {
		r.num[i] = -1
		if k := int32(i); r.root.is(k) && (r.deg[i] > 0 || r.keep[i]) && decided[section.find(k)] {
			r.num[i] = r.unknowns
			r.unknowns++
		}
	}
	pairs = sized(r.pairs, len(r.edges))[:0]
	for i := range r.edges {
		if e := &r.edges[i]; e.alive && e.b != Out && r.num[e.a] >= 0 {
			pairs = append(pairs, [2]int32{r.num[e.a], r.num[e.b]})
		}
	}
	r.pairs = pairs
	r.at = sized(r.at, int(r.unknowns)) // place in the order by number
	at := r.at
	order, entries := r.graph.minimumDegree(int(r.unknowns), pairs)
	for k, v := range order {
		at[v] = int32(k)
	}
	r.entries = entries
	for i, k := range r.num {
		if k >= 0 {
			r.num[i] = at[k]
		}
	}
	for k, pair := range pairs {
		pairs[k] = [2]int32{at[pair[0]], at[pair[1]]}
	}
	return pairs
}
