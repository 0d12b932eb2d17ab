package sim

import (
	"cmp"
	"math"
	"slices"

	"quietpump/hydraulics"
	"quietpump/network"
	"quietpump/sim/internal/kernel"
)

// regions are the pieces of a rig that nothing can part: joints that tubes,
// strainers and filters connect.
type regions struct {
	all []region
	of  []int32 // by joint
}

type region struct {
	joints []int32
	tank   bool // a tank's port is in it, which decides its pressure
	lumps  []lump
}

// lump is the stretch of a region's tubes, gathered at one joint.
type lump struct {
	joint      int32
	compliance float64 // m³/Pa
	creep      []kernel.Creep
}

// tubeEdge is a tube as its region's middle is found by.
type tubeEdge struct {
	a, b       int32
	volume     float64
	compliance float64
	creep      hydraulics.Creep
}

// newRegions finds the regions and where their stretch is gathered: at the
// volume-weighted middle, and where a region holds no gas also at the middles of
// the two largest pieces that are left, since without gas it is the tubes that
// make a pump cycle.
func newRegions(m *Model) *regions {
	n := len(m.joints)
	group := make([]int32, n)
	for i := range group {
		group[i] = int32(i)
	}
	find := func(i int32) int32 {
		for group[i] != i {
			group[i] = group[group[i]]
			i = group[i]
		}
		return i
	}
	join := func(a, b string) { group[find(m.jointAt[a])] = find(m.jointAt[b]) }
	var tubes []tubeEdge
	gas := map[int32]bool{}
	tank := map[int32]bool{}
	for _, p := range m.parts {
		switch p := p.(type) {
		case network.Tube:
			join(p.From, p.To)
			tubes = append(tubes, tubeOf(m, p))
		case network.Strainer:
			join(p.From, p.To)
		case network.Filter:
			join(p.From, p.To)
			tubes = append(tubes, tubeEdge{a: m.jointAt[p.From], b: m.jointAt[p.To]})
			gas[m.jointAt[p.To]] = p.Air > 0
		case network.Accumulator:
			gas[m.jointAt[p.At]] = true
		case network.AirPocket:
			gas[m.jointAt[p.At]] = true
		case network.Heater:
			gas[m.jointAt[p.At]] = gas[m.jointAt[p.At]] || p.Air > 0
		case network.Tank:
			for _, j := range p.Ports {
				tank[m.jointAt[j]] = true
			}
		}
	}
	r := &regions{of: make([]int32, n)}
	number := map[int32]int32{}
	for i := int32(0); i < int32(n); i++ {
		root := find(i)
		k, seen := number[root]
		if !seen {
			k = int32(len(r.all))
			number[root] = k
			r.all = append(r.all, region{})
		}
		r.of[i] = k
		r.all[k].joints = append(r.all[k].joints, i)
		r.all[k].tank = r.all[k].tank || tank[i]
	}
	hasGas := make([]bool, len(r.all))
	for j, g := range gas {
		hasGas[r.of[j]] = hasGas[r.of[j]] || g
	}
	byRegion := make([][]tubeEdge, len(r.all))
	for _, t := range tubes {
		byRegion[r.of[t.a]] = append(byRegion[r.of[t.a]], t)
	}
	for k := range r.all {
		r.all[k].lumps = gather(r.all[k].joints, byRegion[k], hasGas[k])
	}
	return r
}

func tubeOf(m *Model, p network.Tube) tubeEdge {
	t := tubeEdge{
		a: m.jointAt[p.From], b: m.jointAt[p.To],
		volume: math.Pi / 4 * float64(p.Bore) * float64(p.Bore) * float64(p.Length),
	}
	if !p.Rigid {
		t.compliance = float64(p.Compliance)
		if mat, err := hydraulics.LookupMaterial(p.Material); err == nil {
			t.creep = mat.Creep
		}
	}
	return t
}

