package kernel

// leastBlock is how many unknowns, with how many later neighbours at the first of them,
// are worth a block: grids of a hundred joints have some, trees and coaches none.
const (
	leastBlock  = 3
	leastColumn = 8
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
	row := make([]int32, n+1) // by unknown: the first of its row
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
	f.room = make([]float64, longest)
}

// later lists an unknown's later neighbours.
func (f *factor) later(k int32) []int32 { return f.idx[f.ptr[k]:f.ptr[k+1]] }

// eliminateBlock eliminates the unknowns of a block.
func (f *factor) eliminateBlock(b *block, rhs []float64) {
	up, ptr, sur := f.up, f.ptr, f.sur
	for k := b.first; k < b.end; k++ {
		own := f.later(k)
		col := up[ptr[k]:][:len(own)]
		f.gather(col, b.first, k, k-b.first-1)
		d := sur[k]
		for _, c := range col {
			d += c
		}
		inv := inverse(d)
		f.inv[k] = inv
		s, r := sur[k]*inv, rhs[k]*inv
		for a, i := range own {
			c := col[a]
			sur[i] += c * s
			rhs[i] += c * r
		}
	}
	beyond := f.later(b.end - 1)
	a := 0
	for t := b.begin; t < b.last; t++ {
		to := &f.targets[t]
		place := f.place[to.place:][:len(beyond)-a-1]
		for ; a < int(to.end); a++ {
			i := beyond[a]
			room := f.room[:len(place)]
			clear(room)
			f.gather(room, b.first, b.end, b.end-b.first-1+int32(a))
			col := up[ptr[i]-(i-to.first):]
			for k, p := range place {
				col[p] += room[k]
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

// gather adds to a column what the elimination of unknowns first to end, of one block,
// brings it, the column's unknown being the neighbour that stands at in the first's.
func (f *factor) gather(col []float64, first, end, at int32) {
	up, n := f.up, len(col)
	from := func(k int32) (float64, []float64) {
		e := f.ptr[k] + at - (k - first)
		return up[e] * f.inv[k], up[e+1:][:n]
	}
	k := first
	for ; k+3 < end; k += 4 {
		m0, c0 := from(k)
		m1, c1 := from(k + 1)
		m2, c2 := from(k + 2)
		m3, c3 := from(k + 3)
		for i := range col {
			col[i] += m0*c0[i] + m1*c1[i] + m2*c2[i] + m3*c3[i]
		}
	}
	for ; k < end; k++ {
		m, c := from(k)
		for i := range col {
			col[i] += m * c[i]
		}
	}
}
