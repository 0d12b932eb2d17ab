package kernel

// leastBlock is how many unknowns, with how many later neighbours at the first of them,
// are worth a block: grids of a hundred joints have some, trees and coaches none.
const (
	leastBlock  = 2
	leastColumn = 6
)

// A block is unknowns in a row, each of which has the later neighbours of the one before
// it but for itself. Within it elimination runs along whole columns, and what it adds to
// the unknowns beyond is gathered from all of its columns before it is put where it
// belongs (supernodes: Ashcraft et al., Int. J. Supercomput. Appl. 1, 1987; Ng & Peyton,
// SIAM J. Sci. Comput. 14, 1993).
type block struct {
	first, end  int32 // its unknowns
	begin, last int32 // its targets
}

// A target is a row of unknowns, with their later neighbours in common, among the later
// neighbours of a block.
type target struct {
	first int32 // the first unknown of its row
	end   int32 // the last of the neighbours in it; they begin where the target before ends
	place int32 // where each of the neighbours after the first of them stands in the first's column
}

// join finds the blocks, and where each adds to others.
func (f *factor) join() {
	n := int32(f.n)
	f.slab = sized(f.slab, int(n)+1)
	row := f.slab // by unknown: the first of its row
	for k := int32(1); k < n; k++ {
		row[k] = k
		if own := f.later(k - 1); len(own) == len(f.later(k))+1 && own[0] == k {
			row[k] = row[k-1]
		}
	}
	row[n] = n
	for k := int32(0); k < n; {
		end := k + 1
		for row[end] == k {
			end++
		}
		if end-k >= leastBlock && len(f.later(k)) >= leastColumn {
			f.blocks = append(f.blocks, block{first: k, end: end})
		}
		k = end
	}
	longest := 0
	for i := range f.blocks {
		b := &f.blocks[i]
		b.begin = int32(len(f.targets))
		beyond := f.later(b.end - 1)
		longest = max(longest, len(beyond))
		for a := 0; a < len(beyond); {
			to := target{first: row[beyond[a]], place: int32(len(f.place))}
			own, at := f.later(to.first), 0
			for _, j := range beyond[a+1:] {
				for own[at] != j {
					at++
				}
				f.place = append(f.place, int32(at))
			}
			for a < len(beyond) && row[beyond[a]] == to.first {
				a++
			}
			to.end = int32(a)
			f.targets = append(f.targets, to)
		}
		b.last = int32(len(f.targets))
	}
	f.room, f.next = sized(f.room, longest), sized(f.next, longest)
}

// later lists an unknown's later neighbours.
func (f *factor) later(k int32) []int32 { return f.idx[f.ptr[k]:f.ptr[k+1]] }

// eliminateBlock eliminates the unknowns of a block. Columns are gathered two at a time:
// what both take from is fetched once.
func (f *factor) eliminateBlock(b *block, rhs []float64) {
	up, ptr := f.up, f.ptr
	k := b.first
	for ; k+1 < b.end; k += 2 {
		one, two := up[ptr[k]:ptr[k+1]], up[ptr[k+1]:ptr[k+2]]
		f.gatherTwo(one, two, b.first, k, k-b.first-1)
		f.pivot(k, rhs)
		m, from := one[0]*f.inv[k], one[1:][:len(two)]
		for i := range two {
			two[i] += m * from[i]
		}
		f.pivot(k+1, rhs)
	}
	if k < b.end {
		f.gather(up[ptr[k]:ptr[k+1]], b.first, k, k-b.first-1)
		f.pivot(k, rhs)
	}
	beyond := f.later(b.end - 1)
	a := int32(0)
	for t := b.begin; t < b.last; t++ {
		to := &f.targets[t]
		place := f.place[to.place:][:len(beyond)-int(a)-1]
		for ; a < to.end; a++ {
			at := b.end - b.first - 1 + a
			i := beyond[a]
			col, one := up[ptr[i]-(i-to.first):], f.room[:len(place)]
			clear(one)
			if a+1 == to.end {
				f.gather(one, b.first, b.end, at)
			} else {
				a++
				j := beyond[a]
				next, two := up[ptr[j]-(j-to.first):], f.next[:len(place)-1]
				clear(two)
				f.gatherTwo(one, two, b.first, b.end, at)
				col[place[0]] += one[0]
				place, one = place[1:], one[1:]
				for k, p := range place {
					next[p] += two[k]
				}
			}
			for k, p := range place {
				col[p] += one[k]
			}
			if len(place) > 0 {
				place = place[1:]
			}
		}
	}
	for k := b.first; k < b.end; k++ {
		inv := f.inv[k]
		col := up[ptr[k]:ptr[k+1]]
		for a := range col {
			col[a] *= inv
		}
	}
}

