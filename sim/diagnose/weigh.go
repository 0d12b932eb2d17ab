package diagnose

import (
	"cmp"
	"math"
	"slices"
)

// A particle is one world and size that a theory stands on, with its share.
type particle struct {
	world int
	size  float64 // at 45 psi, m³/s
	share float64 // of its theory
}

// A weighed theory is one with what the readings say of it.
type weighed struct {
	theory
	evidence  float64    // likelihood of all readings
	single    []float64  // likelihood of each evidence alone
	fits      []float64  // … where all are met as well as can be
	particles []particle // few, of equal share
	sizes     []float64  // ln, with their weights, for intervals
	weights   []float64
	byWorld   []float64 // likelihood by world
	dim       bool      // hardly counts: weighed on the first draws alone
}

// How many particles stand for a theory when tests are weighed.
const manyParticles = 12

// Nodes of the integration over the size: a coarse grid over its whole range,
// and around each fit finer ones.
const coarse = 13

var fine = [...]float64{-3, -2, -1.2, -0.6, 0, 0.6, 1.2, 2, 3}

// weigh integrates a theory over the worlds and its size. cycles[d][v] are its
// cycles in world d under view v; mended is the chance that it was over by each
// piece of evidence.
func (x *weighed) weigh(worlds []*world, evs []evidence, mended []float64, cycles func(d int) []unitCycle) {
	n := len(worlds)
	x.byWorld = make([]float64, n)
	x.single, x.fits = make([]float64, len(evs)), make([]float64, len(evs))
	x.sizes, x.weights, x.particles = nil, nil, nil
	lo, hi := math.Log(x.low), math.Log(x.high)
	flat := 1 / (hi - lo)
	bound := make([]func(*forecast) float64, len(evs))
	views := 0
	for i, e := range evs {
		if e.bind != nil {
			bound[i] = e.bind(&x.theory)
		}
		views = max(views, e.view+1)
	}
	told := make([]bool, views)
	for _, e := range evs {
		told[e.view] = true
	}
	casts := make([]forecast, views)
	var nodes []float64
	var all []particle
	one := make([]float64, len(evs))
	still := (&unitCycle{}).at(1)
	for d := range n {
		cyc := cycles(d)
		nodes = nodes[:0]
		for k := range coarse {
			nodes = append(nodes, lo+(hi-lo)*float64(k)/(coarse-1))
		}
		for _, e := range evs {
			if e.size == nil {
				continue
			}
			s, width := e.size(worlds[d], &cyc[e.view])
			if !(s > 0) || math.IsInf(s, 1) {
				continue
			}
			for _, z := range fine {
				if at := math.Log(s) + z*width; at > lo && at < hi {
					nodes = append(nodes, at)
				}
			}
		}
		slices.Sort(nodes)
		nodes = slices.Compact(nodes)
		for k, ln := range nodes {
			step := 0.0 // trapezoids
			if k > 0 {
				step += (ln - nodes[k-1]) / 2
			}
			if k+1 < len(nodes) {
				step += (nodes[k+1] - ln) / 2
			}
			size := math.Exp(ln)
			step *= flat
			like := step
			for v := range casts {
				if told[v] {
					casts[v] = cyc[v].at(size)
				}
			}
			for i := range evs {
				e := &evs[i]
				f := &casts[e.view]
				if bound[i] != nil {
					one[i] = bound[i](f)
				} else {
					one[i] = e.likely(worlds[d], &x.theory, &cyc[e.view], f)
				}
				if m := mended[i]; m > 0 {
					one[i] = (1-m)*one[i] + m*e.likely(worlds[d], &x.theory, &unitCycle{}, &still)
				}
				x.single[i] += one[i] * step / float64(n)
				like *= one[i]
			}
			if like > 0 {
				all = append(all, particle{d, size, like})
			}
			for i := range one {
				x.fits[i] += like * one[i]
			}
			x.byWorld[d] += like
		}
	}
	total := 0.0
	for _, l := range x.byWorld {
		total += l
	}
	x.evidence = total / float64(n)
	if !(total > 0) {
		return
	}
	for i := range x.fits {
		x.fits[i] /= total
	}
	slices.SortFunc(all, func(a, b particle) int {
		return cmp.Or(cmp.Compare(a.size, b.size), cmp.Compare(a.world, b.world))
	})
	x.sizes, x.weights = make([]float64, len(all)), make([]float64, len(all))
	// Systematic picks in order of size: evenly spread over what is likely.
	sum, next := 0.0, 0
	for i, p := range all {
		x.sizes[i], x.weights[i] = math.Log(p.size), p.share
		sum += p.share / total
		for next < manyParticles && sum >= (float64(next)+0.5)/manyParticles {
			x.particles = append(x.particles, particle{p.world, p.size, 1.0 / manyParticles})
			next++
		}
	}
}

// effective is how many worlds speak, of weights that need not add up to 1.
func effective(weights []float64) float64 {
	sum, squares := 0.0, 0.0
	for _, w := range weights {
		sum, squares = sum+w, squares+w*w
	}
	if !(squares > 0) {
		return 0
	}
	return sum * sum / squares
}
