package drawing

import (
	"fmt"
	"time"

	"pgregory.net/rapid"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// rigOf draws a rig of any kinds of part, grown out of its sources.
func rigOf(t *rapid.T) *network.Rig {
	g := &grower{t: t}
	for range rapid.IntRange(0, 2).Draw(t, "tanks") {
		g.tank()
	}
	if len(g.fed) == 0 || g.chance("hookup") {
		g.hookup()
	}
	for range rapid.IntRange(0, 12).Draw(t, "ways") {
		g.grow()
	}
	for range rapid.IntRange(0, 3).Draw(t, "loops") {
		g.loop()
	}
	for range rapid.IntRange(1, 8).Draw(t, "ends") {
		g.end()
	}
	rig, err := network.New("random", g.items...)
	if err != nil {
		t.Skip(err) // such as water by gravity alone
	}
	return rig
}

// viewOf draws a way in which the rig stands and is looked at.
func viewOf(t *rapid.T, rig *network.Rig) View {
	v := View{Lineup: network.Lineup{}, Running: map[string]bool{}}
	parts := rig.Parts()
	for _, p := range parts {
		switch p.(type) {
		case network.Fixture, network.Drain:
			if rapid.IntRange(0, 3).Draw(t, "open") == 0 {
				v.Lineup[p.ID()] = network.Open(1)
			}
		case network.Pump:
			v.Running[p.ID()] = rapid.Bool().Draw(t, "running")
		case network.Hookup:
			v.Lineup[p.ID()] = network.On()
		}
	}
	if list := rig.Suspects(nil); len(list) > 0 {
		f := rapid.SampledFrom(list).Draw(t, "suspect").Seep
		f.Seep = hydraulics.Seep{Ref: 50 * unit.MillilitrePerMinute, At: 45 * unit.PSI}
		if rig.CheckFaults(network.Faults{f}) == nil {
			v.Faults = network.Faults{f}
		}
	}
	v.Picked = rapid.SampledFrom(parts).Draw(t, "picked").ID()
	v.Show = []string{rapid.SampledFrom(parts).Draw(t, "shown").ID()}
	m, err := sim.Compile(rig)
	if err != nil {
		return v
	}
	run, err := m.Begin(v.Lineup, v.Faults, sim.Options{Until: time.Hour})
	if err != nil {
		return v
	}
	defer run.Close()
	if s, err := run.Now(); err == nil {
		v.Sample = &s
	}
	return v
}

type grower struct {
	t     *rapid.T
	items []network.Item
	fed   []string
	ports []string
	n     int
}

func (g *grower) chance(what string) bool { return rapid.Bool().Draw(g.t, what) }

func (g *grower) name(kind string) string {
	g.n++
	return fmt.Sprintf("%s %d", kind, g.n)
}

// joint is a new one, at an elevation that is told or not.
func (g *grower) joint() string {
	name := g.name("joint")
	if g.chance("elevation told") {
		g.items = append(g.items, network.Joint{Name: name, Z: unit.Length(rapid.Float64Range(-0.4, 2).Draw(g.t, "z"))})
	}
	return name
}

func (g *grower) feed(joint string) string {
	g.fed = append(g.fed, joint)
	return joint
}

func (g *grower) any() string { return rapid.SampledFrom(g.fed).Draw(g.t, "joint") }

func (g *grower) add(p network.Part) { g.items = append(g.items, p) }

func (g *grower) tank() {
	t := network.Tank{Name: g.name("tank"), Ports: []string{g.name("outlet")}}
	for range rapid.IntRange(0, 2).Draw(g.t, "more ports") {
		port := g.name("port")
		t.Ports, g.ports = append(t.Ports, port), append(g.ports, port)
	}
	g.add(t)
	from := t.Ports[0]
	if g.chance("suction tube") {
		to := g.joint()
		g.add(network.Tube{Name: g.name("tube"), From: from, To: to})
		from = to
	}
	if g.chance("by gravity") {
		g.add(network.Tube{Name: g.name("tube"), From: from, To: g.feed(g.joint())})
		return
	}
	g.add(network.Pump{Name: g.name("pump"), From: from, To: g.feed(g.joint())})
}

func (g *grower) hookup() {
	at := g.joint()
	g.add(network.Hookup{Name: g.name("hookup"), At: at})
	if g.chance("check") {
		to := g.joint()
		g.add(network.Check{Name: g.name("check"), From: at, To: to})
		at = to
	}
	g.feed(at)
}

func (g *grower) grow() {
	from := g.any()
	switch rapid.IntRange(0, 12).Draw(g.t, "way") {
	case 0:
		g.add(network.Shutoff{Name: g.name("shutoff"), From: from, To: g.feed(g.joint())})
	case 1:
		g.add(network.Check{Name: g.name("check"), From: from, To: g.feed(g.joint())})
	case 2:
		g.add(network.Strainer{Name: g.name("strainer"), From: from, To: g.feed(g.joint())})
	case 3:
		g.add(network.Filter{Name: g.name("filter"), From: from, To: g.feed(g.joint())})
	case 4:
		g.add(network.Regulator{Name: g.name("regulator"), From: from, To: g.feed(g.joint())})
	case 5:
		s := network.Selector{Name: g.name("selector"), Ports: []string{from}}
		for range rapid.IntRange(1, 4).Draw(g.t, "ports") {
			s.Ports = append(s.Ports, g.feed(g.joint()))
		}
		s.Positions = []network.Position{{Name: "one", Joins: [][2]string{{s.Ports[0], s.Ports[1]}}}, {Name: "none"}}
		g.add(s)
	case 6:
		if cold := g.any(); cold != from {
			g.add(network.Mixer{Name: g.name("mixer"), Hot: from, Cold: cold, Spout: g.feed(g.joint())})
		}
	case 7:
		g.add(network.HandPump{Name: g.name("hand pump"), From: from, To: g.feed(g.joint())})
	default:
		g.add(network.Tube{Name: g.name("tube"), From: from, To: g.feed(g.joint()), Size: rapid.SampledFrom([]string{"3/8 in", "1/2 in", "3/4 in"}).Draw(g.t, "size")})
	}
}

func (g *grower) loop() {
	a, b := g.any(), g.any()
	if n := len(g.ports); n > 0 {
		b = g.ports[n-1]
		g.ports = g.ports[:n-1]
		g.add(network.Shutoff{Name: g.name("fill valve"), From: a, To: b, Shut: true})
		return
	}
	if a != b {
		g.add(network.Tube{Name: g.name("tube"), From: a, To: b})
	}
}

func (g *grower) end() {
	at := g.any()
	switch rapid.IntRange(0, 9).Draw(g.t, "end") {
	case 0:
		g.add(network.Accumulator{Name: g.name("accumulator"), At: at})
	case 1:
		g.add(network.Heater{Name: g.name("heater"), At: at})
		g.add(network.ReliefValve{Name: g.name("relief valve"), At: at})
	case 2:
		g.add(network.Drain{Name: g.name("drain"), At: at})
	case 3:
		g.add(network.Appliance{Name: g.name("appliance"), At: at})
	case 4:
		g.add(network.AirPocket{Name: g.name("air pocket"), At: at})
	case 5:
		g.add(network.VacuumBreaker{Name: g.name("vacuum breaker"), At: at})
	case 6:
		waste := g.name("waste tank")
		g.add(network.WasteTank{Name: waste})
		g.add(network.Fixture{Name: g.name("toilet"), At: at, Toilet: true, Into: waste})
	case 7:
		g.add(network.Fixture{Name: g.name("shower"), At: at})
	default:
		g.add(network.Fixture{Name: g.name("tap"), At: at})
	}
}
