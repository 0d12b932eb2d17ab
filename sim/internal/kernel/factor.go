package kernel

// factor eliminates an M-matrix in place. It holds the off-diagonals as positive
// conductances and, instead of a diagonal, each column's surplus: what the
// diagonal exceeds the sum of its column by, which is the conductance to known
// heads and stores. A pivot is the surplus plus the column's remaining
// conductances, so nothing is ever subtracted and conductances of 1e-16 beside
// 1e3 keep all their digits (Grassmann, Taksar & Heyman, Oper. Res. 33, 1985).
//
// Symmetric matrices keep one conductance a pair; a matrix that has lost its
// symmetry, as under a regulator at work, keeps both.
type factor struct {
	n    int
	ptr  []int32   // entries of unknown k: ptr[k]:ptr[k+1]
	idx  []int32   // later neighbour of each entry
	fill []int32   // entry of each pair of neighbours, in the order of elimination, blocks apart
	up   []float64 // conductance from k's row to a later unknown; over the pivot, once eliminated
	low  []float64 // the same from a later unknown's row to k; nil when symmetric
	sur  []float64 // column surplus
	inv  []float64 // one over the pivot
	all  []float64 // sur, up and low in one, to be cleared

	blocks     []block // where elimination goes by more than one at a time
	targets    []target
	place      []int32
	room, next []float64
	slab       []int32 // room of the analysis
	own        [2][]int32
}

// analyse fixes the pattern for unknowns already in elimination order, of which so many
// pairs will be neighbours.
func (f *factor) analyse(n int, pairs [][2]int32, entries int, oneSided bool) {
	f.n = n
	f.pattern(pairs, entries)
	f.blocks, f.targets, f.place = f.blocks[:0], f.targets[:0], f.place[:0]
	if !oneSided {
		f.join()
	}
	f.pair()
	m := int(f.ptr[n]) + 1 // one more takes what branches to an end put nowhere
	size := n + m
	if oneSided {
		size += m
	}
	f.all = sized(f.all, size)
	f.sur, f.up, f.low = f.all[:n], f.all[n:n+m], nil
	if oneSided {
		f.low = f.all[n+m:]
	}
	f.inv = sized(f.inv, n)
}

// pattern finds each unknown's later neighbours, those it gets by elimination too: its
// own, and those of the unknowns whose first later neighbour it is.
func (f *factor) pattern(pairs [][2]int32, entries int) {
	n := f.n
	f.slab = sized(f.slab, 5*n+2+2*len(pairs))
	slab := f.slab
	part := func(n int) []int32 {
		p := slab[:n:n]
		slab = slab[n:]
		return p
	}
	// Pairs by their later unknown, then by their earlier one: lists come out ascending.
	earlier, begin, later, end := part(n+1), part(n+1), part(len(pairs)), part(n)
	count := func(at []int32, which func(a, b int32) int32) {
		for _, p := range pairs {
			at[which(p[0], p[1])+1]++
		}
		for k := range n {
			at[k+1] += at[k]
		}
	}
	count(earlier, func(a, b int32) int32 { return max(a, b) })
	count(begin, func(a, b int32) int32 { return min(a, b) })
	by := part(len(pairs))
	for _, p := range pairs {
		j := max(p[0], p[1])
		by[earlier[j]] = min(p[0], p[1])
		earlier[j]++
	}
	copy(end, begin)
	at := int32(0)
	for j := range int32(n) {
		for ; at < earlier[j]; at++ {
			k := by[at]
			if e := end[k]; e == begin[k] || later[e-1] != j { // ways side by side are one
				later[e] = j
				end[k]++
			}
		}
	}
	child, sibling := part(n), part(n)
	for k := range child {
		child[k] = -1
	}
	f.ptr = sized(f.ptr, n+1)
	f.idx = sized(f.idx, entries)[:0]
	own, room := f.own[0][:0], f.own[1][:0]
	for k := range n {
		own = append(own[:0], later[begin[k]:end[k]]...)
		for c := child[k]; c >= 0; c = sibling[c] {
			room = union2(room[:0], own, f.idx[f.ptr[c]+1:f.ptr[c+1]])
			own, room = room, own
		}
		f.idx = append(f.idx, own...)
		f.ptr[k+1] = int32(len(f.idx))
		if len(own) > 0 {
			sibling[k], child[own[0]] = child[own[0]], int32(k)
		}
	}
	f.own = [2][]int32{own, room}
}

