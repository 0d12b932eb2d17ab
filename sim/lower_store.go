package sim

import (
	"math"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/internal/kernel"
)

// store adds a store at a node, or at a place beside it where the node has one.
func (b *builder) store(n int32, part int32, st kernel.Store) int32 {
	joint := int32(-1)
	if int(n) < len(b.model.joints) {
		joint = n
	}
	if b.storeAt[n] {
		at := b.place(n)
		b.path(n, at, -1, &kernel.Law{Lam: ideal})
		n = at
	}
	if n >= 0 {
		b.storeAt[n] = true
	}
	st.Node = n
	b.sys.Stores = append(b.sys.Stores, st)
	b.stores = append(b.stores, storeOf{part, joint, st.Ghost})
	head := 0.0
	if n >= 0 {
		head = b.sys.Nodes[n].Start
	}
	b.heads = append(b.heads, head)
	return int32(len(b.sys.Stores) - 1)
}

// fills notes that what the part takes at a joint is what its store gains.
func (b *builder) fills(joint string, store int32) {
	if b.part >= 0 {
		b.ports[b.part] = append(b.ports[b.part], portFlow{joint, nil, store})
	}
}

// gas adds trapped gas at a node: volume at the gauge pressure charge, exponent n.
func (b *builder) gas(n int32, volume, charge, exponent float64, device int32, part int32) int32 {
	return b.store(n, part, kernel.Store{
		Kind: kernel.Gas, GZ: b.gz(n) - b.atm, V0: volume,
		K: math.Pow(charge+b.atm, 1/exponent) * volume, InvN: 1 / exponent, Device: device,
	})
}

// lump adds a linear store of some compliance at a node.
func (b *builder) lump(n int32, c float64, part int32, creep []kernel.Creep, warm kernel.Ramp) int32 {
	return b.store(n, part, kernel.Store{Kind: kernel.Linear, GZ: b.gz(n), C: c, Device: -1, Creep: creep, Warm: warm})
}

func (b *builder) elastic(p network.Elastic) {
	b.fills(p.At, b.lump(b.joint(p.At), float64(p.Compliance), b.part, nil, kernel.Ramp{}))
}

func (b *builder) airPocket(p network.AirPocket) {
	b.fills(p.At, b.gas(b.joint(p.At), float64(p.Volume), 0, exponent(p.Exponent), -1, b.part))
}

func exponent(n float64) float64 {
	if n == 0 {
		return 1
	}
	return n
}

// states of an accumulator's device.
const (
	gasEmpty = iota
	gasHolds
)

// An accumulator takes part while it holds water.
func (b *builder) accumulator(p network.Accumulator) {
	n := b.joint(p.At)
	pre := p.Precharge
	if lost, ok := b.charge[p.Name]; ok {
		pre = lost
	}
	d := int32(len(b.sys.Devices))
	s := b.gas(n, float64(p.Volume), float64(pre), exponent(p.Exponent), d, b.part)
	st := &b.sys.Stores[s]
	st.Idle = 1 << gasEmpty
	start := uint8(gasHolds)
	if b.heads[s] <= float64(pre)+b.gz(n) {
		start = gasEmpty
	}
	b.device(p.Name, start,
		kernel.State{Watches: []kernel.Watch{{Value: kernel.Head, I: n, Ref: float64(pre) + b.gz(n), Sign: 1, To: gasHolds, Is: emitAccumulatorFills}}},
		kernel.State{Watches: []kernel.Watch{{Value: kernel.Stored, S: s, Sign: -1, To: gasEmpty, Is: emitAccumulatorEmpty}}},
	)
	b.fills(p.At, s)
}

// rigidHeater is the compliance of a rigid heater that is warmed, m³/Pa: the ideal
// is none, but its volume has to hold the head to more than round-off, and this is
// a hundredth and less of what its water gives way.
const rigidHeater = 1e-14

// A heater is stiff water that warming pushes out; a cushion of air is a store
// of its own beside it.
func (b *builder) heater(p network.Heater) {
	n := b.joint(p.At)
	if p.Air > 0 {
		b.gas(n, float64(p.Air), 0, 1, -1, -1)
	}
	if p.Tankless || p.Rigid && b.heat[p.Name].T == nil {
		b.port(p.At)
		return
	}
	c := float64(p.Compliance)
	if p.Rigid {
		c = rigidHeater
	}
	b.fills(p.At, b.lump(n, c, b.part, nil, b.heat[p.Name]))
}

