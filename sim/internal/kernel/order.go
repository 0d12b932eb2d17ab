package kernel

// minimumDegree returns an order of elimination of n unknowns joined by pairs
// that eliminates, each time, an unknown with the fewest neighbours left. Trees
// fill nothing in. Ties go to the lower number, so the order is deterministic.
func minimumDegree(n int, pairs [][2]int32) []int32 {
	nb := neighbours(n, pairs)
	order := make([]int32, 0, n)
	done := make([]bool, n)
	buckets := make([][]int32, n+1) // lazily cleaned stacks by degree
	for i := n - 1; i >= 0; i-- {
		d := len(nb[i])
		buckets[d] = append(buckets[d], int32(i))
	}
	low := 0
	var merged []int32
	for len(order) < n {
		for len(buckets[low]) == 0 {
			low++
		}
		b := buckets[low]
		i := b[len(b)-1]
		buckets[low] = b[:len(b)-1]
		if done[i] || len(nb[i]) != low {
			continue
		}
		done[i] = true
		order = append(order, i)
		for _, j := range nb[i] {
			// Neighbours of j become its own and those of i, without i and j.
			merged = mergeSorted(merged[:0], nb[j], nb[i], i, j)
			nb[j] = append(nb[j][:0], merged...)
			d := len(nb[j])
			buckets[d] = append(buckets[d], j)
			if d < low {
				low = d
			}
		}
		nb[i] = nil
	}
	return order
}

// neighbours returns, for each unknown, its neighbours ascending, once each.
func neighbours(n int, pairs [][2]int32) [][]int32 {
	count := make([]int32, n)
	for _, p := range pairs {
		count[p[0]]++
		count[p[1]]++
	}
	total := 0
	for _, c := range count {
		total += int(c)
	}
	back := make([]int32, total)
	nb := make([][]int32, n)
	at := 0
	for i := range nb {
		nb[i] = back[at : at : at+int(count[i])]
		at += int(count[i])
	}
	for _, p := range pairs {
		nb[p[0]] = append(nb[p[0]], p[1])
		nb[p[1]] = append(nb[p[1]], p[0])
	}
	for i := range nb {
		l := nb[i]
		for a := 1; a < len(l); a++ {
			for b := a; b > 0 && l[b] < l[b-1]; b-- {
				l[b], l[b-1] = l[b-1], l[b]
			}
		}
		k := 0
		for a := range l {
			if k == 0 || l[a] != l[k-1] {
				l[k] = l[a]
				k++
			}
		}
		nb[i] = l[:k]
	}
	return nb
}

// mergeSorted appends to dst the union of two ascending lists without x and y.
func mergeSorted(dst, a, b []int32, x, y int32) []int32 {
	i, j := 0, 0
	for i < len(a) || j < len(b) {
		var v int32
		switch {
		case j == len(b) || i < len(a) && a[i] < b[j]:
			v = a[i]
			i++
		case i == len(a) || b[j] < a[i]:
			v = b[j]
			j++
		default:
			v = a[i]
			i++
			j++
		}
		if v != x && v != y {
			dst = append(dst, v)
		}
	}
	return dst
}
