package kernel

// blockwise is by how many multiplications an unknown elimination has to fill a system in
// for unknowns to be worth joining in blocks: grids of a hundred joints are, trees and
// coaches are not.
const blockwise = 8

// A block is unknowns in a row, each of which has the later neighbours of the one before
// it but for itself. Within it elimination runs along whole columns, and what it adds to
// the unknowns beyond is gathered from all of its columns before it is put where it
// belongs (supernodes: Ashcraft et al., Int. J. Supercomput. Appl. 1, 1987; Ng & Peyton,
// SIAM J. Sci. Comput. 14, 1993).
type block struct {
	first, end int32 // its unknowns
	last       int32 // its last target, those before it ending where the block before ends
}

// A target is a block to which some later neighbours of another belong.
type target struct {
	first int32 // its first unknown
	end   int32 // its last of the neighbours, and the ones before it beginning where the target before ends
	place int32 // where each of the neighbours after the first of them stands in its first column
}

// join finds the blocks, and where each adds to others.
func (f *factor) join() {
	n := int32(f.n)
	of := make([]int32, n)
	for k := int32(0); k < n; k++ {
		if k > 0 && f.ptr[k] > f.ptr[k-1] && f.idx[f.ptr[k-1]] == k && f.ptr[k]-f.ptr[k-1] == f.ptr[k+1]-f.ptr[k]+1 {
			f.blocks[len(f.blocks)-1].end++
		} else {
			f.blocks = append(f.blocks, block{first: k, end: k + 1})
		}
		of[k] = int32(len(f.blocks) - 1)
	}
	longest := 0
	for s := range f.blocks {
		b := &f.blocks[s]
		beyond := f.beyond(b)
		longest = max(longest, len(beyond))
		for a := 0; a < len(beyond); {
			t := &f.blocks[of[beyond[a]]]
			to := target{first: t.first, place: int32(len(f.place))}
			// Within t a place is a difference, beyond it is found.
			lo, hi := f.ptr[t.first], f.ptr[t.first+1]
			at := lo + t.end - t.first - 1
			for _, j := range beyond[a+1:] {
				if j < t.end {
					f.place = append(f.place, j-t.first-1)
					continue
				}
				for at < hi && f.idx[at] != j {
					at++
				}
				f.place = append(f.place, at-lo)
			}
			for a < len(beyond) && beyond[a] < t.end {
				a++
			}
			to.end = int32(a)
			f.targets = append(f.targets, to)
		}
		b.last = int32(len(f.targets))
	}
	f.room = make([]float64, longest)
}

// beyond lists the later neighbours of a block.
func (f *factor) beyond(b *block) []int32 {
	return f.idx[f.ptr[b.first]+b.end-b.first-1 : f.ptr[b.first+1]]
}

// eliminateBlocks is eliminate, block by block.
func (f *factor) eliminateBlocks(rhs []float64) {
	up, ptr, sur, invs := f.up, f.ptr, f.sur, f.inv
	at := int32(0)
	for s := range f.blocks {
		b := &f.blocks[s]
		for k := b.first; k < b.end; k++ {
			lo, hi := ptr[k], ptr[k+1]
			col, ix := up[lo:hi], f.idx[lo:hi]
			if k > b.first {
				f.gather(col, b.first, k, k-b.first-1)
			}
			d := sur[k]
			for _, c := range col {
				d += c
			}
			inv := inverse(d)
			invs[k] = inv
			s, r := sur[k]*inv, rhs[k]*inv
			for a, i := range ix {
				c := col[a]
				sur[i] += c * s
				rhs[i] += c * r
			}
		}
		beyond := f.beyond(b)
		a := 0
		for ; at < b.last; at++ {
			t := &f.targets[at]
			place := f.place[t.place:]
			for more := 0; a < int(t.end); a++ {
				i := beyond[a]
				f.put(up[ptr[i]-(i-t.first):], place[more:more+len(beyond)-a-1], b, int32(a)+b.end-b.first-1)
				more++
			}
		}
		for k := b.first; k < b.end; k++ {
			inv := invs[k]
			col := up[ptr[k]:ptr[k+1]]
			for a := range col {
				col[a] *= inv
			}
		}
	}
}

// put adds to the places of a column what block b's elimination brings it, the column's
// unknown being the block's neighbour that stands at in its first column.
func (f *factor) put(col []float64, place []int32, b *block, at int32) {
	up, n := f.up, len(place)
	k := b.first
	e := f.ptr[k] + at
	m, c := up[e]*f.inv[k], up[e+1:][:n]
	switch b.end - k {
	case 1:
		for i, p := range place {
			col[p] += m * c[i]
		}
	case 2:
		e = f.ptr[k+1] + at - 1
		m2, c2 := up[e]*f.inv[k+1], up[e+1:][:n]
		for i, p := range place {
			col[p] += m*c[i] + m2*c2[i]
		}
	default:
		room := f.room[:n]
		clear(room)
		f.gather(room, k, b.end, at)
		for i, p := range place {
			col[p] += room[i]
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
