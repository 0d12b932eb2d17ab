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
	x.sizes, x.weights = x.sizes[:0], x.weights[:0]
	x.particles = x.particles[:0]
	lo, hi := math.Log(x.low), math.Log(x.high)
	flat := func(float64) float64 { return 1 / (hi - lo) }
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
			like := step * flat(ln)
			for i := range evs {
				e := &evs[i]
				f := cyc[e.view].at(size)
				one[i] = e.likely(worlds[d], &x.theory, &cyc[e.view], &f)
				if m := mended[i]; m > 0 {
					one[i] = (1-m)*one[i] + m*e.likely(worlds[d], &x.theory, &unitCycle{}, &still)
				}
				x.single[i] += one[i] * step * flat(ln) / float64(n)
				like *= one[i]
			}
			all = append(all, particle{d, size, like})
			for i := range one {
				x.fits[i] += like * one[i]
			}
			x.byWorld[d] += like
		}
	}
	x.evidence = 0
	for _, l := range x.byWorld {
		x.evidence += l / float64(n)
	}
	total := 0.0
	for _, p := range all {
		total += p.share
	}
	if !(total > 0) {
		return
	}
	for i := range x.fits {
		x.fits[i] /= total
	}
	for _, p := range all {
		x.sizes, x.weights = append(x.sizes, math.Log(p.size)), append(x.weights, p.share)
	}
	// Systematic picks in order of size then world: evenly spread over what is likely.
	slices.SortStableFunc(all, func(a, b particle) int { return cmp.Compare(a.size, b.size) })
	sum, next := 0.0, 0
	for _, p := range all {
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
