package drawing

import (
	"cmp"
	"math"
	"slices"
)

// lattice is the lattice that serves boxes of about that width over height.
func (p *Plan) lattice(aspect float64) *routed {
	bucket := int(math.Round(4 * math.Log2(min(max(aspect, 0.7), 4))))
	r, ok := p.lattices[bucket]
	if !ok {
		r = p.choose(math.Exp2(float64(bucket) / 4))
		p.lattices[bucket] = r
	}
	return r
}

// enough is how much work is put into one choice: edges times lattice points, once
// for each time that the tubes find their ways. It bounds the time for a large rig.
const enough = 4e6

// choose tries manners of placing: of the roomiest some are routed, and the
// clearest of those are routed well.
func (p *Plan) choose(aspect float64) *routed {
	cell := func(l *lattice) float64 { return min(aspect/float64(l.w), 1/float64(l.h)) }
	scales, folds, gaps, stretches := []float64{6, 8, 11, 15, 20, 27, 36, 48}, []int{1, 2, 3, 4}, []int{3, 4}, []float64{0}
	switch n := len(p.g.nodes); {
	case n > 150:
		scales, folds, gaps = []float64{8, 20}, []int{2, 5}, []int{3}
	case n > 60:
		scales, folds = []float64{8, 15, 27, 48}, []int{1, 2, 4}
	}
	if p.g.along != nil {
		folds, stretches = []int{1}, []float64{3, 4, 5, 6, 7, 8, 10, 12, 15, 18, 22}
	}
	var tried []*routed
	var s search
	work := 0.0
	for _, gap := range gaps {
		var all []*lattice
		for _, m := range manners(scales, folds, stretches) {
			m.gap = gap
			l := p.g.place(m, p.gauge)
			if !slices.ContainsFunc(all, func(o *lattice) bool { return o.w == l.w && o.h == l.h && o.astray == l.astray }) {
				all = append(all, l)
			}
		}
		slices.SortStableFunc(all, func(a, b *lattice) int { return cmp.Or(cmp.Compare(a.astray, b.astray), cmp.Compare(cell(b), cell(a))) })
		for _, l := range all[:min(5, len(all))] {
			if len(tried) > 0 && work+l.effort() > enough/2 {
				break
			}
			work += l.effort()
			tried = append(tried, l.route(&s))
		}
	}
	worth := map[*routed]float64{}
	best := func() *routed {
		for _, r := range tried {
			worth[r] = cell(r.lattice) / (1 + r.price())
		}
		slices.SortStableFunc(tried, func(a, b *routed) int { return cmp.Compare(worth[b], worth[a]) })
		return tried[0]
	}
	best()
	for _, r := range tried[:min(4, len(tried))] {
		const passes = 3
		if work += passes * r.effort(); work > enough {
			break
		}
		for range passes {
			r.again()
			slices.Reverse(r.order)
		}
	}
	return best()
}

// manners are all that there are to try, but for the gaps.
func manners(scales []float64, folds []int, stretches []float64) []manner {
	var all []manner
	for _, fold := range folds {
		for _, scale := range scales {
			for _, stretch := range stretches {
				all = append(all, manner{scale: scale, fold: fold, stretch: stretch})
			}
		}
	}
	return all
}

// effort is what it takes to find all ways once.
func (l *lattice) effort() float64 { return float64(len(l.ends) * l.w * l.h) }