// states of a tank's devices.
const (
	tankRoom = iota
	tankFull
	tankBrim // it was full, and no more than a film is missing
)
const (
	portCovered = iota
	portShut    // above the water, nothing comes in
	portOpen    // above the water, water falls in
)

// rewet is how far the level must stand above an outlet that ran dry before it
// gives water again.
const rewet = 10 * unit.Millimetre

// film is how far the level must rise above any other port that stood clear before
// water runs out by it, and how high water must stand in a port that was shut before
// it falls in: an edge holds back as much, and a level that hovers at a port would
// open and shut it without end. By as much a full tank must have gone down before it is
// told of as full again.
const film = 0.1 * unit.Millimetre

// A tank is a store whose head is its level. Each port is joined to it while
// under water; above the water it is an end that lets water in and none out.
func (b *builder) tank(p network.Tank) {
	area := float64(p.Capacity) / float64(p.Height)
	node := int32(len(b.sys.Nodes))
	floor := b.rho * gravity * float64(p.Floor)
	vol := float64(p.Capacity) / 2
	if v, told := b.opts.Start.Tanks[p.Name]; told {
		vol = math.Min(math.Max(float64(v), 0), float64(p.Capacity))
	}
	head := floor + b.rho*gravity*vol/area
	b.sys.Nodes = append(b.sys.Nodes, kernel.Node{GZ: floor, Start: head})
	full := int32(len(b.sys.Devices))
	s := b.store(node, b.part, kernel.Store{
		Kind: kernel.Linear, GZ: floor, C: area / (b.rho * gravity), Device: full, Full: 1 << tankFull, Tank: true,
	})
	b.tanks[p.Name] = s
	capacity := float64(p.Capacity)
	start := uint8(tankRoom)
	if vol >= capacity {
		start = tankFull
	}
	b.device(p.Name, start,
		kernel.State{Watches: []kernel.Watch{{Value: kernel.Stored, S: s, Ref: capacity, Sign: 1, To: tankFull, Is: emitTankFull}}},
		kernel.State{Watches: []kernel.Watch{{Value: kernel.Gain, S: s, Sign: -1, To: tankBrim}}},
		kernel.State{Watches: []kernel.Watch{
			{Value: kernel.Stored, S: s, Ref: capacity, Sign: 1, To: tankFull},
			{Value: kernel.Stored, S: s, Ref: capacity - math.Min(float64(film), float64(p.Height)/2)*area, Sign: -1, To: tankRoom},
		}},
	)
	for i, joint := range p.Ports {
		n := b.joint(joint)
		b.storeAt[n] = true                      // while under water it is one with the tank's own place
		at := (b.z[n] - float64(p.Floor)) * area // volume at which the water reaches it
		least, again := at, at+math.Min(float64(film), float64(p.Height)/2)*area
		var empty, wet kernel.Emit
		if i == 0 {
			least += 1e-6 * math.Max(capacity-at, 0)
			again = at + math.Min(float64(rewet), float64(p.Height)/2)*area
			empty, wet = emitTankEmpty, emitTankWet
		}
		d := int32(len(b.sys.Devices))
		b.path(n, node, d, &kernel.Law{Form: kernel.Joined})
		in := b.end(n, b.gz(n), s, d, nil, nil, &kernel.Law{Lam: ideal})
		states := []kernel.State{
			{Watches: []kernel.Watch{{Value: kernel.Stored, S: s, Ref: least, Lam: least - at, Sign: -1, To: portShut, Is: empty, Closing: true}}},
			{Watches: []kernel.Watch{{Value: kernel.Head, I: n, Ref: b.gz(n) + b.rho*gravity*float64(film), Sign: 1, To: portOpen}}},
			{Watches: []kernel.Watch{{Value: kernel.Flow, P: in, Sign: -1, To: portShut}}},
		}
		for _, up := range []int{portShut, portOpen} {
			states[up].Watches = append(states[up].Watches,
				kernel.Watch{Value: kernel.Stored, S: s, Ref: again, Sign: 1, To: portCovered, Is: wet})
		}
		first := uint8(portCovered)
		if vol <= least {
			first = portShut
		}
		b.device(p.Name, first, states...)
		b.port(joint, signed{in, 1})
	}
}

