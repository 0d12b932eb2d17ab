package sim

import (
	"fmt"
	"math"
	"sort"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/internal/kernel"
)

// A lowered is a rig under one lineup with its faults as the kernel takes it, and
// the way back: which paths and stores are whose.
type lowered struct {
	sys    *kernel.System
	heads  []float64        // start head by store
	ports  [][]portFlow     // by part, by port
	stores []storeOf        // by store
	parts  []network.Part   // in order of name
	pumps  []pumpOf         // in order of name
	joints map[string]int32 // node of each joint
	tanks  map[string]int32 // store of each tank and waste tank
	ends   []endOf          // paths that lead out of the system, or into it
}

// portFlow is the flow into a part at one of its ports, as signed paths, or what
// its store gains.
type portFlow struct {
	joint string
	paths []signed
	store int32 // -1: none
}

type signed struct {
	path int32
	sign float64
}

type storeOf struct {
	part  int32 // -1: the stretch of tubes
	joint int32 // where it is; -1: a tank, which is a place of its own
	ghost bool
}

type endOf struct {
	path int32
	part int32
}

// pumpOf is what the record wants to know of a pump.
type pumpOf struct {
	part   int32
	device int32
	path   int32
	outlet int32 // device of the tank port it draws from, -1: not known
	curve  hydraulics.PumpCurve
}

// A builder lowers one rig under one lineup. Its output's shape (nodes, paths,
// stores, devices and their order) depends on rig and faults alone, so that a
// simulation can go from one lineup to the next.
type builder struct {
	lowered
	model  *Model
	rig    *network.Rig
	lineup network.Lineup
	opts   *Options
	water  hydraulics.Water
	rho    float64
	nu     float64
	atm    float64

	laws  []*kernel.Law // room of all paths' laws
	flows []signed      // … and of all ports' paths

	part     int32 // the part being lowered
	z        []float64
	storeAt  map[int32]bool
	seeps    map[string][]network.Seep
	charge   map[string]unit.Pressure
	drift    map[string]network.DriftedSwitch
	speed    map[string]float64
	stroking map[string]bool
	heat     map[string]kernel.Ramp
	start    startHeads
	regions  *regions
}

const gravity = hydraulics.Gravity

// ideal resistance: a way that is as good as open, Pa·s/m³. At 1e-4 m³/s it loses
// a ten-thousandth of a pascal.
const ideal = 1.0

// refFlow is the flow at which a quadratic law's small linear part is worth
// 1e-12 of it, m³/s.
const refFlow = 1e-4

// lower makes the system of a rig under a lineup. The faults and options have
// been checked.
func (m *Model) lower(lineup network.Lineup, faults network.Faults, opts *Options, stroking map[string]bool, heat map[string]kernel.Ramp) *lowered {
	b := &builder{
		model: m, rig: m.rig, lineup: lineup, opts: opts, stroking: stroking, heat: heat,
		storeAt: map[int32]bool{}, regions: m.regions,
		seeps: map[string][]network.Seep{}, charge: map[string]unit.Pressure{},
		drift: map[string]network.DriftedSwitch{}, speed: map[string]float64{},
	}
	b.water = opts.water()
	b.rho = float64(b.water.Density)
	b.nu = float64(b.water.Viscosity) / b.rho
	b.atm = float64(hydraulics.AirPressure(opts.Altitude))
	b.sys = &kernel.System{}
	b.parts = m.parts
	b.ports = make([][]portFlow, len(m.parts))
	two := make([]portFlow, 2*len(m.parts)) // most parts have no more ports
	for i := range b.ports {
		b.ports[i] = two[2*i : 2*i : 2*i+2]
	}
	b.joints = m.jointAt
	b.tanks = map[string]int32{}
	b.sys.Nodes = make([]kernel.Node, len(m.joints), len(m.joints)+8)
	b.z = make([]float64, len(m.joints))
	for i, j := range m.joints {
		b.z[i] = float64(j.Z)
		b.sys.Nodes[i].GZ = b.rho * gravity * float64(j.Z)
	}
	var trapped []network.TrappedAir
	for _, f := range faults {
		switch f := f.(type) {
		case network.Seep:
			b.seeps[f.Part] = append(b.seeps[f.Part], f)
		case network.LostCharge:
			b.charge[f.Part] = f.Precharge
		case network.DriftedSwitch:
			b.drift[f.Part] = f
		case network.SlowPump:
			b.speed[f.Part] = f.Speed
		case network.TrappedAir:
			trapped = append(trapped, f)
		}
	}
	b.start = b.startHeads()
	for i := range b.sys.Nodes {
		b.sys.Nodes[i].Start = b.start.head(int32(i))
	}
	// Waste tanks and tanks first: other parts run into them.
	for pass := 0; pass < 2; pass++ {
		for i, p := range m.parts {
			_, isTank := p.(network.Tank)
			_, isWaste := p.(network.WasteTank)
			if (isTank || isWaste) != (pass == 0) {
				continue
			}
			b.part = int32(i)
			b.lowerPart(p)
		}
	}
	b.part = -1
	for _, f := range trapped {
		b.gas(b.joint(f.Joint), float64(f.Volume), 0, 1, -1, -1)
	}
	for _, j := range m.joints {
		for _, s := range b.seeps[j.Name] {
			if _, isPart := m.partAt[j.Name]; !isPart {
				b.weep(j.Name, b.joint(j.Name), s)
			}
		}
	}
	b.lumps()
	b.ghosts()
	b.sortDevices()
	b.still()
	return &b.lowered
}

