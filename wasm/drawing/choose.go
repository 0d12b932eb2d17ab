package drawing

import (
	"cmp"
	"math"
	"slices"
)

// lattice is the lattice that serves boxes of about that width over height.
func (p *Plan) lattice(aspect float64) *routed {
	bucket := bucketOf(aspect)
	r, ok := p.lattices[bucket]
	if !ok {
		if r, ok = p.recall(bucket); !ok {
			r, _ = p.choose(aspectOf(bucket))
		}
		p.lattices[bucket] = r
	}
	return r
}

func bucketOf(aspect float64) int { return int(math.Round(4 * math.Log2(min(max(aspect, 0.7), 4)))) }

func aspectOf(bucket int) float64 { return math.Exp2(float64(bucket) / 4) }

// A choice is what choosing came to for a rig of the house, so that a page which opens
// with one need not try what was tried before. The test of package drawing makes them.
type choice struct {
	rig    string
	bucket int
	manner manner
	well   bool // routed well
	w, h   int  // of the lattice: another rig of that name has another
}

// recall places a rig as was chosen before; ok is false of a rig that is not known.
func (p *Plan) recall(bucket int) (r *routed, ok bool) {
	for i := range chosen {
		c := &chosen[i]
		if c.bucket != bucket || c.rig != p.rig.Name() {
			continue
		}
		l := p.g.place(c.manner, p.gauge)
		if l.w != c.w || l.h != c.h {
			return nil, false
		}
		if r = l.route(new(search)); c.well {
			r.well()
		}
		return r, true
	}
	return nil, false
}

// well finds the ways anew, until little is left to gain.
func (o *routed) well() {
	for range passes {
		o.again()
		slices.Reverse(o.order)
	}
}

const passes = 3

// enough is how much work is put into one choice: edges times lattice points, once
// for each time that the tubes find their ways. It bounds the time for a large rig.
const enough = 4e6

// choose tries manners of placing: of the roomiest some are routed, and the
// clearest of those are routed well.
func (p *Plan) choose(aspect float64) (*routed, choice) {
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
	well := map[*routed]bool{}
	for _, r := range tried[:min(4, len(tried))] {
		if work += passes * r.effort(); work > enough {
			break
		}
		r.well()
		well[r] = true
	}
	r := best()
	return r, choice{manner: r.manner, well: well[r], w: r.w, h: r.h}
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
