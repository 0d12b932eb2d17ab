package diagnose

import (
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
	nodes     []node    // what is likely, of the worlds that were weighed
	most      float64   // likelihood of the likeliest node
}

// A node is a world and a size with their likelihood.
type node struct {
	ln, like float64
	world    int
}

// How many particles stand for a theory when tests are weighed.
const manyParticles = 12

// Nodes of the integration over the size: a coarse grid over its whole range,
// and around each fit finer ones.
const coarse = 13

var fine = [...]float64{-3, -2, -1.2, -0.6, 0, 0.6, 1.2, 2, 3}

// faint is the likelihood beside the likeliest below which a node is not kept: of
// the 20,000 there may be, all together weigh less than a thousandth.
const faint = 5e-8

// A weigher is what weighing needs beside a theory, for all theories.
type weigher struct {
	evs    []evidence
	told   []bool // by view: something was seen under it
	casts  []forecast
	looks  []looks // by view
	grid   []float64
	one    []float64 // likelihoods at a node; of looks that go together zero
	by     []float64 // … with nothing gone, and then in one fate
	lumped []bool    // by evidence: a look that goes with the others
	cyc    []unitCycle
	half   [2][]unitCycle // of a pair by view, once something was done
	still  forecast
}

func newWeigher(evs []evidence) *weigher {
	views := 0
	for _, e := range evs {
		views = max(views, e.view+1)
	}
	g := &weigher{evs: evs, told: make([]bool, views), casts: make([]forecast, views), looks: make([]looks, views), one: make([]float64, len(evs)), by: make([]float64, 2*len(evs)), lumped: make([]bool, len(evs))}
	for _, e := range evs {
		g.told[e.view] = true
	}
	g.still = (&unitCycle{}).at(1)
	return g
}

// Looks go by whether water comes out at all, and of either half a little or more: all
// those of a view together are one factor for each regime.
type looks struct {
	list   []int // of the evidences
	each   [][regimes]float64
	all    [regimes]float64
	likely [regimes]float64 // how likely each came out
}

// regimes: nothing comes out; little; much of the first half, of the second, of both.
const regimes = 5

// regime is which of them a forecast is.
func regime(f *forecast) int {
	if f.flow == 0 {
		return 0
	}
	much := func(share float64) int { return int(bool01(f.flow*share >= float64(smallDrip))) }
	return 1 + much(1-f.second) + 2*much(f.second)
}

// inRegime is a forecast of each regime; what has no second half is in none of the last two.
var inRegime = [regimes]forecast{
	{},
	{flow: float64(smallDrip) / 2, second: 0.5},
	{flow: 2 * float64(smallDrip), second: 0.25},
	{flow: 2 * float64(smallDrip), second: 0.75},
	{flow: 4 * float64(smallDrip), second: 0.5},
}

// look gathers the looks for a theory.
func (g *weigher) look(t *theory, fates []fate) {
	for v := range g.looks {
		g.looks[v] = looks{list: g.looks[v].list[:0], each: g.looks[v].each[:0], all: [regimes]float64{1, 1, 1, 1, 1}}
	}
	for i := range g.evs {
		e := &g.evs[i]
		g.lumped[i] = e.absent > 0 && !slices.ContainsFunc(fates, func(f fate) bool { return f.gone[i] != nothingGone })
		if !g.lumped[i] {
			continue
		}
		l := &g.looks[e.view]
		var each [regimes]float64
		for r := range inRegime {
			each[r] = e.likely(nil, t, nil, &inRegime[r])
			l.all[r] *= each[r]
		}
		l.list, l.each = append(l.list, i), append(l.each, each)
	}
}

// likelihood of a piece of evidence with so much of a theory gone, of a size in a world.
func (g *weigher) likelihood(e *evidence, w *world, t *theory, cyc []unitCycle, size float64, so gone) float64 {
	switch {
	case so == nothingGone:
		return e.likely(w, t, &cyc[e.view], &g.casts[e.view])
	case so == allGone:
		return e.likely(w, t, &unitCycle{}, &g.still)
	}
	k := 0 // the half that is left
	if so == firstGone {
		k = 1
	}
	c := &g.half[k][e.view]
	f := c.at(size)
	return e.likely(w, t.halves[k], c, &f)
}