// unfelt is a quadratic loss too small to be one, Pa·s²/m⁶: where it would be at rest is no
// number.
const unfelt = 1e-30

// still says how closely quadratic laws are kept to where flow dies away.
func (b *builder) still() {
	still := 1e-3 // Pa
	if b.opts.Tolerance == Fine {
		still = 1e-6
	}
	for i := range b.sys.Paths {
		for _, l := range b.sys.Paths[i].Laws {
			if l != nil && l.Kap > unfelt {
				l.Still = still
			}
		}
	}
}

// lowerPart hands the part to its kind's own lowering.
func (b *builder) lowerPart(p network.Part) {
	switch p := p.(type) {
	case network.Tube:
		b.tube(p)
	case network.Shutoff:
		b.shutoff(p)
	case network.Selector:
		b.selector(p)
	case network.Check:
		b.check(p)
	case network.Mixer:
		b.mixer(p)
	case network.Regulator:
		b.regulator(p)
	case network.Strainer:
		b.screen(p.ID(), p.From, p.To, p.Drop, p.At)
	case network.Filter:
		b.filter(p)
	case network.Pump:
		b.pump(p)
	case network.HandPump:
		b.handPump(p)
	case network.Tank:
		b.tank(p)
	case network.WasteTank:
		b.wasteTank(p)
	case network.Accumulator:
		b.accumulator(p)
	case network.AirPocket:
		b.airPocket(p)
	case network.Heater:
		b.heater(p)
	case network.Elastic:
		b.elastic(p)
	case network.Fixture:
		b.fixture(p)
	case network.Appliance:
		b.appliance(p)
	case network.Hookup:
		b.hookup(p)
	case network.Drain:
		b.drain(p)
	case network.ReliefValve:
		b.relief(p)
	case network.VacuumBreaker:
		b.vacuumBreaker(p)
	default:
		panic(fmt.Sprintf("sim: no lowering for a %s", p.Kind()))
	}
}

// joint returns the node of a joint.
func (b *builder) joint(name string) int32 { return b.joints[name] }

// gz returns ρgz of a node.
func (b *builder) gz(n int32) float64 { return b.sys.Nodes[n].GZ }

// place adds a node inside a part, at the elevation and start of joint n.
func (b *builder) place(n int32) int32 {
	b.sys.Nodes = append(b.sys.Nodes, b.sys.Nodes[n])
	return int32(len(b.sys.Nodes) - 1)
}

// path adds a path between two nodes of the part being lowered.
func (b *builder) path(from, to int32, device int32, laws ...*kernel.Law) int32 {
	b.sys.Paths = append(b.sys.Paths, kernel.Path{A: from, B: to, Into: -1, Device: device, Laws: kept(&b.laws, laws)})
	return int32(len(b.sys.Paths) - 1)
}

