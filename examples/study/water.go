package main

import (
	"math"
	"math/rand/v2"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
)

// The study's own water: sections with a charge of gas and some stretch, marched through time in small steps of
// volume. It shares nothing with the tool but units.

// tubeStretch is the stretch of a metre of 1/2 in tube with its water: 1.03e-8 per pascal of its bore's content.
var tubeStretch = (1.03e-8 + 4.5e-10) * math.Pi / 4 * math.Pow(0.475*0.0254, 2)

const atmosphere = 101325.0

func curveOf(q0, dead float64) hydraulics.PumpCurve {
	return hydraulics.Line(unit.Flow(q0), unit.Pressure(dead))
}

// A truth is what is so in one vehicle: its real values and its hidden fault.
type truth struct {
	*coach
	in, out, charge, gas, curve, stretch, hotStretch float64
	power                                            float64 // n of the seep
	sizes                                            []float64
	at                                               []place
	kind                                             string // suspect, pair, benign, healthy, outside
	cause                                            string
	cooling                                          float64 // m³/s that shrinks away in the heater
	bias                                             float64
}

// name is what is hidden, in words.
func (t *truth) name() string {
	words := t.kind + " " + t.cause
	for _, a := range t.at {
		words += " " + a.part
	}
	return words
}

// flow is what gets away at a gauge pressure, of the faults that act under a setting.
func (t *truth) flow(p float64, s setting) (main, hot float64) {
	for i, at := range t.at {
		q := t.sizes[i]
		if p > 0 {
			q *= math.Pow(p/(45*psi), t.power)
		} else {
			q = 0
		}
		if s.shut[at.behind] && at.behind != "" || at.tank == "pump" && s.shut[t.suction] && t.suction != "" {
			continue
		}
		if at.hot {
			hot += q
		} else {
			main += q
		}
	}
	return main, hot + t.cooling
}

// A setting is how the hands left it.
type setting struct {
	shut map[string]bool
	hose bool
}

// compliance of a section under a setting, m³/Pa.
func (t *truth) compliance(p float64, hot bool, s setting) float64 {
	if hot {
		return t.hotStretch
	}
	c := t.stretch
	for valve, share := range t.behind { // what is shut off gives nothing
		if s.shut[valve] {
			c -= t.stretch * share / t.mainStretch
		}
	}
	if t.gas > 0 && p > t.charge {
		pa := p + atmosphere
		c += t.gas * (t.charge + atmosphere) / (pa * pa)
	}
	return c
}

// cycle marches from a pump stop to the next start and stop, in steps of a four-hundredth of the band. It gives up
// after a limit. Behind a check the hot side stays up as long as the cold side falls faster, and else falls with it.
func (t *truth) cycle(s setting, limit float64) (rest, run float64, starts bool) {
	p, hot := t.out, t.out
	band := t.out - t.in
	for p > t.in {
		q, _ := t.flow(p, s)
		_, qh := t.flow(hot, s)
		cold, warm := t.compliance(p, false, s), t.compliance(hot, true, s)
		joined := !t.hotApart || hot <= p && (warm == 0 || qh/warm >= q/cold)
		falls, hotFalls := q/cold, 0.0
		if joined {
			falls = (q + qh) / (cold + warm)
		} else {
			hotFalls = qh / warm
		}
		fastest := math.Max(falls, hotFalls)
		if fastest <= 0 {
			return limit, 0, false
		}
		dt := band / 400 / fastest
		p -= falls * dt
		hot -= hotFalls * dt
		if joined || hot < p {
			hot = p
		}
		if rest += dt; rest > limit {
			return limit, 0, false
		}
	}
	for p < t.out {
		q, qh := t.flow(p, s)
		net := t.curve*(1-p/t.dead) - q - qh
		if net <= 0 {
			return rest, math.Inf(1), true
		}
		c := t.compliance(p, false, s)
		if hot <= p {
			c += t.compliance(p, true, s)
		}
		run += band / 400 * c / net
		p += band / 400
		hot = math.Max(hot, p)
	}
	return rest, run, true
}

// drawdown is what the cold side gives up between stop and start, m³.
func (t *truth) drawdown() float64 {
	sum, n := 0.0, 200
	h := (t.out - t.in) / float64(n)
	for i := range n {
		p := t.in + (float64(i)+0.5)*h
		sum += t.compliance(p, false, setting{}) * h
		if !t.hotApart {
			sum += t.compliance(p, true, setting{}) * h
		}
	}
	return sum
}

