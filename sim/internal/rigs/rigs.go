// Package rigs makes random valid rigs of all part kinds, with lineups, faults,
// starts and schedules, for tests.
package rigs

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// A Case is a rig and everything that a simulation of it takes.
type Case struct {
	Rig     *network.Rig
	Lineup  network.Lineup
	Faults  network.Faults
	Options sim.Options
}

// Random returns the case of that seed, with at least so many joints. The same
// seed and number give the same case on every machine.
func Random(seed uint64, joints int) (*Case, error) {
	g := &maker{Rand: rand.New(rand.NewPCG(seed, uint64(joints)))}
	g.water()
	for len(g.fed) < joints {
		g.grow()
	}
	for range 1 + joints/8 {
		g.loop()
	}
	for range 2 + joints/3 {
		g.end()
	}
	rig, err := network.New(fmt.Sprintf("random rig %d", seed), g.items...)
	if err != nil {
		return nil, fmt.Errorf("rigs: seed %d, %d joints: %w", seed, joints, err)
	}
	c := &Case{Rig: rig, Lineup: g.lineup(rig)}
	c.Faults = g.faults(rig)
	c.Options = g.options(rig)
	return c, nil
}

// A maker grows a rig out of its sources.
type maker struct {
	*rand.Rand
	items   []network.Item
	fed     []string // joints that water reaches with everything open
	ports   []string // tank ports that nothing runs into yet
	lowest  unit.Pressure
	highest unit.Pressure // lowest cut-out of the pumps
	named   int
}

func (g *maker) add(p network.Item) { g.items = append(g.items, p) }

// name makes a new name.
func (g *maker) name(kind string) string {
	g.named++
	return fmt.Sprintf("%s %d", kind, g.named)
}

// joint makes a new joint at a random elevation.
func (g *maker) joint() string {
	name := g.name("joint")
	z := unit.Length(0)
	if g.chance(0.9) {
		z = unit.Length(g.between(-0.3, 1.6))
	}
	g.add(network.Joint{Name: name, Z: z})
	return name
}

// feed notes a joint that water reaches.
func (g *maker) feed(j string) string {
	g.fed = append(g.fed, j)
	return j
}

func (g *maker) any() string { return g.fed[g.IntN(len(g.fed))] }

func (g *maker) chance(p float64) bool { return g.Float64() < p }

func (g *maker) between(lo, hi float64) float64 { return lo + (hi-lo)*g.Float64() }

// around is between lo and hi with each decade as likely as the next.
func (g *maker) around(lo, hi float64) float64 {
	return math.Exp(g.between(math.Log(lo), math.Log(hi)))
}

func (g *maker) seconds(lo, hi float64) time.Duration {
	return time.Duration(g.between(lo, hi)*1e3).Round(1) * time.Millisecond
}

// water makes the sources: tanks with pumps, hookups.
func (g *maker) water() {
	sources := 0
	for range 1 + g.IntN(2) {
		if g.chance(0.85) {
			g.tank()
			sources++
		}
	}
	if sources == 0 || g.chance(0.4) {
		g.hookup()
	}
}

func (g *maker) tank() {
	t := network.Tank{Name: g.name("tank"), Capacity: unit.Volume(g.around(0.01, 0.4)), Height: unit.Length(g.between(0.1, 0.5)), Floor: unit.Length(g.between(0, 0.3))}
	out := g.name("joint")
	g.add(network.Joint{Name: out, Z: t.Floor + unit.Length(g.between(0, 0.2))*t.Height})
	t.Ports = []string{out}
	for range g.IntN(3) {
		port := g.name("joint")
		g.add(network.Joint{Name: port, Z: t.Floor + unit.Length(g.between(0, 1.3))*t.Height})
		t.Ports = append(t.Ports, port)
		g.ports = append(g.ports, port)
	}
	g.add(t)
	suction := out
	for range g.IntN(3) {
		to := g.joint()
		switch g.IntN(4) {
		case 0:
			g.add(network.Shutoff{Name: g.name("shutoff"), From: suction, To: to})
		case 1:
			g.add(network.Strainer{Name: g.name("strainer"), From: suction, To: to})
		default:
			g.tube(suction, to)
		}
		suction = to
	}
	for range 1 + g.IntN(2) {
		to := g.feed(g.joint())
		if g.chance(0.15) {
			g.add(network.HandPump{Name: g.name("hand pump"), From: suction, To: to, Stroke: unit.Volume(g.around(3e-5, 3e-4))})
			continue
		}
		g.pump(suction, to)
	}
	if g.chance(0.3) { // by gravity
		g.tube(suction, g.feed(g.joint()))
	}
}

