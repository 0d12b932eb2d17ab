package diagnose

import (
	"math"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/tolerance"
)

// A world is one rig that could be the real one, as far as a cycle goes: what its
// stores hold, its switch and its pump, and the errors that all readings share.
type world struct {
	stores   []store
	pumps    map[string]switching
	exponent float64        // of seeps
	yield    float64        // what a cup catches of what storage gives up
	bias     float64        // of gauges, Pa
	severity float64        // how bad a benign cause is, 0 to 1
	faults   network.Faults // what no part tells, as the simulator has it

	of   int            // its rig
	z    []float64      // the scores it was drawn by: the extra ones, then those of the unknowns
	kept [][]*unitCycle // by view and theory: its cycles, not yet set right by a simulation
}

// A store gives water as pressure falls.
type store struct {
	joint  string
	part   string
	z      float64
	gas    bool
	volume float64 // of gas with no water, m³
	pre    float64 // gauge, Pa
	invN   float64
	c      float64 // of a linear one, m³/Pa
}

// holds is the water in a store at a gauge pressure there, m³.
func (s *store) holds(p float64) float64 {
	if !s.gas {
		return s.c * p
	}
	if p <= s.pre {
		return 0
	}
	const air = float64(unit.Atmosphere)
	r := (s.pre + air) / (p + air)
	if s.invN != 1 {
		r = math.Pow(r, s.invN)
	}
	return s.volume * (1 - r)
}

// switching is a pump's band and how strong it is beside its curve.
type switching struct {
	in, out float64
	scale   float64
}

// Scores beside those of the rig's unknowns.
const (
	zBias = iota
	zSeverity
	zSeep
	zCup
	zAir
	extras
)

// What no part tells and every card leaves open, with what stands for it.
const (
	seepKind    = "kind of seep"
	anySeep     = "a hole, a film or a crack"
	cupSpeed    = "how fast the cup was drawn"
	slowCup     = "slowly, which misses up to a quarter"
	newStretch  = "that of new tube"
	trappedAir  = "trapped air"
	someAir     = "some, nobody knows how much"
	usualSpread = "as told, and the usual ± for it"
)

// worldOf draws one world of a rig: the extra scores come first, those of its
// unknowns after.
func worldOf(r *rigOf, z []float64) (*world, error) {
	parts, err := tolerance.DrawParts(r.rig, r.unknowns, z[extras:])
	if err != nil {
		return nil, err
	}
	w := &world{
		z: z, pumps: map[string]switching{}, bias: z[zBias] * float64(gaugeBias),
		severity: normalCDF(z[zSeverity]), exponent: 0.5 + normalCDF(z[zSeep]),
		// A fast draw yields up to a quarter less; most draw slowly, as asked.
		yield: 1 - 0.25*(1-math.Sqrt(normalCDF(z[zCup]))),
	}
	at := func(joint string) float64 {
		j, _ := r.rig.Joint(joint)
		return float64(j.Z)
	}
	gas := func(part, joint string, v, pre, n float64) {
		if n == 0 {
			n = 1
		}
		w.stores = append(w.stores, store{joint: joint, part: part, z: at(joint), gas: true, volume: v, pre: pre, invN: 1 / n})
	}
	linear := func(part, joint string, c float64) {
		if c > 0 {
			w.stores = append(w.stores, store{joint: joint, part: part, z: at(joint), c: c})
		}
	}
	for _, p := range parts {
		switch p := p.(type) {
		case network.Pump:
			in, out := band(p)
			told, _ := r.rig.Part(p.Name)
			old := told.(network.Pump)
			s := float64(p.Voltage / old.Voltage)
			for k := range p.Curve {
				if old.Curve[k].Flow > 0 { // every point is drawn alike
					s *= float64(p.Curve[k].Flow / old.Curve[k].Flow)
					break
				}
			}
			w.pumps[p.Name] = switching{float64(in), float64(out), s}
		case network.Accumulator:
			gas(p.Name, p.At, float64(p.Volume), float64(p.Precharge), p.Exponent)
		case network.AirPocket:
			gas(p.Name, p.At, float64(p.Volume), 0, p.Exponent)
		case network.Heater:
			if p.Air > 0 {
				gas(p.Name, p.At, float64(p.Air), 0, 1)
			}
			if !p.Tankless && !p.Rigid {
				linear(p.Name, p.At, float64(p.Compliance))
			}
		case network.Filter:
			if p.Air > 0 {
				gas(p.Name, p.To, float64(p.Air), 0, 1)
			}
		case network.Elastic:
			linear(p.Name, p.At, float64(p.Compliance))
		case network.Tube:
			if !p.Rigid {
				linear("", p.From, float64(p.Compliance)/2)
				linear("", p.To, float64(p.Compliance)/2)
			}
		}
	}
	if v := r.air.volume(z[zAir]); v > 0 {
		w.faults = network.Faults{network.TrappedAir{Joint: r.air.joint, Volume: v}}
		gas("", r.air.joint, float64(v), 0, 1)
	}
	return w, nil
}

// shareOfFirst is how much of a pair's flow its first half lets by.
func (w *world) shareOfFirst() float64 { return 0.15 + 0.7*w.severity }

// gaugeBias is shared by all gauges of a card, gaugeSD is each reading's own.
const (
	gaugeBias = 2 * unit.PSI
	gaugeSD   = 0.5 * unit.PSI
	levelSD   = 0.5 * unit.Millimetre
)

// A delivery is a pump's flow against pressure, tabulated.
type delivery [64]float64

const deliveryStep = 2 * float64(unit.PSI)

func deliveryOf(p network.Pump) *delivery {
	c := p.Curve.AtVoltage(p.Voltage)
	if p.Bypass.Opens > 0 { // inside or outside the head, while it runs it goes round
		c = c.WithBypass(p.Bypass.Opens, p.Bypass.Full)
	}
	var d delivery
	for i := range d {
		d[i] = float64(c.Flow(unit.Pressure(float64(i) * deliveryStep)))
	}
	return &d
}

func (d *delivery) at(p float64) float64 {
	x := p / deliveryStep
	if !(x > 0) {
		return d[0]
	}
	i := int(x)
	if i >= len(d)-1 {
		return d[len(d)-1]
	}
	f := x - float64(i)
	return d[i]*(1-f) + d[i+1]*f
}
