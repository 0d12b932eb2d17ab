package kernel

import "sort"

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
	fill []int32   // entry of each pair of neighbours, in the order of elimination
	up   []float64 // conductance from k's row to a later unknown; over the pivot, once eliminated
	low  []float64 // the same from a later unknown's row to k; nil when symmetric
	sur  []float64 // column surplus
	inv  []float64 // one over the pivot
	all  []float64 // sur, up and low in one, to be cleared
}

// analyse fixes the pattern for unknowns already in elimination order.
func (f *factor) analyse(n int, pairs [][2]int32, oneSided bool) {
	f.n = n
	later := make([][]int32, n)
	for k, l := range neighbours(n, pairs) {
		i := sort.Search(len(l), func(i int) bool { return l[i] > int32(k) })
		later[k] = l[i:]
	}
	// Fill: the later neighbours of k join its first later neighbour's.
	var merged []int32
	for k := 0; k < n; k++ {
		l := later[k]
		if len(l) < 2 {
			continue
		}
		j := l[0]
		merged = mergeSorted(merged[:0], later[j], l, j, j)
		later[j] = append([]int32(nil), merged...)
	}
	f.ptr = make([]int32, n+1)
	for k := range later {
		f.ptr[k+1] = f.ptr[k] + int32(len(later[k]))
	}
	f.idx = make([]int32, f.ptr[n])
	pairsTotal := 0
	for k := range later {
		copy(f.idx[f.ptr[k]:], later[k])
		pairsTotal += len(later[k]) * (len(later[k]) - 1) / 2
	}
	f.fill = make([]int32, 0, pairsTotal)
	for k := range later {
		for a, i := range later[k] {
			at, end := f.ptr[i], f.ptr[i+1]
			for _, j := range later[k][a+1:] {
				for at < end && f.idx[at] != j {
					at++
				}
				f.fill = append(f.fill, at)
			}
		}
	}
	m := int(f.ptr[n]) + 1 // one more takes what branches to an end put nowhere
	f.all = make([]float64, n+m, n+2*m)
	f.sur, f.up = f.all[:n], f.all[n:]
	f.inv = make([]float64, n)
	if oneSided {
		f.all = f.all[:n+2*m]
		f.low = f.all[n+m:]
	}
}

// slot returns the entry that joins unknowns a and b.
func (f *factor) slot(a, b int32) int32 {
	if a > b {
		a, b = b, a
	}
	l := f.idx[f.ptr[a]:f.ptr[a+1]]
	return f.ptr[a] + int32(sort.Search(len(l), func(i int) bool { return l[i] >= b }))
}

// eliminate factors the matrix and carries rhs forward.
func (f *factor) eliminate(rhs []float64) {
	if f.low != nil {
		f.eliminateOneSided(rhs)
		return
	}
	up, idx, sur, fill, invs := f.up, f.idx, f.sur, f.fill, f.inv
	at := 0
	lo := f.ptr[0]
	for k, hi := range f.ptr[1:] {
		s, b := sur[k], rhs[k]
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
