package network_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

func lineup(t *testing.T, rig *network.Rig, text string) network.Lineup {
	t.Helper()
	l, err := rig.Lineup(text)
	require.NoError(t, err)
	return l
}

func words(paths []network.EscapePath, to network.Destination) []string {
	var list []string
	for _, p := range paths {
		if p.To == to {
			list = append(list, p.Words)
		}
	}
	return list
}

func names(suspects []network.Suspect) []string {
	var list []string
	for _, s := range suspects {
		list = append(list, s.Name)
	}
	return list
}

func TestSuspectsOfACoach(t *testing.T) {
	rig := coach()
	suspects := rig.Suspects(nil)
	roles := make(map[string]network.Role)
	for _, s := range suspects {
		roles[s.Name] = s.Role
		assert.True(t, s.Seep.Tight(), "a template has no flow")
		assert.NoError(t, rig.CheckFaults(network.Faults{s.Seep}), s.Name)
	}
	assert.Equal(t, map[string]network.Role{
		"pump head valves": network.PumpHeadValves, "fill valve": network.FillValve, "inlet check": network.InletCheck,
		"toilet valve": network.ToiletValve, "galley tap": network.Tap, "shower head": network.Tap, "icemaker": network.ApplianceValve,
		"low-point drain": network.DrainValve, "relief valve": network.WornRelief,
		"connections in the belly pan near fill": network.WeepConnections, "connections in the belly pan near heater": network.WeepConnections,
		"connections in the galley cupboard": network.WeepConnections,
	}, roles)
	// The heater's check parts two sides that one pump feeds: common practice, no source.
	assert.NotContains(t, names(suspects), "heater check")
}

func TestSuspectsChangeWithTheLineup(t *testing.T) {
	rig := coach()
	for _, tt := range []struct {
		lineup  string
		without string // a suspect that goes
		with    string // a suspect that comes
	}{
		{"suction shutoff=shut", "pump head valves", ""},
		{"hose=capped", "inlet check", ""},
		{"hot shutoff=shut", "shower head", ""},
		{"galley tap=open", "galley tap", ""},
		{"heater shutoff=shut", "relief valve", ""},
		{"pump=off", "", "pump head valves"}, // unpowered, it still holds the line's pressure back
	} {
		suspects := names(rig.Suspects(lineup(t, rig, tt.lineup)))
		if tt.without != "" {
			assert.NotContains(t, suspects, tt.without, tt.lineup)
			assert.Contains(t, names(rig.Suspects(nil)), tt.without, tt.lineup)
		}
		if tt.with != "" {
			assert.Contains(t, suspects, tt.with, tt.lineup)
		}
	}
}

// With the suction shutoff closed on a hookup, a tank that still rises is not
// being fed through the pump: common practice, no source.
func TestTankRisesOnTheHose(t *testing.T) {
	rig := coach()
	into := func(text string) []string {
		return words(rig.EscapePaths(lineup(t, rig, text)), network.ToFreshTank)
	}
	through := "from the pump's outlet back through the pump head valves and the suction shutoff into the fresh tank"
	fill := "from the pump's outlet through the fill valve into the fresh tank"
	assert.Equal(t, []string{fill, through}, into("hose=on"))
	assert.Equal(t, []string{fill}, into("hose=on, suction shutoff=shut"))
	assert.Equal(t, []string{through}, into("hose=on, fill valve=open")[1:])

	open := rig.EscapePaths(lineup(t, rig, "hose=on, fill valve=open"))[0]
	assert.Zero(t, open.Suspect, "nothing holds it")
	assert.Equal(t, []string{"fill line", "fill valve", "fresh tank"}, open.Parts[1:])
}

// An inlet check that leaks drips at the inlet on the pump and is hidden while
// the hose is on: Family RVing magazine, Dec 2022.
func TestInletCheckEndsInTheHose(t *testing.T) {
	rig := coach()
	for text, want := range map[string]network.Destination{
		"": network.ToGround, "hose=on": network.ToHose, "hose=shut at spigot": network.ToHose, "hose=capped": "",
	} {
		var to network.Destination
		for _, p := range rig.EscapePaths(lineup(t, rig, text)) {
			if p.Suspect.Role == network.InletCheck {
				to = p.To
				assert.Equal(t, "hose", p.Where)
				assert.Equal(t, []string{"strainer", "inlet line", "inlet check", "regulator"}, p.Parts)
			}
		}
		assert.Equal(t, want, to, "hose %q", text)
	}
}