// gather returns the lumps of one region.
func gather(joints []int32, tubes []tubeEdge, gas bool) []lump {
	total := 0.0
	for _, t := range tubes {
		total += t.compliance
	}
	if total == 0 {
		return nil
	}
	at := make(map[int32]int, len(joints))
	for i, j := range joints {
		at[j] = i
	}
	n := len(joints)
	weight := make([]float64, n)
	next := make([][]int, n)
	for _, t := range tubes {
		a, b := at[t.a], at[t.b]
		weight[a] += t.volume / 2
		weight[b] += t.volume / 2
		next[a] = append(next[a], b)
		next[b] = append(next[b], a)
	}
	piece := make([]int, n) // 0: everything
	middle := []int{centre(0, piece, weight, next, heaviest(piece, 0, weight))}
	if !gas && n > 2 {
		// The pieces that fall apart when the middle is taken out.
		m := middle[0]
		piece[m] = -1
		count, size := 0, []float64{0}
		for _, s := range next[m] {
			if piece[s] != 0 {
				continue
			}
			count++
			size = append(size, mark(s, count, piece, weight, next))
		}
		order := make([]int, 0, count)
		for c := 1; c <= count; c++ {
			order = append(order, c)
		}
		slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(size[b], size[a]) })
		for _, c := range order[:min(2, len(order))] {
			middle = append(middle, centre(c, piece, weight, next, heaviest(piece, c, weight)))
		}
	}
	lumps := make([]lump, len(middle))
	home := func(i int) int {
		for k := 1; k < len(middle); k++ {
			if piece[i] == piece[middle[k]] {
				return k
			}
		}
		return 0
	}
	for k, m := range middle {
		lumps[k].joint = joints[m]
	}
	for _, t := range tubes {
		for _, end := range []int32{t.a, t.b} {
			l := &lumps[home(at[end])]
			l.compliance += t.compliance / 2
			for i, c := range t.creep {
				if i == len(l.creep) {
					l.creep = append(l.creep, kernel.Creep{Tau: c.Time.Seconds()})
				}
				l.creep[i].C += t.compliance / 2 * c.Ratio
			}
		}
	}
	return slices.DeleteFunc(lumps, func(l lump) bool { return l.compliance == 0 })
}

// heaviest is the joint of a piece with the most water around it.
func heaviest(piece []int, which int, weight []float64) int {
	best := -1
	for i, p := range piece {
		if p == which && (best < 0 || weight[i] > weight[best]) {
			best = i
		}
	}
	return best
}

// mark numbers the piece that holds joint s and returns its weight.
func mark(s, number int, piece []int, weight []float64, next [][]int) float64 {
	piece[s] = number
	stack, sum := []int{s}, 0.0
	for len(stack) > 0 {
		i := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		sum += weight[i]
		for _, j := range next[i] {
			if piece[j] == 0 {
				piece[j] = number
				stack = append(stack, j)
			}
		}
	}
	return sum
}

// centre is the joint of a piece from which no branch of its spanning tree holds
// more than half of the water.
func centre(which int, piece []int, weight []float64, next [][]int, root int) int {
	parent := map[int]int{root: -1}
	order := []int{root}
	for k := 0; k < len(order); k++ {
		for _, j := range next[order[k]] {
			if _, seen := parent[j]; !seen && piece[j] == which {
				parent[j] = order[k]
				order = append(order, j)
			}
		}
	}
	below := make(map[int]float64, len(order))
	total := 0.0
	for k := len(order) - 1; k >= 0; k-- {
		i := order[k]
		below[i] += weight[i]
		total += weight[i]
		if p := parent[i]; p >= 0 {
			below[p] += below[i]
		}
	}
	at := root
	for {
		down := -1
		for _, j := range next[at] {
			if p, ok := parent[j]; ok && p == at && below[j] > total/2 {
				down = j
			}
		}
		if down < 0 {
			return at
		}
		at = down
	}
}