// union2 appends to dst the union of two ascending lists.
func union2(dst, a, b []int32) []int32 {
	i, j := 0, 0
	for i < len(a) && j < len(b) {
		v, w := a[i], b[j]
		dst = append(dst, min(v, w))
		if v <= w {
			i++
		}
		if w <= v {
			j++
		}
	}
	dst = append(dst, a[i:]...)
	return append(dst, b[j:]...)
}

// pair finds the entry of each pair of later neighbours, which elimination adds to, of
// the unknowns that are in no block.
func (f *factor) pair() {
	each := func(do func(k int32)) {
		k := int32(0)
		for i := range f.blocks {
			for ; k < f.blocks[i].first; k++ {
				do(k)
			}
			k = f.blocks[i].end
		}
		for ; k < int32(f.n); k++ {
			do(k)
		}
	}
	pairs := 0
	each(func(k int32) {
		l := int(f.ptr[k+1] - f.ptr[k])
		pairs += l * (l - 1) / 2
	})
	f.fill = sized(f.fill, pairs)[:0]
	each(func(k int32) {
		own := f.later(k)
		for a := 0; a < len(own); a++ {
			i := own[a]
			col, at := f.later(i), int32(0)
			for _, j := range own[a+1:] {
				for col[at] != j {
					at++
				}
				f.fill = append(f.fill, f.ptr[i]+at)
			}
		}
	})
}