func TestEscapesOfTheHoseAlone(t *testing.T) {
	rig := build(
		network.Hookup{Name: "hose", At: "inlet"}, network.Regulator{Name: "regulator", From: "inlet", To: "a"},
		network.Check{Name: "inlet check", From: "a", To: "line"}, network.Drain{Name: "drain", At: "line", Into: "belly pan"},
		network.VacuumBreaker{Name: "breaker", At: "line"})
	assert.Empty(t, rig.EscapePaths(nil), "no pump, no hose: no pressure")
	paths := rig.EscapePaths(network.Lineup{"hose": network.On()})
	assert.Equal(t, []string{
		"from the hose through the regulator and the inlet check out of the breaker into the belly pan",
		"from the hose through the regulator and the inlet check out of the drain into the belly pan",
		"out of weeping connections in the belly pan near a",
		"out of weeping connections in the belly pan near line",
	}, words(paths, network.ToBellyPan))
	assert.Len(t, paths, 4)
}

// panelItems is a fill panel that also winterises, two pumps and a mixer.
func panelItems() []network.Item {
	return []network.Item{
		network.Tank{Name: "tank", Ports: []string{"out", "top"}},
		network.Selector{Name: "panel", Ports: []string{"city", "house", "top", "suction"}, Positions: []network.Position{
			{Name: "use", Joins: [][2]string{{"city", "house"}}},
			{Name: "fill", Joins: [][2]string{{"city", "top"}}},
			{Name: "rinse", Joins: [][2]string{{"city", "house"}, {"house", "top"}}},
		}},
		network.Hookup{Name: "city water", At: "inlet"}, network.Check{Name: "inlet check", From: "inlet", To: "city"},
		tube("suction tube", "out", "suction"),
		network.Pump{Name: "front", From: "suction", To: "house"},
		network.HandPump{Name: "foot pump", From: "suction", To: "spout"}, network.Fixture{Name: "spout", At: "spout"},
		tube("cold run", "house", "cold"), tube("hot run", "house", "hot"),
		network.Mixer{Name: "mixer", Hot: "hot", Cold: "cold", Spout: "head"}, network.Fixture{Name: "head", At: "head"},
	}
}

func TestSelectorPairs(t *testing.T) {
	rig := build(panelItems()...)
	into := words(rig.EscapePaths(nil), network.ToFreshTank)
	assert.Equal(t, []string{
		"from the outlet of the foot pump back through the valves of the foot pump into the fresh tank",
		"from the pump's outlet back through the pump head valves into the fresh tank",
		"from the pump's outlet through the panel from city to suction into the fresh tank",
		"from the pump's outlet through the panel from city to top into the fresh tank",
		"from the pump's outlet through the panel from house to suction into the fresh tank",
		"from the pump's outlet through the panel from house to top into the fresh tank",
	}, into)
	pairs := make(map[[2]string]bool)
	for _, s := range rig.Suspects(nil) {
		if s.Seep.Part == "panel" {
			pairs[s.Seep.Pair] = true
			assert.Equal(t, network.FillValve, s.Role)
			assert.NoError(t, rig.CheckFaults(network.Faults{s.Seep}))
		}
	}
	assert.Equal(t, map[[2]string]bool{{"city", "top"}: true, {"city", "suction"}: true, {"house", "top"}: true, {"house", "suction"}: true}, pairs)

	// A mixer's handles and its head both hold; one seep alone lets nothing out.
	assert.NotContains(t, names(rig.Suspects(nil)), "head")
	assert.Contains(t, names(rig.Suspects(lineup(t, rig, "mixer=open"))), "head")
	assert.Contains(t, names(rig.Suspects(lineup(t, rig, "head=open"))), "mixer between hot and head")
	assert.Contains(t, names(rig.Suspects(lineup(t, rig, "mixer=hot"))), "head")
	assert.Contains(t, words(rig.EscapePaths(lineup(t, rig, "panel=fill")), network.ToFreshTank), "from the pump's outlet through the panel from house to city into the fresh tank",
		"set to fill, what seeps from house to city runs on into the tank")
}

