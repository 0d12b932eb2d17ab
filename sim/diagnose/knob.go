package diagnose

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// A knob is one thing about the rig that is not known exactly and has a say in
// the size. It is turned by a standard normal score.
type knob struct {
	part, field string // as network.Assumption has them; part is empty for what no file tells
	turn        func(r *draft, z float64)
	value       string // what stands for it, where no assumption of the rig does
}

// A draft is a rig being changed: its parts, and what no part tells.
type draft struct {
	parts    []network.Part
	faults   network.Faults
	exponent float64 // of the seep
	yield    float64 // what a cup catches of what storage gives up
}

// What a value is off, one standard deviation, where a file tells the value and
// no ±. All but the switch's are judgements: common practice, no source.
const (
	untoldSwitch = 2.5 * unit.PSI // a switch's set point is ± 5 psi: common practice, no source
	untoldCharge = 1 * unit.PSI   // a tyre gauge's bias of 2 psi, 95 %
	untoldCurve  = 0.1            // of the flow
	untoldVolume = 0.05           // of the volume
	untoldSpread = 0.35           // of a compliance
)

// leastSpan is the least distance of cut-in from cut-out that is drawn: switches
// have 5 to 20 psi; common practice, no source.
const leastSpan = 5 * unit.PSI

// Drawdown without a gas store: from 2 L of full tube to what one trailer gave,
// 26-fold (owner page: 59 mL; 2.3 mL computed from the wall of 2 L of PEX tube).
const (
	leastDrawdown = 2.3 * unit.Millilitre
	mostDrawdown  = 59 * unit.Millilitre
)

// knobs lists what is uncertain about a rig under a lineup.
func knobs(rig *network.Rig, lineup network.Lineup) []knob {
	var list []knob
	untold := map[[2]string]string{} // widths that stand in for a ± that was not told
	add := func(part, field string, turn func(r *draft, z float64)) {
		list = append(list, knob{part, field, turn, untold[[2]string{part, field}]})
	}
	list = append(list, knob{"", seepKind, func(r *draft, z float64) { r.exponent = 0.5 + distuv.UnitNormal.CDF(z) }, "a hole, a film or a crack"})
	list = append(list, knob{"", cupSpeed, func(r *draft, z float64) {
		// A fast draw yields up to a quarter less; most draw slowly, as asked.
		r.yield = 1 - 0.25*(1-math.Sqrt(distuv.UnitNormal.CDF(z)))
	}, "slowly, which misses up to a quarter"})
	for i, p := range rig.Parts() {
		sd := func(field string, width float64) float64 {
			if s, ok := rig.SD(p.ID(), field); ok {
				return s
			}
			untold[[2]string{p.ID(), field}] = "as told, and the usual ± for it"
			return width
		}
		switch p := p.(type) {
		case network.Pump:
			curve, volts := sd("curve", untoldCurve), sd("voltage", 0)/float64(p.Voltage)
			add(p.Name, "curve", func(r *draft, z float64) {
				q := r.parts[i].(network.Pump)
				q.Curve = append(hydraulics.PumpCurve(nil), q.Curve...)
				for k := range q.Curve {
					q.Curve[k].Flow *= unit.Flow(math.Exp(z * curve))
				}
				r.parts[i] = q
			})
			if volts > 0 {
				add(p.Name, "voltage", func(r *draft, z float64) {
					q := r.parts[i].(network.Pump)
					q.Voltage *= unit.Voltage(math.Exp(z * volts))
					r.parts[i] = q
				})
			}
			if p.Hold != nil {
				for _, k := range holdKnobs(i, p, sd) {
					add(k.part, k.field, k.turn)
				}
				continue
			}
			in, out := sd("cut_in", float64(untoldSwitch)), sd("cut_out", float64(untoldSwitch))
			span := min(leastSpan, p.CutOut-p.CutIn)
			add(p.Name, "cut_out", func(r *draft, z float64) {
				q := r.parts[i].(network.Pump)
				q.CutOut += unit.Pressure(z * out)
				q.CutIn = min(q.CutIn, q.CutOut-span)
				r.parts[i] = q
			})
			add(p.Name, "cut_in", func(r *draft, z float64) {
				q := r.parts[i].(network.Pump)
				q.CutIn = min(p.CutIn+unit.Pressure(z*in), q.CutOut-span)
				r.parts[i] = q
			})
		case network.Accumulator:
			vol, charge, n := sd("volume", untoldVolume*float64(p.Volume))/float64(p.Volume), sd("precharge", float64(untoldCharge)), sd("exponent", 0)
			add(p.Name, "volume", func(r *draft, z float64) {
				q := r.parts[i].(network.Accumulator)
				q.Volume *= unit.Volume(math.Exp(z * vol))
				r.parts[i] = q
			})
			add(p.Name, "precharge", func(r *draft, z float64) {
				q := r.parts[i].(network.Accumulator)
				q.Precharge = max(q.Precharge+unit.Pressure(z*charge), 0.1*unit.PSI)
				r.parts[i] = q
			})
			if n > 0 {
				add(p.Name, "exponent", func(r *draft, z float64) {
					q := r.parts[i].(network.Accumulator)
					q.Exponent = min(max(q.Exponent+z*n, 1), 1.4)
					r.parts[i] = q
				})
			}
		case network.AirPocket:
			vol := sd("volume", untoldSpread*float64(p.Volume)) / float64(p.Volume)
			add(p.Name, "volume", func(r *draft, z float64) {
				q := r.parts[i].(network.AirPocket)
				q.Volume *= unit.Volume(math.Exp(z * vol))
				r.parts[i] = q
			})
		case network.Heater:
			if p.Air > 0 {
				air := sd("air", untoldSpread*float64(p.Air)) / float64(p.Air)
				add(p.Name, "air", func(r *draft, z float64) {
					q := r.parts[i].(network.Heater)
					q.Air *= unit.Volume(math.Exp(z * air))
					r.parts[i] = q
				})
			}
			if p.Compliance > 0 {
				c := sd("compliance", untoldSpread*float64(p.Compliance)) / float64(p.Compliance)
				add(p.Name, "compliance", func(r *draft, z float64) {
					q := r.parts[i].(network.Heater)
					q.Compliance *= unit.Compliance(math.Exp(z * c))
					r.parts[i] = q
				})
			}
		case network.Elastic:
			if p.Compliance > 0 {
				c := sd("compliance", 0) / float64(p.Compliance)
				add(p.Name, "compliance", func(r *draft, z float64) {
					q := r.parts[i].(network.Elastic)
					q.Compliance *= unit.Compliance(math.Exp(z * c))
					r.parts[i] = q
				})
			}
		}
	}
	list = append(list, knob{"", tubeStretch, func(r *draft, z float64) {
		for i, p := range r.parts {
			if t, ok := p.(network.Tube); ok {
				t.Compliance *= unit.Compliance(math.Exp(z * untoldSpread))
				r.parts[i] = t
			}
		}
	}, "that of new tube"})
	return list
}