// outletDevice is the device of a tank's first port: the one after the tank's own.
func (m *Model) outletDevice(b *builder, tank string) int32 {
	return b.sys.Stores[b.tanks[tank]].Device + 1
}

// A waste tank takes what runs into it and counts it.
func (b *builder) wasteTank(p network.WasteTank) {
	b.sys.Stores = append(b.sys.Stores, kernel.Store{Node: kernel.Out, Kind: kernel.Linear, C: 1, Device: -1, Tank: true})
	b.stores = append(b.stores, storeOf{b.part, -1, false})
	b.heads = append(b.heads, float64(b.opts.Start.Tanks[p.Name]))
	b.tanks[p.Name] = int32(len(b.sys.Stores) - 1)
}

// ghostCompliance stands where nothing stores water, so that a section keeps a
// pressure at all, m³/Pa.
const ghostCompliance = 1e-18

// lumps adds the stretch of tubes.
func (b *builder) lumps() {
	for _, r := range b.regions.all {
		if r.tank {
			continue
		}
		for _, l := range r.lumps {
			var creep []kernel.Creep
			if b.opts.Creep {
				creep = l.creep
			}
			b.lump(l.joint, l.compliance, -1, creep, kernel.Ramp{})
		}
	}
}

// ghosts gives each region that stores nothing a stand-in.
func (b *builder) ghosts() {
	stored := make([]bool, len(b.regions.all))
	for i := range b.sys.Stores {
		st := &b.sys.Stores[i]
		if st.Node < 0 || st.Idle != 0 {
			continue
		}
		if n := b.jointOf(st.Node); n >= 0 {
			stored[b.regions.of[n]] = true
		}
	}
	for i, r := range b.regions.all {
		if stored[i] {
			continue
		}
		n := r.joints[0]
		b.store(n, -1, kernel.Store{Kind: kernel.Linear, GZ: b.gz(n), C: ghostCompliance, Device: -1, Ghost: true})
	}
}

// jointOf is the joint a node stands at or beside, -1 for a tank's own.
func (b *builder) jointOf(n int32) int32 {
	if int(n) < len(b.model.joints) {
		return n
	}
	for i := range b.sys.Paths {
		if p := &b.sys.Paths[i]; p.B == n && p.Device < 0 {
			return b.jointOf(p.A)
		}
	}
	return -1
}

// ramp turns a heater's temperatures into what its water takes up more or less at
// a given pressure, relative to the start: −Volume·(expansion of water less that
// of the shell).
func ramp(p network.Heater, t []float64, temps []unit.Temperature) kernel.Ramp {
	const pieces = 16
	var r kernel.Ramp
	grown := func(T unit.Temperature) float64 {
		switch {
		case p.Expansion < 0:
			return 0
		case p.Expansion > 0:
			return float64(p.Volume) * p.Expansion * float64(T-temps[0])
		}
		// Water by its density, an aluminium shell by 3·2.3e-5/K (Lange's
		// Handbook of Chemistry, from memory).
		const shell = 3 * 2.3e-5
		ratio := float64(hydraulics.WaterAt(temps[0]).Density) / float64(hydraulics.WaterAt(T).Density)
		return float64(p.Volume) * (ratio - 1 - shell*float64(T-temps[0]))
	}
	for i := range t {
		n := 1
		if i > 0 && p.Expansion == 0 {
			n = pieces
		}
		for k := 1; k <= n; k++ {
			f := float64(k) / float64(n)
			if i == 0 {
				r.T, r.V = append(r.T, t[0]), append(r.V, 0)
				continue
			}
			T := temps[i-1] + unit.Temperature(f)*(temps[i]-temps[i-1])
			r.T = append(r.T, t[i-1]+f*(t[i]-t[i-1]))
			r.V = append(r.V, -grown(T))
		}
	}
	return r
}