func (g *maker) pump(from, to string) {
	p := network.Pump{Name: g.name("pump"), From: from, To: to, Sealed: g.chance(0.3)}
	stop := unit.Pressure(g.between(30, 60)) * unit.PSI
	switch {
	case g.chance(0.2):
		p.Hold = &network.HeldPressure{Set: stop, LeastSpeed: g.between(0.05, 0.5), RunOn: g.seconds(0.5, 6)}
	default:
		p.CutOut = stop
		p.CutIn = stop * unit.Pressure(g.between(0.4, 0.9))
		if g.chance(0.3) {
			p.Delay = g.seconds(0.05, 1.5)
		}
	}
	switch g.IntN(3) {
	case 0:
		p.Curve = hydraulics.Line(unit.Flow(g.around(5e-5, 4e-4)), stop*unit.Pressure(g.between(1.05, 2)))
	case 1:
		q, rise := g.around(1e-4, 4e-4), float64(stop)*g.between(1.1, 1.8)
		n := 3 + g.IntN(5)
		for i := range n {
			f := float64(i) / float64(n-1)
			p.Curve = append(p.Curve, hydraulics.PumpPoint{
				Rise: unit.Pressure(rise * (f + g.between(-0.3, 0.3)*f*(1-f)/float64(n))), Flow: unit.Flow(q * (1 - f))})
		}
	}
	switch g.IntN(5) {
	case 0:
		p.Bypass = network.Bypass{Opens: stop * unit.Pressure(g.between(0.6, 1)), Outside: true}
	case 1:
		p.Bypass = network.Bypass{Opens: stop * unit.Pressure(g.between(0.9, 1.1))}
	}
	if g.lowest == 0 || stop < g.highest {
		g.lowest, g.highest = stop/3, stop
	}
	g.add(p)
}

func (g *maker) hookup() {
	at := g.joint()
	g.add(network.Hookup{Name: g.name("hookup"), At: at, Static: unit.Pressure(g.between(20, 110)) * unit.PSI, Ideal: g.chance(0.3)})
	if g.chance(0.5) {
		to := g.joint()
		g.regulator(at, to)
		at = to
	}
	if g.chance(0.7) {
		to := g.joint()
		g.check(at, to)
		at = to
	}
	g.feed(at)
}

func (g *maker) tube(from, to string) {
	t := network.Tube{Name: g.name("tube"), From: from, To: to, Length: unit.Length(g.around(0.05, 20)), K: g.between(0, 6),
		Size: []string{"3/8 in", "1/2 in", "3/4 in"}[g.IntN(3)], Rigid: g.chance(0.2)}
	if g.chance(0.1) {
		t.HazenWilliams = g.between(90, 150)
	}
	if g.chance(0.1) {
		t.Roughness = -1
	}
	g.add(t)
}

func (g *maker) check(from, to string) {
	c := network.Check{Name: g.name("check"), From: from, To: to}
	if g.chance(0.5) {
		c.Cracking = unit.Pressure(g.between(0, 2)) * unit.PSI
	}
	g.add(c)
}

func (g *maker) regulator(from, to string) {
	g.add(network.Regulator{Name: g.name("regulator"), From: from, To: to, Set: unit.Pressure(g.between(20, 60)) * unit.PSI,
		Droop: unit.Pressure(g.between(0.5, 8)) * unit.PSI, Check: g.chance(0.5)})
}