// pivot finds the pivot of an unknown of a block, whose column is complete, and carries
// its surplus and right-hand side forward.
func (f *factor) pivot(k int32, rhs []float64) {
	own := f.later(k)
	col := f.up[f.ptr[k]:][:len(own)]
	d := f.sur[k]
	for _, c := range col {
		d += c
	}
	inv := inverse(d)
	f.inv[k] = inv
	s, r := f.sur[k]*inv, rhs[k]*inv
	for a, i := range own {
		c := col[a]
		f.sur[i] += c * s
		rhs[i] += c * r
	}
}

// gather adds to a column what the elimination of unknowns first to end, of one block,
// brings it, the column's unknown being the neighbour that stands at in the first's.
func (f *factor) gather(col []float64, first, end, at int32) {
	up, n := f.up, len(col)
	e := f.ptr[first] + at
	step := f.ptr[first+1] - f.ptr[first] - 1
	k := first
	for ; k+3 < end; k += 4 {
		m0, c0 := up[e]*f.inv[k], up[e+1:][:n]
		e += step
		step--
		m1, c1 := up[e]*f.inv[k+1], up[e+1:][:n]
		e += step
		step--
		m2, c2 := up[e]*f.inv[k+2], up[e+1:][:n]
		e += step
		step--
		m3, c3 := up[e]*f.inv[k+3], up[e+1:][:n]
		e += step
		step--
		for i := range col {
			col[i] += m0*c0[i] + m1*c1[i] + (m2*c2[i] + m3*c3[i])
		}
	}
	for ; k < end; k++ {
		m, c := up[e]*f.inv[k], up[e+1:][:n]
		e += step
		step--
		for i := range col {
			col[i] += m * c[i]
		}
	}
}

// gatherTwo is gather for two columns in a row, the second of which is one shorter.
func (f *factor) gatherTwo(col, next []float64, first, end, at int32) {
	if len(next) == 0 {
		f.gather(col, first, end, at)
		return
	}
	up, n := f.up, len(next)
	e := f.ptr[first] + at
	step := f.ptr[first+1] - f.ptr[first] - 1
	k := first
	head, col := &col[0], col[1:][:n]
	for ; k+3 < end; k += 4 {
		v, h0 := f.inv[k], up[e+1]
		m0, n0, c0 := up[e]*v, h0*v, up[e+2:][:n]
		e += step
		step--
		v, h1 := f.inv[k+1], up[e+1]
		m1, n1, c1 := up[e]*v, h1*v, up[e+2:][:n]
		e += step
		step--
		v, h2 := f.inv[k+2], up[e+1]
		m2, n2, c2 := up[e]*v, h2*v, up[e+2:][:n]
		e += step
		step--
		v, h3 := f.inv[k+3], up[e+1]
		m3, n3, c3 := up[e]*v, h3*v, up[e+2:][:n]
		e += step
		step--
		*head += m0*h0 + m1*h1 + (m2*h2 + m3*h3)
		for i := range next {
			x0, x1, x2, x3 := c0[i], c1[i], c2[i], c3[i]
			col[i] += m0*x0 + m1*x1 + (m2*x2 + m3*x3)
			next[i] += n0*x0 + n1*x1 + (n2*x2 + n3*x3)
		}
	}
	for ; k < end; k++ {
		v, h0 := f.inv[k], up[e+1]
		m0, n0, c0 := up[e]*v, h0*v, up[e+2:][:n]
		e += step
		step--
		*head += m0 * h0
		for i := range next {
			x := c0[i]
			col[i] += m0 * x
			next[i] += n0 * x
		}
	}
}
