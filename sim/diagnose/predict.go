package diagnose

import (
	"math"
	"slices"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// A forecast is what a theory of a size predicts in a world under a lineup.
type forecast struct {
	starts   bool    // the pump starts, after
	rest     float64 // s
	run      float64 // s; +Inf where it does not stop
	drawdown float64 // m³
	flow     float64 // m³/s that gets away
	second   float64 // share of it that the second half of a pair lets by
}

// panels of the quadrature over the band: an even number of equal steps of pressure.
const panels = 8

// A unitCycle has what of a forecast does not depend on the size: the steps of
// the store's curve between cut-out and cut-in, and the flow of a seep of one
// m³/s at 45 psi at the middle of each.
type unitCycle struct {
	acts, starts bool
	held         float64 // flow at the pressure that is held, or 0
	tank         float64 // of it what runs into the fresh tank
	p            [panels]float64
	dv           [panels]float64
	flow         [panels]float64
	pump         [panels]float64
	kept         [panels]float64 // share that only the seep lets down
	perSize      float64         // ∫ dV/flow, m³: the rest is this over the size
	drawdown     float64
	delay        float64
	restTimes    float64 // the simulator's rest over this one's
	runTimes     float64
	second       float64 // share of the flow that the second half of a pair lets by
}

// through is the flow of a seep of one m³/s at 45 psi with an exponent.
func through(p, exponent float64) float64 {
	if p <= 0 {
		return 0
	}
	x := p / float64(sizeAt)
	switch exponent {
	case 0:
		return 1
	case 1:
		return x
	}
	return math.Pow(x, exponent)
}

// cycleOf does the section-level quadrature of a leak: rest = ∫ C(p)/q(p) dp over
// the store's curve, by water given up from one pressure to the next over the
// flow half way, and run likewise against the pump's flow less the seep's.
func cycleOf(v *view, w *world, t *theory, l leak, f falls, pumps map[string]*delivery) unitCycle {
	c := unitCycle{restTimes: 1, runTimes: 1}
	if !f.acts {
		return c
	}
	c.acts = true
	n := w.exponent
	if t.flat {
		n = 0
	}
	zs := 0.0
	if j, ok := v.rig.Joint(v.pump.Sense); ok {
		zs = float64(j.Z)
	}
	if t.twist.bypass { // it passes the head valves when the hose opens it
		p := v.bypass()
		if f.held == none || p.Name == "" || f.held <= float64(p.Bypass.Opens) && !t.twist.park || !v.reachesTank(p.From) {
			return unitCycle{restTimes: 1, runTimes: 1}
		}
		c.held, c.tank = 1, 1
		return c
	}
	if f.held != none {
		c.held = through(f.held+head(zs-f.z), n)
		if slices.Contains(v.ends[l.key].to, network.ToFreshTank) {
			c.tank = c.held
		}
		return c
	}
	if !f.start {
		return c
	}
	band := w.pumps[v.pump.Name]
	scale := band.scale
	in, out := band.in, band.out
	u := w.severity
	if t.twist.span { // 2 to 5 psi between stop and start: common practice, no source
		in = out - (2+3*u)*float64(unit.PSI)
	}
	if t.twist.slow {
		scale *= 0.3 + 0.4*u
	}
	at := v.storesAt(w)
	holds := func(p float64) float64 {
		sum := 0.0
		for i := range w.stores {
			s := &w.stores[i]
			if !f.set.has(at[i]) {
				continue
			}
			p := p + head(zs-s.z)
			switch {
			case s.gas && t.twist.charge && s.pre > 0:
				x := *s
				x.pre *= 0.7 * u
				sum += x.holds(p)
			case s.gas && t.twist.cushion && s.pre == 0:
			default:
				sum += s.holds(p)
			}
		}
		if t.twist.air {
			x := store{gas: true, invN: 1, volume: 0.1e-3 * math.Pow(20, u)}
			sum += x.holds(p)
		}
		return sum
	}
	pump := pumps[v.pump.Name]
	above := holds(out)
	h := (out - in) / panels
	for k := range panels {
		lower := out - float64(k+1)*h
		below := holds(lower)
		mid := lower + h/2
		c.p[k] = mid
		c.dv[k] = max(above-below, 0)
		c.flow[k] = through(mid+head(zs-f.z), n)
		c.pump[k] = pump.at(mid) * scale
		c.drawdown += c.dv[k]
		c.kept[k] = 1
		if v.pump.Bypass.Outside { // it lets down what stands above its opening at once
			c.kept[k] = min(max((float64(v.pump.Bypass.Opens)-lower)/h, 0), 1)
		}
		if c.flow[k] > 0 {
			c.perSize += c.kept[k] * c.dv[k] / c.flow[k]
		} else {
			c.perSize = math.Inf(1)
		}
		above = below
	}
	c.delay = v.pump.Delay.Seconds()
	c.starts = c.drawdown > 0 && !math.IsInf(c.perSize, 1)
	return c
}

// at is the forecast for a size.
func (c *unitCycle) at(size float64) forecast {
	f := forecast{rest: math.Inf(1), second: c.second}
	if !c.acts {
		return f
	}
	if !c.starts {
		f.flow = size * c.held
		return f
	}
	f.starts = true
	f.rest = c.perSize/size*c.restTimes + c.delay
	f.drawdown = c.drawdown
	f.flow = c.drawdown / (c.perSize / size)
	for k := range panels {
		net := c.pump[k] - size*c.flow[k]
		if net <= 0 {
			f.run = math.Inf(1)
			return f
		}
		f.run += c.dv[k] / net
	}
	f.run = f.run*c.runTimes + c.delay
	return f
}

// pair is the cycle of two leaks at once, where a share of the size is the first's.
func pairOf(a, b *unitCycle, share float64) unitCycle {
	switch {
	case !a.acts && !b.acts:
		return *a
	case !b.acts || a.starts && !b.starts:
		return a.scaled(share)
	case !a.acts || b.starts && !a.starts:
		c := b.scaled(1 - share)
		c.second = 1
		return c
	case !a.starts:
		c := *a
		c.held = a.held*share + b.held*(1-share)
		c.tank = a.tank*share + b.tank*(1-share)
		if c.held > 0 {
			c.second = b.held * (1 - share) / c.held
		}
		return c
	}
	c := *a
	if b.drawdown > a.drawdown { // more falls: what feeds the one feeds the other
		c = *b
	}
	c.perSize = 0
	c.second = b.flow[panels/2] * (1 - share) / (a.flow[panels/2]*share + b.flow[panels/2]*(1-share))
	for k := range panels {
		c.flow[k] = a.flow[k]*share + b.flow[k]*(1-share)
		if c.flow[k] > 0 {
			c.perSize += c.kept[k] * c.dv[k] / c.flow[k]
		}
	}
	return c
}

func (c *unitCycle) scaled(by float64) unitCycle {
	s := *c
	s.held, s.tank = s.held*by, s.tank*by
	s.perSize /= by
	for k := range panels {
		s.flow[k] *= by
	}
	return s
}
