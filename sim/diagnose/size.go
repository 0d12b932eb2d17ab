package diagnose

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync/atomic"
	"time"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// The ways to a size.
const (
	ByRest = "rest" // drawdown over rest
	ByRun  = "run"  // the pump's delivery over its run
	ByCup  = "cup"  // a cup over the rest
)

// A Way is the size as one way tells it, from its own readings and the rig's
// tolerances alone.
type Way struct {
	By             string // ByRest, ByRun or ByCup
	Low, Mid, High unit.Flow
}

// A Size is how much water gets away: the flow of the seep at a pressure across
// it of At, which is half way between cut-in and cut-out. Low to High is the
// 95 % interval, from all ways together or, where they disagree, around them
// all, or with a cup around that and the cup's.
type Size struct {
	Low, Mid, High unit.Flow
	At             unit.Pressure
	Ways           []Way
	// Drawdown is the water that storage gives up in a rest, 95 %.
	LowDrawdown, HighDrawdown unit.Volume
	// Effective is how many of the draws of the tolerances speak in it.
	Effective float64
}

// enough effective draws for a 95 % interval; below it four times as many are taken.
const enough = 50

// A draw is one rig that could be the real one, simulated, with errors of the
// readings, and the size that follows in each way.
type draw struct {
	z       []float64
	ways    map[string]float64 // ln of the size by way
	all     float64            // ln of the size
	stored  float64            // drawdown, m³
	weight  float64
	refused bool
}

// A sizing has what the draws share.
type sizing struct {
	rig    *network.Rig
	lineup network.Lineup
	opts   sim.Options
	knobs  []knob
	seep   network.Seep // stands for whatever seeps; At is set
	size   unit.Flow    // a first guess
	seen   watched
	likely time.Duration // rest to expect
}

// noise are the errors of readings that each draw has beside the knobs: of the
// rest or every, of the run, of the cup.
const noise = 3

// draws takes n draws, each score evenly spread over its range (Latin hypercube:
// McKay, Beckman and Conover, Technometrics 21 (1979) 239). The result depends on
// the seed and n alone, and on no number of cores.
func (s sizing) draws(ctx context.Context, n int, seed uint64) ([]draw, error) {
	dim := noise + len(s.knobs)
	random := rand.New(rand.NewPCG(seed, 0))
	order := make([][]int, dim)
	for k := range order {
		order[k] = random.Perm(n)
	}
	list := make([]draw, n)
	var next atomic.Int64
	group, ctx := errgroup.WithContext(ctx)
	for range min(runtime.GOMAXPROCS(0), n) {
		group.Go(func() error {
			for {
				i := int(next.Add(1)) - 1
				if i >= n {
					return nil
				}
				if err := ctx.Err(); err != nil {
					return err
				}
				z := make([]float64, dim)
				for k := range z {
					z[k] = distuv.UnitNormal.Quantile((float64(order[k][i]) + 0.5) / float64(n))
				}
				list[i] = s.draw(z)
			}
		})
	}
	return list, group.Wait()
}

