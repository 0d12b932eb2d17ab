package kernel

// minimumDegree returns an order of elimination of n unknowns joined by pairs that
// eliminates, each time, an unknown with about the fewest neighbours left, and what
// follows from it at once with it. Trees fill nothing in. Ties go to the same unknown
// whenever it is asked.
//
// What is left of the graph is held as a quotient: the neighbours that an eliminated
// unknown leaves joined are one list, an element, instead of a pair for each two of
// them; unknowns with the same neighbours are one variable; and a degree is bounded by
// the sum of its elements beyond the newest (approximate minimum degree: Amestoy, Davis
// & Duff, SIAM J. Matrix Anal. Appl. 17, 1996, sections 3 and 4).
//
// Entries is how many pairs of neighbours there are once elimination has filled in.
func (q *quotient) minimumDegree(n int, pairs [][2]int32) (order []int32, entries int) {
	q.begin(n, pairs)
	for left := n; left > 0; {
		gone, beyond := q.eliminate(left)
		entries += gone*(gone-1)/2 + gone*beyond
		left -= gone
	}
	return q.inOrder(), entries
}

type quotient struct {
	n    int
	pool []int32 // lists: of a variable its elements and then its variables, of an element its variables
	at   []int32 // by variable or element: where its list begins …
	elem []int32 // … how many elements it has …
	vars []int32 // … and how many variables
	size []int32 // by variable: unknowns it stands for; zero once it is eliminated or part of another
	deg  []int32 // by variable: bound of its degree; by element: unknowns in it, zero once it is part of another

	first      []int32 // by degree: the first variable that has it, …
	next, prev []int32 // … and those before and after each; −1: none
	low        int     // none has a lower degree

	in    []int32 // by variable: the element it was last put into
	rest  []int   // by element: base and unknowns in it beyond the newest
	base  int
	most  int
	same  []int32 // by hash of a variable's list: the first that has it
	hash  []int32
	told  []int32 // by what stands in lists: the last comparison it was told of
	asked int32   // comparisons so far
	up    []int32 // by element or variable: the element that took it in, −1: none
	owned []bool  // it was taken in as a variable, to be eliminated with that element

	slab  []int32 // room of the lists above
	order []int32
}

// begin takes up another graph.
func (q *quotient) begin(n int, pairs [][2]int32) {
	q.slab = sized(q.slab, 14*n+1)
	slab := q.slab
	part := func() []int32 {
		p := slab[:n:n]
		slab = slab[n:]
		return p
	}
	*q = quotient{n: n, at: part(), elem: part(), vars: part(), size: part(), deg: part(), first: part(), next: part(), prev: part(),
		in: part(), same: part(), hash: part(), told: part(), up: part(), rest: sized(q.rest, n), owned: sized(q.owned, n),
		pool: q.pool, slab: q.slab, order: q.order}
	end := slab[: n+1 : n+1]
	for _, p := range pairs {
		end[p[0]+1]++
		end[p[1]+1]++
	}
	for i := range n {
		end[i+1] += end[i]
		q.at[i] = end[i]
		q.first[i], q.next[i], q.prev[i], q.in[i], q.same[i], q.up[i] = -1, -1, -1, -1, -1, -1
		q.size[i] = 1
	}
	if most := 2*int(end[n]) + 8; cap(q.pool) < most {
		q.pool = make([]int32, end[n], most)
	} else {
		q.pool = q.pool[:end[n]]
	}
	for _, p := range pairs {
		for k := range 2 {
			a, b := p[k], p[1-k]
			q.pool[q.at[a]+q.vars[a]] = b
			q.vars[a]++
		}
	}
	for i := int32(n - 1); i >= 0; i-- {
		kept := q.at[i]
		q.asked++
		for _, j := range q.list(i) {
			if q.told[j] != q.asked { // tubes side by side are one
				q.told[j] = q.asked
				q.pool[kept] = j
				kept++
			}
		}
		q.vars[i] = kept - q.at[i]
		q.deg[i] = q.vars[i]
		q.put(i)
	}
	q.base = 1
}

// list is all of a node's list.
func (q *quotient) list(i int32) []int32 { return q.pool[q.at[i] : q.at[i]+q.elem[i]+q.vars[i]] }

// put lists variable i under its degree.
func (q *quotient) put(i int32) {
	d := q.deg[i]
	q.prev[i], q.next[i] = -1, q.first[d]
	if f := q.first[d]; f >= 0 {
		q.prev[f] = i
	}
	q.first[d] = i
	q.low = min(q.low, int(d))
}

// take takes variable i off the list of its degree.
func (q *quotient) take(i int32) {
	a, b := q.prev[i], q.next[i]
	if a >= 0 {
		q.next[a] = b
	} else {
		q.first[q.deg[i]] = b
	}
	if b >= 0 {
		q.prev[b] = a
	}
}

// eliminate eliminates the next variable, which becomes an element, and returns how many
// of the unknowns that were left have gone with it and how many they join.
func (q *quotient) eliminate(left int) (gone, beyond int) {
	for q.first[q.low] < 0 {
		q.low++
	}
	p := q.first[q.low]
	q.take(p)
	gone = int(q.size[p])
	q.size[p] = 0
	begin := int32(len(q.pool))
	n := q.join(p)
	q.beyond(begin)
	gone += q.look(p, begin, &n)
	q.unite(begin)
	kept := begin
	for _, i := range q.pool[begin:] {
		if q.size[i] == 0 {
			continue
		}
		q.deg[i] = min(q.deg[i]+n-q.size[i], int32(left-gone)-q.size[i])
		q.put(i)
		q.pool[kept] = i
		kept++
	}
	q.pool = q.pool[:kept]
	q.at[p], q.elem[p], q.vars[p], q.deg[p] = begin, 0, kept-begin, n
	q.most = max(q.most, int(n))
	q.base += q.most + 1
	return gone, int(n)
}

