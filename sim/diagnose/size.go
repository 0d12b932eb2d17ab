package diagnose

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"quietpump/hydraulics/unit"
	"quietpump/network"
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
// it of At. Low to High is the 95 % interval, from all readings and hypotheses
// together; where the ways disagree, around them all, or the cup's.
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

// broad is the share of readings that have nothing to do with what they should
// tell: a wrong press, a cup spilled.
const broad = 0.02

// errTooFew marks readings that nothing in any rig within the tolerances explains.
var errTooFew = errors.New("nothing within the tolerances told explains these readings; check the switch's settings and their ±, and how the valves stood")

// A draw is one world, and the size that follows in each way.
type draw struct {
	ways  map[string]float64 // ln of the size by way
	drawn float64            // drawdown by the cup, m³
}

// ways works out the size in each way over the worlds of the first rig, from the
// readings of the lineup in which it was first watched: of a seep from where the
// pump delivers, quasi-steady. With q its mean flow, V the drawdown and P the
// pump's delivery, rest = V/q and run = V/(P − q).
func (s *Session) ways() {
	s.draws = nil
	base := s.view(s.base)
	v := s.rigs[0].views[base]
	if !v.runs {
		return
	}
	var w watched
	for _, d := range s.c.Readings {
		if s.view(d.Lineup) != base {
			continue
		}
		if !w.rest.told && !w.every.told && len(d.Rest)+len(d.Every) > 0 {
			cup := w.cup
			w = d.cycle()
			if cup.told {
				w.cup = cup
			}
		}
		if !w.cup.told && len(d.Cup) > 0 {
			w.cup = meanCup(d.Cup)
		}
	}
	rest := w.rest
	if w.every.told {
		rest = w.every
	}
	if !rest.told {
		return
	}
	t := theory{leaks: []leak{{joint: v.pump.To, seep: network.Seep{}}}}
	var work []func() error // a world each
	drawn := 0
	draws := func(i int, x *world) {
		c := s.cycle(&t, x, base)
		if !c.starts {
			return
		}
		delivery := 0.0 // mean over the drawdown
		for k := range panels {
			delivery += c.dv[k] / max(c.pump[k], 1e-12)
		}
		delivery = c.drawdown / delivery
		perFlow := c.perSize / c.drawdown // size at sizeAt over mean flow
		// The errors of the readings, spread over the worlds apart from the scores.
		z := func(k int) float64 {
			u := math.Mod((float64(i)+0.5)*[...]float64{0.754877666, 0.569840291, 0.438579021}[k], 1)
			return math.Sqrt2 * math.Erfinv(2*u-1)
		}
		seen := max(rest.value+z(0)*math.Sqrt(rest.variance), 0.05)
		d := draw{ways: map[string]float64{ByRest: math.Log(c.drawdown / seen * perFlow)}}
		if w.run.told {
			run := max(w.run.value+z(1)*math.Sqrt(w.run.variance), 0.05) // nobody presses in less
			d.ways[ByRun] = math.Log(delivery * run / (seen + run) * perFlow)
		}
		if w.cup.told {
			cup := max(w.cup.value+z(2)*math.Sqrt(w.cup.variance), 0.1*w.cup.value)
			d.drawn = cup / x.yield
			d.ways[ByCup] = math.Log(d.drawn / seen * perFlow)
		}
		s.draws = append(s.draws, d)
	}
	for i, x := range s.all {
		if x.of == 0 {
			drawn++
			work = append(work, func() error { draws(i, x); return nil })
		}
	}
	s.then(append(work, func() error { s.sizes(drawn); return nil })...)
}

// sizes are what the draws of so many worlds come to.
func (s *Session) sizes(drawn int) {
	list := s.draws
	if len(list) < drawn/4 || len(list) < 2 {
		s.draws = nil
		return
	}
	for _, by := range []string{ByRest, ByRun, ByCup} {
		if _, told := list[0].ways[by]; !told {
			continue
		}
		way := Way{By: by}
		way.Low, way.Mid, way.High = interval(column(list, func(d draw) float64 { return d.ways[by] }), nil)
		s.b.Size.Ways = append(s.b.Size.Ways, way)
	}
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
	order := make([]int, len(x))
	total := 0.0
	for i := range x {
		order[i] = i
		total += weightOf(weights, i)
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(x[a], x[b]) })
	// The least value that has at least a share p of the weight up to it.
	q := func(p float64) float64 {
		sum := 0.0
		for _, i := range order {
			if sum += weightOf(weights, i); sum >= p*total {
				return x[i]
			}
		}
		return x[order[len(order)-1]]
	}
	return q(0.025), q(0.5), q(0.975)
}