// Fields of knobs that no rig file has.
const (
	seepKind    = "kind of seep"
	cupSpeed    = "how fast the cup was drawn"
	tubeStretch = "stretch of the lines"
	trappedAir  = "trapped air"
)

func holdKnobs(i int, p network.Pump, sd func(string, float64) float64) []knob {
	set, start := sd("hold.set", float64(untoldSwitch)), sd("hold.start", float64(untoldSwitch))
	span := min(leastSpan, p.Hold.Set-p.Hold.Start)
	return []knob{{part: p.Name, field: "hold.set", turn: func(r *draft, z float64) {
		q, h := r.parts[i].(network.Pump), *r.parts[i].(network.Pump).Hold
		h.Set += unit.Pressure(z * set)
		h.Start = min(h.Start, h.Set-span)
		q.Hold = &h
		r.parts[i] = q
	}}, {part: p.Name, field: "hold.start", turn: func(r *draft, z float64) {
		q, h := r.parts[i].(network.Pump), *r.parts[i].(network.Pump).Hold
		h.Start = min(p.Hold.Start+unit.Pressure(z*start), h.Set-span)
		q.Hold = &h
		r.parts[i] = q
	}}}
}

// airKnob stands for the air that may be trapped where nothing tells of a gas
// store: enough, at a joint, that the drawdown lies within what vehicles have.
// tight is what the rig gives up without it, between cut-out and cut-in.
func airKnob(joint string, tight unit.Volume, in, out unit.Pressure) knob {
	const air = float64(unit.Atmosphere)
	low := math.Max(float64(tight), float64(leastDrawdown))
	high := math.Max(float64(mostDrawdown), 2*low)
	mid, sd := math.Log(low*high)/2, math.Log(high/low)/4
	perAir := air/(float64(in)+air) - air/(float64(out)+air) // drawdown of a volume of air, Boyle
	return knob{"", trappedAir, func(r *draft, z float64) {
		if more := math.Exp(mid+z*sd) - float64(tight); more > 0 && perAir > 0 {
			r.faults = append(r.faults, network.TrappedAir{Joint: joint, Volume: unit.Volume(more / perAir)})
		}
	}, "some, nobody knows how much"}
}

// turned is the rig with its knobs turned by the scores.
func turned(rig *network.Rig, list []knob, z []float64) (*network.Rig, *draft, error) {
	r := &draft{parts: rig.Parts(), exponent: 1, yield: 1}
	for i, k := range list {
		k.turn(r, z[i])
	}
	var items []network.Item
	for _, p := range r.parts {
		items = append(items, p)
	}
	for _, j := range rig.Joints() {
		items = append(items, j)
	}
	changed, err := network.New(rig.Name(), items...)
	return changed, r, err
}

// storesGas reports whether a store with gas in it stands open to a pump that
// could be the one that starts.
func storesGas(rig *network.Rig, lineup network.Lineup) bool {
	for _, s := range rig.Sections(lineup) {
		if len(s.Pumps) == 0 {
			continue
		}
		for _, name := range s.Gas {
			if p, _ := rig.Part(name); p != nil && p.Kind() != "filter" {
				return true
			}
		}
	}
	return false
}