// join lists at the pool's end the variables that eliminating p joins, and returns how
// many unknowns they are. Elements of p end.
func (q *quotient) join(p int32) (n int32) {
	q.in[p] = p
	add := func(list []int32) {
		for _, i := range list {
			if q.size[i] > 0 && q.in[i] != p {
				q.in[i] = p
				n += q.size[i]
				q.take(i)
				q.pool = append(q.pool, i)
			}
		}
	}
	at, vars := q.at[p]+q.elem[p], q.vars[p]
	for _, e := range q.pool[q.at[p]:at] {
		if q.deg[e] > 0 {
			add(q.list(e))
			q.end(e, p)
		}
	}
	add(q.pool[at : at+vars])
	return n
}

// end makes element e part of element p.
func (q *quotient) end(e, p int32) {
	q.deg[e] = 0
	q.up[e] = p
}

// beyond finds, for each element of the variables listed from begin, how many unknowns
// it has beyond them.
func (q *quotient) beyond(begin int32) {
	for _, i := range q.pool[begin:] {
		for _, e := range q.pool[q.at[i] : q.at[i]+q.elem[i]] {
			if q.deg[e] == 0 {
				continue
			}
			if q.rest[e] < q.base {
				q.rest[e] = q.base + int(q.deg[e])
			}
			q.rest[e] -= int(q.size[i])
		}
	}
}

// look brings the lists of the variables from begin up to date, with element p of n
// unknowns, and bounds their degrees beyond it. It returns how many unknowns nothing but
// p joined, which go with it.
func (q *quotient) look(p, begin int32, n *int32) (gone int) {
	for _, i := range q.pool[begin:] {
		d, hash := 0, uint32(0)
		at := q.at[i]
		kept := at
		for _, e := range q.pool[at : at+q.elem[i]] {
			if q.deg[e] == 0 {
				continue
			}
			more := q.rest[e] - q.base
			if more == 0 { // it says nothing that p does not
				q.end(e, p)
				continue
			}
			d += more
			hash += uint32(e)
			q.pool[kept] = e
			kept++
		}
		elems := kept
		for _, j := range q.pool[at+q.elem[i] : at+q.elem[i]+q.vars[i]] {
			if s := q.size[j]; s > 0 && q.in[j] != p {
				d += int(s)
				hash += uint32(j)
				q.pool[kept] = j
				kept++
			}
		}
		if d == 0 {
			gone += int(q.size[i])
			*n -= q.size[i]
			q.give(i, p)
			continue
		}
		// There is room: p was among the variables, or had an element in common.
		q.pool[kept] = q.pool[elems]
		q.pool[elems] = p
		q.elem[i], q.vars[i] = elems+1-at, kept-elems
		q.deg[i] = min(q.deg[i], int32(d))
		q.hash[i] = int32(hash % uint32(q.n))
	}
	return gone
}

// give makes variable i part of another or of an element.
func (q *quotient) give(i, to int32) {
	q.size[i] = 0
	q.up[i], q.owned[i] = to, true
}

// unite makes one of those variables from begin that have the same lists.
func (q *quotient) unite(begin int32) {
	for _, i := range q.pool[begin:] {
		if q.size[i] > 0 {
			h := q.hash[i]
			q.next[i] = q.same[h]
			q.same[h] = i
		}
	}
	for _, i := range q.pool[begin:] {
		h := q.hash[i]
		if q.size[i] == 0 {
			continue
		}
		a := q.same[h]
		q.same[h] = -1
		for ; a >= 0 && q.next[a] >= 0; a = q.next[a] {
			q.asked++
			for _, k := range q.list(a) {
				q.told[k] = q.asked
			}
			for before, b := a, q.next[a]; b >= 0; b = q.next[b] {
				if q.alike(a, b) {
					q.size[a] += q.size[b]
					q.give(b, a)
					q.next[before] = q.next[b]
				} else {
					before = b
				}
			}
		}
	}
}

// alike reports whether b has the list that was just told of, which is a's.
func (q *quotient) alike(a, b int32) bool {
	if q.elem[a] != q.elem[b] || q.vars[a] != q.vars[b] {
		return false
	}
	for _, k := range q.list(b) {
		if q.told[k] != q.asked {
			return false
		}
	}
	return true
}

// inOrder puts each element's unknowns after those of the elements that became part of it.
func (q *quotient) inOrder() []int32 {
	first, next := q.first, q.next // children
	for i := range first {
		first[i] = -1
	}
	order := sized(q.order, q.n)[:0]
	root := int32(-1)
	for i := int32(q.n - 1); i >= 0; i-- {
		if u := q.up[i]; u >= 0 {
			next[i], first[u] = first[u], i
		} else {
			next[i], root = root, i
		}
	}
	var with func(v int32)
	with = func(v int32) { // v and what is part of it
		order = append(order, v)
		for c := first[v]; c >= 0; c = next[c] {
			if q.owned[c] {
				with(c)
			}
		}
	}
	var after func(e int32)
	after = func(e int32) {
		for c := first[e]; c >= 0; c = next[c] {
			if !q.owned[c] {
				after(c)
			}
		}
		with(e)
	}
	for e := root; e >= 0; {
		following := next[e]
		after(e)
		e = following
	}
	q.order = order
	return order
}
