package kernel

// sized returns s with length n and nothing in it, in a new array only where the old one
// is too short.
func sized[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n)
	}
	s = s[:n]
	clear(s)
	return s
}

// lists is adjacency in one array; replace renames an edge in a node's list.
type lists struct{ start, edge, fill []int32 }

// list lists the edges of n nodes anew.
func (l *lists) list(n int, edges []edge) {
	l.start = sized(l.start, n+1)
	for i := range edges {
		l.start[edges[i].a+1]++
		if edges[i].b != Out {
			l.start[edges[i].b+1]++
		}
	}
	for i := 0; i < n; i++ {
		l.start[i+1] += l.start[i]
	}
	l.edge = sized(l.edge, int(l.start[n]))
	l.fill = append(l.fill[:0], l.start[:n]...)
	fill := l.fill
	for i := range edges {
		e := &edges[i]
		l.edge[fill[e.a]] = int32(i)
		fill[e.a]++
		if e.b != Out {
			l.edge[fill[e.b]] = int32(i)
			fill[e.b]++
		}
	}
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

// part makes n sets of one each.
func (u *union) part(n int) {
	*u = sized(*u, n)
	for i := range *u {
		(*u)[i] = int32(i)
	}
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