// tankGain is what the tank gains a second on the hose with the pump off.
func (t *truth) tankGain(s setting) float64 {
	sum := 0.0
	for i, at := range t.at {
		if at.tank == "" || at.tank == "pump" && t.suction != "" && s.shut[t.suction] {
			continue
		}
		sum += t.sizes[i] * math.Pow(t.hosePressure/(45*psi), t.power)
	}
	return sum
}

const mlpm = 1e-6 / 60

// newTruth hides a fault in a coach: one that somebody complains of, whose pump starts at least once a night. A healthy
// coach is brought by someone who worries.
func newTruth(r *rand.Rand, c *coach) *truth {
	for {
		t := drawTruth(r, c)
		if _, _, starts := t.cycle(setting{}, 9*3600); starts || t.kind == "healthy" {
			return t
		}
	}
}

func drawTruth(r *rand.Rand, c *coach) *truth {
	t := &truth{coach: c,
		in: c.in + r.NormFloat64()*2.5*psi, charge: c.charge + r.NormFloat64()*psi, gas: c.gas * math.Exp(0.05*r.NormFloat64()),
		curve: c.curve * math.Exp(0.1*r.NormFloat64()), power: pick(r, 0.5, 1.5), bias: 2 * psi * r.NormFloat64(),
	}
	t.out = math.Max(c.out+r.NormFloat64()*2.5*psi, t.in+5*psi)
	t.out = math.Min(t.out, 0.9*c.dead)
	t.in = math.Min(t.in, t.out-5*psi)
	f := math.Exp(0.35 * r.NormFloat64())
	t.stretch, t.hotStretch = c.mainStretch*f, c.hotStretch*f
	if c.gas == 0 { // nobody knows how much air the lines hold
		drawdown := math.Exp(math.Log(2.3*59)/2 + math.Log(59/2.3)/4*r.NormFloat64())
		t.gas, t.charge = drawdown*1e-6/(atmosphere/(t.in+atmosphere)-atmosphere/(t.out+atmosphere)), 0
	}
	size := func(lo, hi float64) float64 { return decades(r, lo, hi) * mlpm }
	one := func() place {
		sum := 0.0
		for _, p := range c.places {
			sum += p.odds
		}
		x := r.Float64() * sum
		for _, p := range c.places {
			if x -= p.odds; x <= 0 {
				return p
			}
		}
		return c.places[0]
	}
	background := place{part: "", look: ""}
	u := r.Float64()
	switch {
	case u < 0.05:
		t.kind, t.cause = "outside", "a branch that is in no drawing"
		t.at, t.sizes = []place{background}, []float64{size(1, 1000)}
	case u < 0.10:
		t.kind = "pair"
		a, b := one(), one()
		for b.part == a.part && b.look == a.look {
			b = one()
		}
		total, share := size(1, 1000), pick(r, 0.15, 0.85)
		t.at, t.sizes = []place{a, b}, []float64{total * share, total * (1 - share)}
	case u < 0.13:
		t.kind = "healthy"
		t.at, t.sizes = []place{background}, []float64{size(0.01, 0.1)}
	case u < 0.25:
		t.kind = "benign"
		t.at, t.sizes = []place{background}, []float64{size(0.05, 5)}
		switch k := r.IntN(4); {
		case k == 0 && c.gasAt != "":
			t.cause = "charge"
			t.charge = math.Max(0.7*r.Float64()*t.charge, 0.1*psi)
		case k == 1:
			t.cause = "switch"
			t.in = t.out - pick(r, 2, 5)*psi
		case k == 2 && c.heater != "":
			t.cause = "cooling"
			t.sizes[0] = 0
			t.cooling = c.heaterVolume * 4.4e-4 * decades(r, 0.2, 5) / 3600
		default:
			t.cause = "tap"
			var taps []place
			for _, p := range c.places {
				if p.tap {
					taps = append(taps, p)
				}
			}
			t.at[0], t.sizes[0] = taps[r.IntN(len(taps))], size(0.1, 1000)
		}
	default:
		t.kind = "suspect"
		t.at, t.sizes = []place{one()}, []float64{size(0.1, 1000)}
	}
	return t
}