// slot returns the entry that joins unknowns a and b.
func (f *factor) slot(a, b int32) int32 {
	if a > b {
		a, b = b, a
	}
	lo, hi := f.ptr[a], f.ptr[a+1]
	for lo < hi {
		if mid := (lo + hi) / 2; f.idx[mid] < b {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return lo
}

// eliminate factors the matrix and carries rhs forward.
func (f *factor) eliminate(rhs []float64) {
	if f.low != nil {
		f.eliminateOneSided(rhs)
		return
	}
	fill := f.fill
	k := int32(0)
	for i := range f.blocks {
		b := &f.blocks[i]
		fill = f.eliminateSingly(k, b.first, fill, rhs)
		f.eliminateBlock(b, rhs)
		k = b.end
	}
	f.eliminateSingly(k, int32(f.n), fill, rhs)
}

// eliminateSingly eliminates unknowns from k to end and returns what is left of fill.
func (f *factor) eliminateSingly(k, end int32, fill []int32, rhs []float64) []int32 {
	up, idx, sur := f.up, f.idx, f.sur
	ends := f.ptr[k+1 : end+1]
	own, mine, invs := sur[k:][:len(ends)], rhs[k:][:len(ends)], f.inv[k:][:len(ends)]
	at := 0
	lo := f.ptr[k]
	for k, hi := range ends {
		s, b := own[k], mine[k]
		switch hi - lo {
		case 0:
			invs[k] = inverse(s)
		case 1:
			c, i := up[lo], idx[lo]
			inv := inverse(s + c)
			invs[k] = inv
			m := c * inv
			up[lo] = m
			sur[i] += m * s
			rhs[i] += m * b
		case 2:
			c, e, i, j := up[lo], up[lo+1], idx[lo], idx[lo+1]
			inv := inverse(s + c + e)
			invs[k] = inv
			m, n := c*inv, e*inv
			up[lo], up[lo+1] = m, n
			sur[i] += m * s
			rhs[i] += m * b
			sur[j] += n * s
			rhs[j] += n * b
			up[fill[at]] += m * e
			at++
		case 4: // inside a grid
			c, e, g, h := up[lo], up[lo+1], up[lo+2], up[lo+3]
			inv := inverse(s + c + e + g + h)
			invs[k] = inv
			m, n, o, p := c*inv, e*inv, g*inv, h*inv
			up[lo], up[lo+1], up[lo+2], up[lo+3] = m, n, o, p
			ix, to := idx[lo:][:4], fill[at:][:6]
			sur[ix[0]] += m * s
			rhs[ix[0]] += m * b
			up[to[0]] += m * e
			up[to[1]] += m * g
			up[to[2]] += m * h
			sur[ix[1]] += n * s
			rhs[ix[1]] += n * b
			up[to[3]] += n * g
			up[to[4]] += n * h
			sur[ix[2]] += o * s
			rhs[ix[2]] += o * b
			up[to[5]] += o * h
			sur[ix[3]] += p * s
			rhs[ix[3]] += p * b
			at += 6
		default:
			col, ix := up[lo:hi], idx[lo:hi]
			d := s
			for _, c := range col {
				d += c
			}
			inv := inverse(d)
			invs[k] = inv
			for a, c := range col {
				m, i := c*inv, ix[a]
				col[a] = m
				sur[i] += m * s
				rhs[i] += m * b
				for _, e := range col[a+1:] {
					up[fill[at]] += m * e
					at++
				}
			}
		}
		lo = hi
	}
	return fill[at:]
}

// inverse of a pivot; zero where nothing decides an unknown, which then stays.
func inverse(d float64) float64 {
	if d > 0 {
		return 1 / d
	}
	return 0
}

// eliminateOneSided is eliminate for a matrix with a triangle of its own each way.
func (f *factor) eliminateOneSided(rhs []float64) {
	at := 0
	for k := 0; k < f.n; k++ {
		lo, hi := f.ptr[k], f.ptr[k+1]
		d := f.sur[k]
		for e := lo; e < hi; e++ {
			d += f.low[e]
		}
		inv := inverse(d)
		f.inv[k] = inv
		for a := lo; a < hi; a++ {
			i := f.idx[a]
			f.sur[i] += f.up[a] * f.sur[k] * inv // column i gains through row k
			rhs[i] += f.low[a] * rhs[k] * inv    // row i gains row k
			for b := a + 1; b < hi; b++ {
				e := f.fill[at]
				at++
				f.up[e] += f.low[a] * inv * f.up[b]  // row i, column j
				f.low[e] += f.low[b] * inv * f.up[a] // row j, column i
			}
		}
		for a := lo; a < hi; a++ {
			f.up[a] *= inv
			f.low[a] *= inv
		}
	}
}

// forward carries another right-hand side through the factor.
func (f *factor) forward(rhs []float64) {
	low := f.low
	if low == nil {
		low = f.up
	}
	for k := 0; k < f.n; k++ {
		bk := rhs[k]
		for e := f.ptr[k]; e < f.ptr[k+1]; e++ {
			rhs[f.idx[e]] += low[e] * bk
		}
	}
}

// back solves for x from a right-hand side carried forward; x may be rhs. What
// stands in x beyond the unknowns is left alone.
func (f *factor) back(x, rhs []float64) {
	up, idx, ptr := f.up, f.idx, f.ptr
	for k := f.n - 1; k >= 0; k-- {
		s := rhs[k] * f.inv[k]
		lo, hi := ptr[k], ptr[k+1]
		switch hi - lo {
		case 0:
		case 1:
			s += up[lo] * x[idx[lo]]
		case 2:
			s += up[lo+1]*x[idx[lo+1]] + up[lo]*x[idx[lo]]
		default:
			for e := lo; e < hi; e++ {
				s += up[e] * x[idx[e]]
			}
		}
		x[k] = s
	}
}