// end adds a path from a node to an end of known head.
func (b *builder) end(from int32, head float64, into, device int32, laws ...*kernel.Law) int32 {
	b.sys.Paths = append(b.sys.Paths, kernel.Path{A: from, B: kernel.Out, XB: head, Into: into, Device: device, Laws: kept(&b.laws, laws)})
	i := int32(len(b.sys.Paths) - 1)
	if into < 0 {
		b.ends = append(b.ends, endOf{i, b.part})
	}
	return i
}

// port notes the flow into the part being lowered at a joint.
func (b *builder) port(joint string, paths ...signed) {
	if b.part >= 0 {
		b.ports[b.part] = append(b.ports[b.part], portFlow{joint, kept(&b.flows, paths), -1})
	}
}

// kept copies a few values into a room that many such share.
func kept[T any](room *[]T, values []T) []T {
	if len(*room)+len(values) > cap(*room) {
		*room = make([]T, 0, 64+len(values))
	}
	at := len(*room)
	*room = append(*room, values...)
	return (*room)[at:len(*room):len(*room)]
}

// between notes the two ports of a path from one joint to another.
func (b *builder) between(from, to string, path ...int32) {
	var room [8]signed
	each := func(sign float64) []signed {
		s := room[:0]
		for _, p := range path {
			s = append(s, signed{p, sign})
		}
		return s
	}
	b.port(from, each(1)...)
	b.port(to, each(-1)...)
}

// device adds a device under the name of its part.
func (b *builder) device(name string, start uint8, states ...kernel.State) int32 {
	b.sys.Devices = append(b.sys.Devices, kernel.Device{Name: name, Start: start, States: states})
	return int32(len(b.sys.Devices) - 1)
}

// sortDevices puts the devices in order of part, and those of one part in the
// order they were made, so that events at one instant come by part name.
func (b *builder) sortDevices() {
	n := len(b.sys.Devices)
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool {
		return b.sys.Devices[order[i]].Name < b.sys.Devices[order[j]].Name
	})
	at := make([]int32, n)
	sorted := make([]kernel.Device, n)
	for i, o := range order {
		at[o] = int32(i)
		sorted[i] = b.sys.Devices[o]
	}
	b.sys.Devices = sorted
	move := func(d *int32) {
		if *d >= 0 {
			*d = at[*d]
		}
	}
	for i := range b.sys.Paths {
		move(&b.sys.Paths[i].Device)
	}
	for i := range b.sys.Stores {
		move(&b.sys.Stores[i].Device)
		if b.sys.Stores[i].Pour.Dry != 0 {
			move(&b.sys.Stores[i].Pour.Port)
		}
	}
	for i := range b.pumps {
		move(&b.pumps[i].device)
		move(&b.pumps[i].outlet)
	}
}

// quadratic is the law d = κ·q|q|.
func quadratic(kappa float64) *kernel.Law {
	return &kernel.Law{Kap: kappa, Lam: 1e-12*kappa*refFlow + 1e-9}
}

// opened is the law of a valve open to a fraction of its travel: κ/opening².
func opened(kappa, opening float64) *kernel.Law {
	if opening <= 0 {
		return nil
	}
	return quadratic(kappa / (opening * opening))
}

// kappa of a valve by its Cv or, without one, by K on its bore.
func (b *builder) kappa(bore unit.Length, k, cv float64) float64 {
	if cv > 0 {
		return hydraulics.KvFromCv(cv).Quadratic(b.water.Density)
	}
	return hydraulics.LossK(k).Quadratic(bore, b.water.Density)
}

// seepLaw is the law of a seep, odd in the drop; nil where it is tight.
func seepLaw(s hydraulics.Seep) *kernel.Law {
	if s.Tight() {
		return nil
	}
	at, n, ref := float64(s.At), s.Exp, float64(s.Ref)
	if at == 0 {
		at = float64(45 * unit.PSI)
	}
	if n == 0 {
		n = 0.5
	}
	switch n {
	case 0.5:
		return &kernel.Law{Kap: at / (ref * ref), Lam: 1e-12 * at / ref}
	case 1:
		return &kernel.Law{Lam: at / ref}
	}
	return &kernel.Law{Pow: at / math.Pow(ref, 1/n), Inv: 1 / n, QLin: 1e-6 * ref}
}