// weigh integrates a theory over the worlds from the first that it was not weighed
// on, and its size. cycles gives its cycles in a world by view.
func (x *weighed) weigh(g *weigher, worlds []*world, fates []fate, cycles func(d int) []unitCycle) {
	evs := g.evs
	if x.byWorld == nil {
		x.single, x.fits = make([]float64, len(evs)), make([]float64, len(evs))
		x.nodes = make([]node, 0, coarse*len(worlds))
	}
	lo, hi := math.Log(x.low), math.Log(x.high)
	flat := 1 / (hi - lo)
	g.look(&x.theory, fates)
	for d := len(x.byWorld); d < len(worlds); d++ {
		cyc := cycles(d)
		grid := g.grid[:0]
		for k := range coarse {
			grid = append(grid, lo+(hi-lo)*float64(k)/(coarse-1))
		}
		for i := range evs {
			e := &evs[i]
			if e.size == nil {
				continue
			}
			s, width := e.size(worlds[d], &cyc[e.view])
			if !(s > 0) || math.IsInf(s, 1) {
				continue
			}
			mid := math.Log(s)
			for _, z := range fine {
				if at := mid + z*width; at > lo && at < hi {
					grid = append(grid, at)
				}
			}
		}
		slices.Sort(grid)
		g.grid = slices.Compact(grid)
		grid = g.grid
		sum := 0.0
		for k, ln := range grid {
			step := 0.0 // trapezoids
			if k > 0 {
				step += (ln - grid[k-1]) / 2
			}
			if k+1 < len(grid) {
				step += (grid[k+1] - ln) / 2
			}
			size := math.Exp(ln)
			step *= flat
			like := step
			for v := range g.casts {
				if g.told[v] {
					g.casts[v] = cyc[v].at(size)
					if l := &g.looks[v]; len(l.list) > 0 {
						like *= l.all[regime(&g.casts[v])]
					}
				}
			}
			plain, by := g.by[:len(evs)], g.by[len(evs):]
			for i := range evs {
				g.one[i] = 0
				if !g.lumped[i] {
					plain[i] = g.likelihood(&evs[i], worlds[d], &x.theory, cyc, size, nothingGone)
					x.single[i] += plain[i] * step // whatever was done
				}
			}
			all := 0.0
			for _, f := range fates {
				l := f.share
				for i := range evs {
					if by[i] = 0; g.lumped[i] {
						continue
					}
					if by[i] = plain[i]; f.gone[i] != nothingGone {
						by[i] = g.likelihood(&evs[i], worlds[d], &x.theory, cyc, size, f.gone[i])
					}
					l *= by[i]
				}
				all += l
				if len(fates) == 1 {
					copy(g.one, by)
					break
				}
				for i := range evs {
					if !g.lumped[i] {
						g.one[i] += l * by[i]
					}
				}
			}
			if all > 0 && len(fates) > 1 {
				for i := range evs {
					g.one[i] /= all
				}
			}
			like *= all
			if like > faint*x.most {
				x.nodes = append(x.nodes, node{ln, like, d})
				x.most = max(x.most, like)
				for i, l := range g.one {
					x.fits[i] += like * l
				}
				for v := range g.looks {
					if l := &g.looks[v]; len(l.list) > 0 {
						l.likely[regime(&g.casts[v])] += like
					}
				}
				sum += like
			}
		}
		x.byWorld = append(x.byWorld, sum)
	}
	for v := range g.looks {
		l := &g.looks[v]
		for k, i := range l.list {
			for r, p := range l.likely {
				x.fits[i] += p * l.each[k][r]
			}
		}
	}
	total := 0.0
	for _, l := range x.byWorld {
		total += l
	}
	x.evidence = total / float64(len(x.byWorld))
}

// settle draws up what stands for the theory once it has been weighed.
func (x *weighed) settle() {
	n, total := float64(len(x.byWorld)), x.evidence*float64(len(x.byWorld))
	for i := range x.single {
		x.single[i] /= max(n, 1)
		if total > 0 {
			x.fits[i] /= total
		}
	}
	all := slices.DeleteFunc(x.nodes, func(a node) bool { return a.like <= faint*x.most })
	x.nodes, x.particles = nil, nil
	slices.SortFunc(all, func(a, b node) int {
		switch {
		case a.ln < b.ln:
			return -1
		case a.ln > b.ln:
			return 1
		}
		return a.world - b.world
	})
	x.sizes, x.weights = make([]float64, len(all)), make([]float64, len(all))
	// Systematic picks in order of size: evenly spread over what is likely.
	sum, next := 0.0, 0
	for i, p := range all {
		x.sizes[i], x.weights[i] = p.ln, p.like
		sum += p.like / total
		for next < manyParticles && sum >= (float64(next)+0.5)/manyParticles {
			x.particles = append(x.particles, particle{p.world, math.Exp(p.ln), 1.0 / manyParticles})
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