func TestSeveralPumpsAreToldApart(t *testing.T) {
	foot := network.HandPump{Name: "foot pump", From: "out", To: "line"}
	rig := build(base(foot, network.Pump{Name: "spare", From: "out", To: "line"})...)
	assert.Equal(t, []string{"valves of the foot pump", "pump head valves of the main", "pump head valves of the spare", "tap", "connections in the belly pan"}, names(rig.Suspects(nil)))
	assert.Contains(t, words(rig.EscapePaths(nil), network.ToFreshTank), "from the outlet of the main back through the valves of the foot pump into the fresh tank")

	alone := build(base(foot)[0], network.Fixture{Name: "tap", At: "line"}, foot)
	assert.Equal(t, []string{"from the outlet of the foot pump back through the valves of the foot pump into the fresh tank"}, words(alone.EscapePaths(nil), network.ToFreshTank))
}

func TestSections(t *testing.T) {
	rig := coach()
	at := func(l network.Lineup, joint string) network.Section {
		list := rig.Sections(l)
		i := slices.IndexFunc(list, func(s network.Section) bool { return slices.Contains(s.Joints, joint) })
		require.GreaterOrEqual(t, i, 0)
		return list[i]
	}
	line := at(nil, "tee")
	assert.Equal(t, []string{"cold", "fill", "heater cold", "inlet inside", "pump out", "tee", "toilet"}, line.Joints)
	assert.Equal(t, []string{"accumulator"}, line.Gas)
	assert.Equal(t, []string{"pump"}, line.Pumps)
	assert.Empty(t, line.Hookups)
	assert.Empty(t, line.Tanks)
	// 1.6 + 1 + 3 + 1 m of 1/2 in PEX, 0.11433 L/m: maker's design manual, 2014.
	assert.InDelta(t, 6.6*0.11433, line.Water.Litres(), 1e-3)
	assert.NotContains(t, line.Parts, "fill valve")

	suction := at(nil, "suction")
	assert.Equal(t, []string{"pump in", "suction", "tank outlet"}, suction.Joints)
	assert.Equal(t, []string{"fresh tank"}, suction.Tanks)
	assert.Equal(t, []string{"hose"}, at(nil, "inlet").Hookups)
	assert.Equal(t, []string{"fresh tank"}, at(lineup(t, rig, "fill valve=open"), "tee").Tanks)

	joints := 0
	for _, s := range rig.Sections(nil) {
		joints += len(s.Joints)
	}
	assert.Equal(t, len(rig.Joints()), joints, "every joint is in one section")
}

// A section knows every kind of gas in it and every pump that fills it.
func TestSectionsHoldGasAndPumps(t *testing.T) {
	rig := build(base(
		network.Filter{Name: "filter", From: "line", To: "filtered", Air: 20 * unit.Millilitre},
		network.AirPocket{Name: "riser", At: "filtered"},
		network.Heater{Name: "heater", At: "filtered", Air: unit.Litre},
		network.ReliefValve{Name: "relief valve", At: "filtered"},
		network.Drain{Name: "drain", At: "filtered"},
		network.HandPump{Name: "foot pump", From: "out", To: "line"},
	)...)
	list := rig.Sections(nil)
	i := slices.IndexFunc(list, func(s network.Section) bool { return slices.Contains(s.Joints, "filtered") })
	require.GreaterOrEqual(t, i, 0)
	assert.Equal(t, []string{"filter", "heater", "riser"}, list[i].Gas)
	assert.Contains(t, list[i].Pumps, "foot pump")
}

func TestCutOff(t *testing.T) {
	rig := coach()
	cut, err := rig.CutOff("heater shutoff", "hot shutoff")
	require.NoError(t, err)
	require.Len(t, cut, 3)
	assert.Equal(t, []string{"heater", "heater in", "hot"}, cut[0].Joints)
	// 6 US gal and 3.3 m of tube.
	assert.InDelta(t, 6*3.785412+3.3*0.11433, cut[0].Water.Litres(), 1e-3)
	assert.Equal(t, []string{"heater", "heater tube", "hot line", "relief valve"}, cut[0].Parts)

	none, err := rig.CutOff("suction shutoff") // the inlet still feeds it
	require.NoError(t, err)
	require.Len(t, none, 1)
	assert.Equal(t, []string{"pump in"}, none[0].Joints)

	_, err = rig.CutOff("pump")
	assert.EqualError(t, err, `pump "pump": it is no shutoff; name shutoffs alone`)
	_, err = rig.CutOff("heeter shutoff")
	assert.ErrorContains(t, err, `did you mean "heater shutoff"`)
}

