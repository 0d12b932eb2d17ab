package kernel

// lists is adjacency in one array; replace renames an edge in a node's list.
type lists struct{ start, edge []int32 }

func newLists(n int, edges []edge) lists {
	l := lists{start: make([]int32, n+1)}
	for i := range edges {
		l.start[edges[i].a+1]++
		if edges[i].b != Out {
			l.start[edges[i].b+1]++
		}
	}
	for i := 0; i < n; i++ {
		l.start[i+1] += l.start[i]
	}
	l.edge = make([]int32, l.start[n])
	fill := append([]int32(nil), l.start[:n]...)
	for i := range edges {
		e := &edges[i]
		l.edge[fill[e.a]] = int32(i)
		fill[e.a]++
		if e.b != Out {
			l.edge[fill[e.b]] = int32(i)
			fill[e.b]++
		}
	}
	return l
}

func (l lists) of(i int32) []int32 { return l.edge[l.start[i]:l.start[i+1]] }

func (l lists) replace(i, was, is int32) {
	for k, e := range l.of(i) {
		if e == was {
			l.of(i)[k] = is
			return
		}
	}
}

// union is a set of disjoint sets.
type union []int32

func newUnion(n int) union {
	u := make(union, n)
	for i := range u {
		u[i] = int32(i)
	}
	return u
}

func (u union) find(i int32) int32 {
	for u[i] != i {
		u[i] = u[u[i]]
		i = u[i]
	}
	return i
}

// is reports whether i stands for its set.
func (u union) is(i int32) bool { return u[i] == i }

func (u union) join(a, b int32) {
	a, b = u.find(a), u.find(b)
	if a != b {
		u[b] = a
	}
}
