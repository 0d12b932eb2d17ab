package rigs

import (
	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// lineup sets some of what a hand can move.
func (g *maker) lineup(rig *network.Rig) network.Lineup {
	l := network.Lineup{}
	for _, p := range rig.Parts() {
		if g.chance(0.4) {
			if s, ok := g.setting(p); ok {
				l[p.ID()] = s
			}
		}
	}
	return l
}

func (g *maker) setting(p network.Part) (network.Setting, bool) {
	valve := func() (network.Setting, bool) {
		switch g.IntN(3) {
		case 0:
			return network.Shut(), true
		case 1:
			return network.Open(1), true
		}
		return network.Open(g.between(0.01, 1)), true
	}
	switch p := p.(type) {
	case network.Shutoff, network.Fixture, network.Appliance:
		return valve()
	case network.Drain:
		if g.chance(0.7) {
			return network.Shut(), true
		}
		return valve()
	case network.Mixer:
		if g.chance(0.4) {
			return network.At([]string{"hot", "cold"}[g.IntN(2)]), true
		}
		return valve()
	case network.Pump:
		if g.chance(0.3) {
			return network.Off(), true
		}
		return network.On(), true
	case network.Hookup:
		return []network.Setting{network.On(), network.On(), network.Off(), network.Capped(), network.ShutAtSpigot()}[g.IntN(5)], true
	case network.Selector:
		return network.At(p.Positions[g.IntN(len(p.Positions))].Name), true
	}
	return network.Setting{}, false
}

// faults breaks some of what can break.
func (g *maker) faults(rig *network.Rig) network.Faults {
	var all network.Faults
	seep := func() hydraulics.Seep {
		return hydraulics.Seep{Ref: unit.Flow(g.around(1e-10, 2e-5)), At: 45 * unit.PSI, Exp: []float64{0, 0.5, 0.6, 1, 1.5}[g.IntN(5)]}
	}
	for _, s := range rig.Suspects(nil) {
		if g.chance(0.25) && s.Seep.Part != "" {
			f := s.Seep
			f.Seep = seep()
			all = append(all, f)
		}
	}
	for _, p := range rig.Parts() {
		if !g.chance(0.2) {
			continue
		}
		switch p := p.(type) {
		case network.Accumulator:
			all = append(all, network.LostCharge{Part: p.Name, Precharge: p.Precharge * unit.Pressure(g.Float64())})
		case network.Pump:
			if p.Hold == nil && g.chance(0.5) {
				all = append(all, network.DriftedSwitch{Part: p.Name, CutIn: p.CutIn * unit.Pressure(g.between(0.7, 1))})
			} else {
				all = append(all, network.SlowPump{Part: p.Name, Speed: g.between(0.3, 1.2)})
			}
		case network.Tube:
			if g.chance(0.3) {
				all = append(all, network.Seep{Part: p.Name, Seep: seep()})
			}
		}
	}
	for _, j := range rig.Joints() {
		if g.chance(0.03) {
			all = append(all, network.TrappedAir{Joint: j.Name, Volume: unit.Volume(g.around(1e-6, 5e-4))})
		}
		if g.chance(0.03) {
			all = append(all, network.Seep{Part: j.Name, Seep: seep()})
		}
	}
	kept := all[:0]
	for _, f := range all {
		if rig.CheckFaults(network.Faults{f}) == nil {
			kept = append(kept, f)
		}
	}
	return kept
}

// options draws a start, a schedule and what else there is to say.
func (g *maker) options(rig *network.Rig) sim.Options {
	o := sim.Options{Until: g.seconds(5, 120), Creep: g.chance(0.2), MaxSteps: 60_000, // three starts a second for two minutes, some 170 steps each; more is a finding, chatter
		Start: sim.Start{Tanks: map[string]unit.Volume{}, Pressures: map[string]unit.Pressure{}, Pumps: map[string]bool{}, Temperatures: map[string]unit.Temperature{}}}
	if g.chance(0.2) {
		o.Altitude = unit.Length(g.between(0, 3000))
	}
	for _, p := range rig.Parts() {
		switch p := p.(type) {
		case network.Tank:
			o.Start.Tanks[p.Name] = p.Capacity * unit.Volume([]float64{0, 0.003, g.Float64(), g.Float64(), g.Float64(), 0.999, 1}[g.IntN(7)])
		case network.Pump:
			if g.chance(0.3) {
				o.Start.Pumps[p.Name] = g.chance(0.5)
			}
		case network.Heater:
			if !g.chance(0.4) {
				continue
			}
			o.Start.Temperatures[p.Name] = unit.Celsius(g.between(5, 60))
			o.Schedule = append(o.Schedule, sim.Change{At: g.seconds(0, 100), Heat: map[string]unit.Temperature{p.Name: unit.Celsius(g.between(5, 70))}})
		case network.HandPump:
			for range g.IntN(4) {
				o.Schedule = append(o.Schedule, sim.Change{At: g.seconds(0, 100), Stroke: []string{p.Name}})
			}
		}
	}
	for _, j := range rig.Joints() {
		if g.chance(0.1) {
			o.Start.Pressures[j.Name] = unit.Pressure(g.between(-20e3, 500e3))
		}
	}
	parts := rig.Parts()
	for range g.IntN(5) {
		if _, ok := g.setting(parts[g.IntN(len(parts))]); ok {
			p := parts[g.IntN(len(parts))]
			if s, ok := g.setting(p); ok {
				o.Schedule = append(o.Schedule, sim.Change{At: g.seconds(0, 100), Lineup: network.Lineup{p.ID(): s}})
			}
		}
	}
	for range g.IntN(3) {
		o.Samples = append(o.Samples, g.seconds(0, 100))
	}
	return o
}