// grow adds a part that leads from a fed joint to a new one.
func (g *maker) grow() {
	from := g.any()
	switch g.IntN(20) {
	case 0, 1:
		g.add(network.Shutoff{Name: g.name("shutoff"), From: from, To: g.feed(g.joint()), Shut: g.chance(0.3)})
	case 2:
		g.check(from, g.feed(g.joint()))
	case 3:
		g.add(network.Strainer{Name: g.name("strainer"), From: from, To: g.feed(g.joint())})
	case 4:
		f := network.Filter{Name: g.name("filter"), From: from, To: g.feed(g.joint())}
		if g.chance(0.4) {
			f.Air = unit.Volume(g.around(1e-6, 3e-4))
		}
		g.add(f)
	case 5:
		g.regulator(from, g.feed(g.joint()))
	case 6:
		g.selector(from)
	case 7:
		hot, cold := from, g.any()
		if hot != cold {
			g.add(network.Mixer{Name: g.name("mixer"), Hot: hot, Cold: cold, Spout: g.feed(g.joint())})
		}
	case 8:
		if g.chance(0.3) {
			g.add(network.HandPump{Name: g.name("hand pump"), From: from, To: g.feed(g.joint())})
		} else if g.chance(0.3) { // one that raises the pressure of another
			g.pump(from, g.feed(g.joint()))
		}
	default:
		g.tube(from, g.feed(g.joint()))
	}
}

func (g *maker) selector(from string) {
	s := network.Selector{Name: g.name("selector"), Ports: []string{from}}
	for range 1 + g.IntN(3) {
		s.Ports = append(s.Ports, g.feed(g.joint()))
	}
	for i, to := range s.Ports[1:] {
		pos := network.Position{Name: fmt.Sprintf("way %c", 'a'+i), Joins: [][2]string{{from, to}}}
		if i > 0 && g.chance(0.4) {
			pos.Joins = append(pos.Joins, [2]string{s.Ports[i], to})
		}
		s.Positions = append(s.Positions, pos)
	}
	s.Positions = append(s.Positions, network.Position{Name: "nothing joined"})
	g.add(s)
}

// loop joins two joints that are there, or a joint and a tank's wall.
func (g *maker) loop() {
	a, b := g.any(), g.any()
	if n := len(g.ports); n > 0 && g.chance(0.6) {
		b = g.ports[n-1]
		g.ports = g.ports[:n-1]
		if g.chance(0.8) {
			g.add(network.Shutoff{Name: g.name("fill valve"), From: a, To: b, Shut: true})
			return
		}
	}
	if a == b {
		return
	}
	switch g.IntN(5) {
	case 0:
		g.add(network.Shutoff{Name: g.name("shutoff"), From: a, To: b, Shut: g.chance(0.5)})
	case 1:
		g.check(a, b)
	default:
		g.tube(a, b)
	}
}

// end adds a part at a joint.
func (g *maker) end() {
	at := g.any()
	into := ""
	if g.chance(0.2) {
		into = g.name("waste tank")
	}
	switch g.IntN(10) {
	case 0, 1, 2:
		g.waste(into)
		g.add(network.Fixture{Name: g.name("fixture"), At: at, Rated: unit.Flow(g.around(1e-5, 2e-4)), Into: into})
	case 3:
		g.waste(into)
		g.add(network.Appliance{Name: g.name("appliance"), At: at, Into: into})
	case 4:
		g.add(network.Drain{Name: g.name("drain"), At: at})
	case 5:
		g.add(network.ReliefValve{Name: g.name("relief valve"), At: at, Set: unit.Pressure(g.between(60, 150)) * unit.PSI})
	case 6:
		a := network.Accumulator{Name: g.name("accumulator"), At: at, Volume: unit.Volume(g.around(1e-4, 8e-3)), Exponent: g.between(1, 1.4)}
		if g.highest > 0 {
			a.Precharge = g.highest * unit.Pressure(g.between(0.2, 0.95))
		}
		g.add(a)
	case 7:
		switch g.IntN(3) {
		case 0:
			g.add(network.AirPocket{Name: g.name("air pocket"), At: at, Volume: unit.Volume(g.around(1e-6, 5e-4)), Exponent: g.between(1, 1.4)})
		case 1:
			g.add(network.Elastic{Name: g.name("elastic"), At: at, Compliance: unit.Compliance(g.around(1e-13, 1e-9))})
		default:
			g.add(network.VacuumBreaker{Name: g.name("vacuum breaker"), At: at})
		}
	default:
		h := network.Heater{Name: g.name("heater"), At: at, Rigid: g.chance(0.2), Tankless: g.chance(0.2)}
		if g.chance(0.2) {
			h.Air = unit.Volume(g.around(1e-5, 1e-3))
		}
		if g.chance(0.3) {
			h.Expansion = 4e-4
		}
		g.add(h)
		g.add(network.ReliefValve{Name: g.name("relief valve"), At: at})
	}
}

func (g *maker) waste(name string) {
	if name != "" {
		g.add(network.WasteTank{Name: name})
	}
}