// seepOf is the seep of a part with one way to seep, all its faults together the
// first; tight where there is none.
func (b *builder) seepOf(part string) *kernel.Law {
	for _, s := range b.seeps[part] {
		if l := seepLaw(s.Seep); l != nil {
			return l
		}
	}
	return nil
}

// side states of a one-way way.
const (
	sideShut = iota
	sideOpen
	sideBack
)

// always fires at once: it moves a device out of a state that the lineup has
// taken away.
func always(to uint8) kernel.Watch {
	return kernel.Watch{Value: kernel.Always, Sign: 1, To: to}
}

// sides returns the three states of a way from node a to node b, or to an end at
// head xb where b is Out: shut, open forward beyond the cracking drop, seeping
// backward. Laws that are nil take their state away.
func sides(a, b int32, xb, crack float64, path int32, forward, back bool, opens, shuts kernel.Emit) []kernel.State {
	drop := func(sign, ref float64, to uint8, is kernel.Emit) kernel.Watch {
		if b == kernel.Out {
			return kernel.Watch{Value: kernel.Head, I: a, Ref: xb + ref, Sign: sign, To: to, Is: is}
		}
		return kernel.Watch{Value: kernel.Drop, I: a, J: b, Ref: ref, Sign: sign, To: to, Is: is}
	}
	all := make([]kernel.Watch, 4) // two, one and one
	shut, open, rev := kernel.State{Watches: all[0:0:2]}, kernel.State{Watches: all[2:2:3]}, kernel.State{Watches: all[3:3:4]}
	if forward {
		shut.Watches = append(shut.Watches, drop(1, crack, sideOpen, opens))
		open.Watches = append(open.Watches, kernel.Watch{Value: kernel.Flow, P: path, Sign: -1, To: sideShut, Is: shuts})
	} else {
		open.Watches = append(open.Watches, always(sideShut))
	}
	if back {
		shut.Watches = append(shut.Watches, drop(-1, 0, sideBack, 0))
		rev.Watches = append(rev.Watches, kernel.Watch{Value: kernel.Flow, P: path, Sign: 1, To: sideShut})
	} else {
		rev.Watches = append(rev.Watches, always(sideShut))
	}
	if forward && back && crack == 0 { // water that turns need not come to rest between
		open.Watches[0].To = sideBack
		rev.Watches[0].To, rev.Watches[0].Is = sideOpen, opens
	}
	return []kernel.State{shut, open, rev}
}

// oneWay adds a way that lets water forward by one law, beyond a cracking drop
// that the law holds, and backward by another; nil laws let none.
func (b *builder) oneWay(name string, from, to int32, head float64, into int32, crack float64, forward, back *kernel.Law, opens, shuts kernel.Emit) int32 {
	d := int32(len(b.sys.Devices))
	var p int32
	if to == kernel.Out {
		p = b.end(from, head, into, d, nil, forward, back)
	} else {
		p = b.path(from, to, d, nil, forward, back)
	}
	start := uint8(sideShut)
	if forward != nil && crack == 0 {
		start = sideOpen
	}
	b.device(name, start, sides(from, to, head, crack, p, forward != nil, back != nil, opens, shuts)...)
	return p
}

// weep lets water out of the system at a node, by the law of a seep.
func (b *builder) weep(name string, at int32, s network.Seep) int32 {
	return b.oneWay(name, at, kernel.Out, b.gz(at), -1, 0, seepLaw(s.Seep), nil, 0, 0)
}

// weeps adds the seeps to the outside of the part being lowered, and returns
// their paths.
func (b *builder) weeps(name string, at int32) []int32 {
	var out []int32
	for _, s := range b.seeps[name] {
		out = append(out, b.weep(name, at, s))
	}
	return out
}