func TestIsolators(t *testing.T) {
	rig := coach()
	for part, want := range map[string]string{
		"heater":       "heater shutoff=shut, hot shutoff=shut",
		"relief valve": "heater shutoff=shut, hot shutoff=shut",
		"shower head":  "hot shutoff=shut",
	} {
		set, enough := rig.Isolators(part)
		assert.True(t, enough, part)
		assert.Equal(t, want, set.String(), part)
	}
	set, enough := rig.Isolators("pump")
	assert.True(t, enough)
	assert.Equal(t, "fill valve=shut, heater shutoff=shut, hose=off, suction shutoff=shut", set.String())
	_, enough = rig.Isolators("suction hose")
	assert.False(t, enough, "nothing parts it from the tank")
	_, enough = rig.Isolators("no such part")
	assert.False(t, enough)

	panel := build(panelItems()...)
	_, enough = panel.Isolators("city water")
	assert.False(t, enough, "no position parts city from all")

	bypass := build(base(network.Filter{Name: "filter", From: "a", To: "b"}, network.Fixture{Name: "sink", At: "b"}, network.Selector{
		Name: "bypass", Ports: []string{"line", "a", "b"}, Positions: []network.Position{
			{Name: "filter", Joins: [][2]string{{"line", "a"}}}, {Name: "past", Joins: [][2]string{{"a", "b"}}}}})...)
	set, enough = bypass.Isolators("filter")
	assert.True(t, enough)
	assert.Equal(t, network.Lineup{"bypass": network.At("past")}, set)
}

// bigRig is a line of n joints, n even, with a drain at every other.
func bigRig(n int) []network.Item {
	items := base(network.Shutoff{Name: "shutoff", From: "line", To: joint(0)})
	for i := range n {
		items = append(items, tube("tube "+joint(i), joint(i), joint(i+1)))
		if i%2 == 1 {
			items = append(items, network.Drain{Name: "drain " + joint(i+1), At: joint(i + 1)})
		}
	}
	return items
}

// A bypass outside the head valves is a way into the fresh tank once hose
// pressure opens it; nothing seeps there. On the pump, with the suction shut, or
// inside the head it is none.
func TestOutsideBypassIsAWayIntoTheTank(t *testing.T) {
	rig := func(outside bool) *network.Rig {
		rig, err := network.New("van",
			network.Tank{Name: "tank", Ports: []string{"out"}}, network.Shutoff{Name: "suction shutoff", From: "out", To: "in"},
			network.Pump{Name: "pump", From: "in", To: "tee", CutIn: 25 * unit.PSI, CutOut: 40 * unit.PSI, Bypass: network.Bypass{Opens: 42 * unit.PSI, Outside: outside}},
			network.Hookup{Name: "hose", At: "city"}, network.Regulator{Name: "regulator", From: "city", To: "inlet"},
			network.Check{Name: "inlet check", From: "inlet", To: "tee"}, network.Fixture{Name: "tap", At: "tee"})
		require.NoError(t, err)
		return rig
	}
	bypasses := func(rig *network.Rig, text string) []network.EscapePath {
		return slices.DeleteFunc(rig.EscapePaths(lineup(t, rig, text)), func(p network.EscapePath) bool { return p.Opens == 0 })
	}
	for _, text := range []string{"hose=on", "hose=on, pump=off"} {
		paths := bypasses(rig(true), text)
		require.Len(t, paths, 1)
		assert.Equal(t, network.EscapePath{
			To: network.ToFreshTank, Where: "tank", Opens: 42 * unit.PSI,
			Parts: []string{"regulator", "inlet check", "pump", "suction shutoff"},
			Words: "from the hose through the regulator and the inlet check back through the bypass of the pump (opens at 42 psi) and the suction shutoff into the fresh tank",
		}, paths[0])
		assert.Len(t, names(rig(true).Suspects(lineup(t, rig(true), text))), len(rig(false).Suspects(lineup(t, rig(false), text))), "it is no suspect")
	}
	assert.Empty(t, bypasses(rig(true), "hose=off"))
	assert.Empty(t, bypasses(rig(true), "hose=on, suction shutoff=shut"))
	assert.Empty(t, bypasses(rig(false), "hose=on"))
}