// draw simulates a cycle of one rig that could be the real one, and works out
// the sizes. A rig that cannot be, or has no cycle, is refused.
func (s sizing) draw(z []float64) draw {
	d := draw{z: z, refused: true, ways: map[string]float64{}}
	rig, draft, err := turned(s.rig, s.knobs, z[noise:])
	if err != nil {
		return d
	}
	model, err := sim.Compile(rig)
	if err != nil {
		return d
	}
	seep := s.seep
	seep.Ref, seep.Exp = s.size, draft.exponent
	c, err := oneCycle(model, s.lineup, append(draft.faults, seep), s.opts, 100*s.likely)
	if err != nil {
		return d
	}
	d.stored = c.stored
	// What follows is quasi-steady, and exact as far as the seep's mean flow over
	// the rest does not depend on its size: with q that flow, V the drawdown and P
	// the pump's delivery, rest = V/q and run = V/(P − q).
	V, P := c.stored, c.delivery()
	perFlow := float64(s.size) * c.rest / c.stored // size at At over mean flow
	ln := func(q float64) float64 { return math.Log(q * perFlow) }

	var rest, run float64
	w := s.seen
	if w.every.told {
		every := w.every.value + z[0]*math.Sqrt(w.every.variance)
		root := 1 - 4*V/(P*every)
		if !(root > 0) {
			return d
		}
		rest = V / (P / 2 * (1 - math.Sqrt(root)))
	} else {
		rest = w.rest.value + z[0]*math.Sqrt(w.rest.variance)
	}
	if !(rest > 0) {
		return d
	}
	q := V / rest
	d.ways[ByRest], d.all = ln(q), ln(q)
	d.weight = 1
	if w.run.told {
		mean := w.run.value + w.cov/w.rest.variance*(rest-w.rest.value)
		sd := math.Sqrt(max(w.run.variance-w.cov*w.cov/w.rest.variance, 1e-12))
		// Nobody presses in less than a twentieth of a second.
		run = max(mean+z[1]*sd, 0.05)
		d.ways[ByRun] = ln(P * run / (rest + run))
		predicted := math.Inf(1)
		if P > q {
			predicted = V / (P - q)
		}
		d.weight *= mixture(predicted, mean, sd)
	}
	if w.cup.told {
		sd := math.Sqrt(w.cup.variance)
		cup := max(w.cup.value+z[2]*sd, 0.1*w.cup.value)
		d.ways[ByCup] = ln(cup / (draft.yield * rest))
		d.weight *= mixture(V*draft.yield, w.cup.value, sd)
	}
	d.refused = false
	return d
}

// broad is the share of readings that have nothing to do with what they should
// tell: a wrong press, a cup spilled.
const broad = 0.02

// mixture is the likelihood of a reading with its error, where a share of all
// readings is anything within a factor of 30 of what was read.
func mixture(predicted, read, sd float64) float64 {
	read = max(read, sd)
	return (1-broad)*distuv.Normal{Mu: predicted, Sigma: sd}.Prob(read) + broad/(read*2*math.Log(30))
}

// errTooFew marks tolerances so wide that hardly any rig within them works.
var errTooFew = errors.New("hardly any rig within the tolerances told has a pump that starts and stops; check the switch's settings and their ±")

// summarise draws up the size. It returns the draws that were not refused.
func summarise(list []draw, at unit.Pressure) (Size, []draw, error) {
	kept := slices.DeleteFunc(slices.Clone(list), func(d draw) bool { return d.refused })
	if len(kept) < len(list)/4 || len(kept) < 2 {
		return Size{}, nil, errTooFew
	}
	all, stored, weights := column(kept, func(d draw) float64 { return d.all }), column(kept, func(d draw) float64 { return d.stored }), column(kept, func(d draw) float64 { return d.weight })
	size := Size{At: at}
	size.Low, size.Mid, size.High = interval(all, weights)
	sum, squares := 0.0, 0.0
	for _, w := range weights {
		sum, squares = sum+w, squares+w*w
	}
	size.Effective = sum * sum / squares
	low, _, high := quantiles(stored, weights)
	size.LowDrawdown, size.HighDrawdown = unit.Volume(low), unit.Volume(high)
	for _, by := range []string{ByRest, ByRun, ByCup} {
		if _, told := kept[0].ways[by]; !told {
			continue
		}
		w := Way{By: by}
		w.Low, w.Mid, w.High = interval(column(kept, func(d draw) float64 { return d.ways[by] }), nil)
		size.Ways = append(size.Ways, w)
	}
	return size, kept, nil
}

func column(list []draw, of func(draw) float64) []float64 {
	x := make([]float64, len(list))
	for i, d := range list {
		x[i] = of(d)
	}
	return x
}

// interval is the median of sizes given by their logarithms, with the 95 %
// interval about it.
func interval(ln, weights []float64) (low, mid, high unit.Flow) {
	l, m, h := quantiles(ln, weights)
	return unit.Flow(math.Exp(l)), unit.Flow(math.Exp(m)), unit.Flow(math.Exp(h))
}

func quantiles(x, weights []float64) (low, mid, high float64) {
	x = slices.Clone(x)
	if weights != nil {
		weights = slices.Clone(weights)
	}
	stat.SortWeighted(x, weights)
	q := func(p float64) float64 { return stat.Quantile(p, stat.Empirical, x, weights) }
	return q(0.025), q(0.5), q(0.975)
}
