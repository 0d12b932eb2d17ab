package sim_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// Whatever pressures a simulation starts from, a rig whose pressures a hookup
// decides comes to the same steady answer, in at most 30 Newton iterations a solve.
func TestEveryStartReachesTheSameStill(t *testing.T) {
	m := compile(t, camper(
		network.Joint{Name: "city"}, network.Joint{Name: "inside"},
		network.Hookup{Name: "hose", At: "city", Static: 50 * unit.PSI},
		network.Check{Name: "inlet check", From: "city", To: "inside"},
		network.Tube{Name: "city line", From: "inside", To: "tee"})...)
	lineup := network.Lineup{"hose": network.On(), "tap": network.Open(1), "pump": network.Off()}
	want := steady(t, m, lineup, nil, sim.Options{})
	rapid.Check(t, func(t *rapid.T) {
		start := map[string]unit.Pressure{}
		for _, j := range []string{"line", "tee", "tap", "city", "inside"} {
			start[j] = unit.Pressure(rapid.Float64Range(-50e3, 1e6).Draw(t, j))
		}
		got := steady(t, m, lineup, nil, sim.Options{Start: sim.Start{Pressures: start}})
		require.Zero(t, got.Effort.Restarts)
		for _, part := range []string{"hose", "tap", "inlet check"} {
			// Rounding of heads leaves 6e-11 m³/s in a way of no loss, 1 Pa·s/m³, to a store.
			require.InDelta(t, flow(t, want, part), flow(t, got, part), 1e-10, part)
		}
		require.InDelta(t, pressure(t, want, "tap"), pressure(t, got, "tap"), 0.1)
	})
}

// With the pump running on an open tap its switch would not flip between cut-in
// and cut-out; on a shut tap it would: there is no steady answer but a cycle.
func TestStillSaysWhenThePumpCycles(t *testing.T) {
	m := compile(t, camper()...)
	running := sim.Options{Start: sim.Start{Pumps: map[string]bool{"pump": true}}}
	still := steady(t, m, network.Lineup{"tap": network.Open(1)}, nil, running)
	assert.False(t, still.Cycles)
	assert.True(t, still.Running["pump"])
	assert.InDelta(t, flow(t, still, "pump"), flow(t, still, "tap"), 1e-15)
	p := pressure(t, still, "line")
	assert.InDelta(t, 2e-4*(1-(p-pressure(t, still, "out"))/float64(80*unit.PSI)), flow(t, still, "pump"), 1e-15, "on its line")
	still = steady(t, m, nil, nil, running)
	assert.True(t, still.Cycles, "against a shut tap it passes cut-out")
	still = steady(t, m, network.Lineup{"tap": network.Open(1)}, nil, sim.Options{})
	assert.True(t, still.Cycles, "at rest with an open tap it falls to cut-in")
	still = steady(t, m, nil, nil, sim.Options{})
	assert.False(t, still.Cycles, "tight and at rest")
	// Without a start state it runs at or below cut-in, else rests.
	at := sim.Options{Start: sim.Start{Pressures: map[string]unit.Pressure{"line": 30 * unit.PSI, "tee": 30 * unit.PSI}}}
	assert.True(t, steady(t, m, nil, nil, at).Running["pump"])
	at.Start.Pressures["line"] += 1
	assert.False(t, steady(t, m, nil, nil, at).Running["pump"])
}

// A section cut off by shut valves keeps the pressure it started with where it
// stores water, and without a store has none that anything decides.
func TestCutOffSections(t *testing.T) {
	items := append(level("a", "b", "c"),
		network.Hookup{Name: "hose", At: "a", Static: 40 * unit.PSI, Ideal: true},
		network.Shutoff{Name: "near", From: "a", To: "b"},
		network.Tube{Name: "run", From: "b", To: "c", Length: 2, Rigid: true},
		network.Fixture{Name: "tap", At: "c"})
	opts := sim.Options{Start: sim.Start{Pressures: map[string]unit.Pressure{"b": 123e3}}}
	shut := network.Lineup{"hose": network.On(), "near": network.Shut()}
	t.Run("without a store", func(t *testing.T) {
		m := compile(t, items...)
		still := steady(t, m, shut, nil, opts)
		assert.Equal(t, []string{"b", "c"}, still.CutOff)
		_, ok := still.Pressure("b")
		assert.False(t, ok, "nothing decides it")
		assert.Zero(t, flow(t, still, "run"))
		assert.InDelta(t, float64(40*unit.PSI), pressure(t, still, "a"), 1e-6)
		rec := simulate(t, m, shut, nil, sim.Options{Until: secs(5), Samples: opts.Samples, Start: opts.Start})
		assert.Empty(t, rec.Events)
	})
	t.Run("with a store", func(t *testing.T) {
		m := compile(t, append(items, network.Elastic{Name: "stretch", At: "c", Compliance: 1e-11})...)
		still := steady(t, m, shut, nil, opts)
		assert.Equal(t, []string{"b", "c"}, still.CutOff)
		assert.InDelta(t, 123e3, pressure(t, still, "b"), 1)
		assert.InDelta(t, 123e3, pressure(t, still, "c"), 1)
		rec := simulate(t, m, shut, nil, sim.Options{Until: secs(60), Start: opts.Start})
		end, err := rec.At(secs(60))
		require.NoError(t, err)
		assert.InDelta(t, 123e3, pressure(t, &end, "c"), 1)
	})
}

// A regulator holds its set pressure, opens when the main cannot give it, and
// passes backward unless it has a check.
func TestRegulatorStates(t *testing.T) {
	rig := func(check bool, droop unit.Pressure) *sim.Model {
		return compile(t, append(level("main", "held", "far"),
			network.Hookup{Name: "main", At: "main", Static: 80 * unit.PSI, Ideal: true},
			network.Regulator{Name: "regulator", From: "main", To: "held", Set: 45 * unit.PSI, Droop: droop, Check: check},
			network.Tube{Name: "run", From: "held", To: "far", Length: 1, Rigid: true},
			network.Fixture{Name: "tap", At: "held", Rated: 1e-4},
			network.Hookup{Name: "other", At: "far", Static: 60 * unit.PSI, Ideal: true})...)
	}
	on, tap := network.Lineup{"main": network.On(), "other": network.Capped()}, network.Lineup{"main": network.On(), "other": network.Capped(), "tap": network.Open(1)}
	m := rig(true, 0)
	assert.InDelta(t, float64(45*unit.PSI), pressure(t, steady(t, m, on, nil, sim.Options{Start: sim.Start{Pressures: map[string]unit.Pressure{"held": 0}}}), "held"), 1, "no flow")
	assert.InDelta(t, float64(45*unit.PSI), pressure(t, steady(t, m, tap, nil, sim.Options{}), "held"), 1, "no droop, whatever flows")
	assert.InDelta(t, 1e-4, flow(t, steady(t, m, tap, nil, sim.Options{}), "regulator"), 1e-8)

	m = rig(true, 5*unit.PSI) // 5 psi at 2 gpm
	still := steady(t, m, tap, nil, sim.Options{})
	q := flow(t, still, "regulator")
	assert.InDelta(t, float64(45*unit.PSI)-q/float64(2*unit.GPM)*float64(5*unit.PSI), pressure(t, still, "held"), 1, "droop in proportion to flow")

	both := network.Lineup{"main": network.Off(), "other": network.On()} // 60 psi behind it, the main open to the air
	assert.InDelta(t, 0, flow(t, steady(t, rig(true, 0), both, nil, sim.Options{}), "regulator"), 1e-15, "its check holds")
	assert.Less(t, flow(t, steady(t, rig(false, 0), both, nil, sim.Options{}), "regulator"), -1e-4, "without one it passes backward")

	weak := compile(t, append(level("main", "held"),
		network.Hookup{Name: "main", At: "main", Static: 30 * unit.PSI, Ideal: true},
		network.Regulator{Name: "regulator", From: "main", To: "held", Set: 45 * unit.PSI},
		network.Fixture{Name: "tap", At: "held", Rated: 1e-4})...)
	still = steady(t, weak, network.Lineup{"main": network.On(), "tap": network.Open(1)}, nil, sim.Options{})
	p := pressure(t, still, "held")
	assert.Less(t, p, float64(30*unit.PSI), "wide open below its setting")
	bore := 0.475 * 0.0254
	kappa := 10 * 8 * float64(998.2) / (math.Pi * math.Pi * math.Pow(bore, 4))
	assert.InDelta(t, float64(30*unit.PSI)-kappa*math.Pow(flow(t, still, "regulator"), 2), p, 5, "its loss wide open")
}

// Several regulators with droop feed one section: in proportion, the higher set
// giving more.
func TestRegulatorsShareASection(t *testing.T) {
	m := compile(t, append(level("a", "b", "held"),
		network.Hookup{Name: "one", At: "a", Static: 80 * unit.PSI, Ideal: true},
		network.Hookup{Name: "two", At: "b", Static: 80 * unit.PSI, Ideal: true},
		network.Regulator{Name: "low", From: "a", To: "held", Set: 44 * unit.PSI, Droop: 5 * unit.PSI, Check: true},
		network.Regulator{Name: "high", From: "b", To: "held", Set: 45 * unit.PSI, Droop: 5 * unit.PSI, Check: true},
		network.Fixture{Name: "tap", At: "held", Rated: 2e-4})...)
	still := steady(t, m, network.Lineup{"one": network.On(), "two": network.On(), "tap": network.Open(1)}, nil, sim.Options{})
	p, lam := pressure(t, still, "held"), float64(5*unit.PSI)/float64(2*unit.GPM)
	assert.InDelta(t, (float64(44*unit.PSI)-p)/lam, flow(t, still, "low"), 1e-12)
	assert.InDelta(t, (float64(45*unit.PSI)-p)/lam, flow(t, still, "high"), 1e-12)
	assert.InDelta(t, flow(t, still, "tap"), flow(t, still, "low")+flow(t, still, "high"), 1e-12)
}

// Regulators that starve each other: the first ones take more than the hose gives,
// so that others find less before them than they hold, and checks between them are
// opened and shut by turns. There is one steady answer, from any start.
func TestRegulatorsStarveEachOther(t *testing.T) {
	items := append(level("city", "a", "b", "c", "d", "e", "loop"),
		network.Hookup{Name: "hose", At: "city", Static: 60 * unit.PSI, Droop: 50 * unit.PSI, DroopAt: 1 * unit.GPM},
		network.Regulator{Name: "first", From: "city", To: "a", Set: 50 * unit.PSI, Droop: 2 * unit.PSI},
		network.Regulator{Name: "second", From: "a", To: "b", Set: 45 * unit.PSI, Droop: 2 * unit.PSI, Check: true},
		network.Regulator{Name: "third", From: "a", To: "c", Set: 35 * unit.PSI, Droop: 3 * unit.PSI},
		network.Regulator{Name: "fourth", From: "c", To: "d", Set: 40 * unit.PSI, Droop: 1 * unit.PSI, Check: true},
		network.Regulator{Name: "fifth", From: "b", To: "d", Set: 25 * unit.PSI, Droop: 8 * unit.PSI},
		network.Check{Name: "over", From: "d", To: "e"},
		network.Check{Name: "back", From: "e", To: "b"},
		network.Tube{Name: "loop", From: "c", To: "loop", Length: 2},
		network.Check{Name: "round", From: "loop", To: "e"},
		network.Fixture{Name: "tap b", At: "b", Rated: 1e-4},
		network.Fixture{Name: "tap d", At: "d", Rated: 2e-4},
		network.Fixture{Name: "tap e", At: "e", Rated: 5e-5})
	m := compile(t, items...)
	rapid.Check(t, func(t *rapid.T) {
		lineup := network.Lineup{"hose": network.On()}
		for _, tap := range []string{"tap b", "tap d", "tap e"} {
			if rapid.Bool().Draw(t, tap) {
				lineup[tap] = network.Open(rapid.Float64Range(0.05, 1).Draw(t, tap+" opening"))
			}
		}
		lineup["tap d"] = network.Open(rapid.Float64Range(0.05, 1).Draw(t, "tap d opening"))
		want := steady(t, m, lineup, nil, sim.Options{})
		start := map[string]unit.Pressure{}
		for _, j := range []string{"a", "b", "c", "d", "e", "loop"} {
			start[j] = unit.Pressure(rapid.Float64Range(-50e3, 1e6).Draw(t, j))
		}
		got := steady(t, m, lineup, nil, sim.Options{Start: sim.Start{Pressures: start}})
		require.Zero(t, got.Effort.Restarts)
		for _, part := range []string{"hose", "first", "second", "third", "fourth", "fifth", "over", "round", "tap d"} {
			require.InDelta(t, flow(t, want, part), flow(t, got, part), 1e-8, part)
		}
		require.InDelta(t, pressure(t, want, "d"), pressure(t, got, "d"), 0.1)
	})
}

// Hot and cold meet behind a shut shower head whose handles are on.
func TestMixerCrossover(t *testing.T) {
	m := compile(t, append(level("hot", "cold", "spout"),
		network.Hookup{Name: "hot main", At: "hot", Static: 30 * unit.PSI, Ideal: true},
		network.Hookup{Name: "cold main", At: "cold", Static: 50 * unit.PSI, Ideal: true},
		network.Mixer{Name: "handles", Hot: "hot", Cold: "cold", Spout: "spout"},
		network.Fixture{Name: "head", At: "spout"})...)
	on := func(s network.Setting) network.Lineup {
		return network.Lineup{"hot main": network.On(), "cold main": network.On(), "handles": s}
	}
	still := steady(t, m, on(network.Open(1)), nil, sim.Options{})
	q, ok := still.FlowAt("handles", "cold")
	require.True(t, ok)
	back, _ := still.FlowAt("handles", "hot")
	assert.Greater(t, float64(q), 1e-5, "cold runs into hot")
	assert.InDelta(t, float64(-q), float64(back), 1e-15)
	assert.InDelta(t, float64(40*unit.PSI), pressure(t, still, "spout"), 10, "half way between")
	for _, s := range []network.Setting{network.Shut(), network.At("hot"), network.At("cold")} {
		q, _ := steady(t, m, on(s), nil, sim.Options{}).FlowAt("handles", "cold")
		assert.Zero(t, float64(q), s.Word())
	}
}

// A selector joins what its position says and nothing else.
func TestSelectorPositions(t *testing.T) {
	m := compile(t, append(level("in", "a", "b"),
		network.Hookup{Name: "hose", At: "in", Static: 50 * unit.PSI},
		network.Selector{Name: "panel", Ports: []string{"in", "a", "b"}, Positions: []network.Position{
			{Name: "fill", Joins: [][2]string{{"in", "a"}}}, {Name: "use", Joins: [][2]string{{"in", "b"}}}, {Name: "nothing joined"}}},
		network.Fixture{Name: "tap a", At: "a"}, network.Fixture{Name: "tap b", At: "b"})...)
	for position, want := range map[string][2]bool{"fill": {true, false}, "use": {false, true}, "nothing joined": {false, false}} {
		still := steady(t, m, network.Lineup{"hose": network.On(), "panel": network.At(position), "tap a": network.Open(1), "tap b": network.Open(1)}, nil, sim.Options{})
		assert.Equal(t, want, [2]bool{flow(t, still, "tap a") > 1e-6, flow(t, still, "tap b") > 1e-6}, position)
	}
	seep := orifice("panel", 1e-6)
	seep.Pair = [2]string{"in", "b"}
	still := steady(t, m, network.Lineup{"hose": network.On(), "tap b": network.Open(1)}, network.Faults{seep}, sim.Options{})
	p := pressure(t, still, "in") - pressure(t, still, "b")
	assert.InDelta(t, 1e-6*math.Sqrt(p/float64(45*unit.PSI)), flow(t, still, "tap b"), 1e-12, "the parted pair seeps")
}

// The hookup's four ways to stand, with a seeping inlet check behind it.
func TestHookupStandsFourWays(t *testing.T) {
	m := compile(t, camper(
		network.Joint{Name: "city"},
		network.Hookup{Name: "hose", At: "city", Static: 60 * unit.PSI},
		network.Check{Name: "inlet check", From: "city", To: "tee"})...)
	faults := network.Faults{orifice("inlet check", 1e-6)}
	opts := sim.Options{Until: secs(30)}
	out := map[string]float64{}
	for name, s := range map[string]network.Setting{"on": network.On(), "shut": network.ShutAtSpigot(), "off": network.Off(), "capped": network.Capped()} {
		rec := simulate(t, m, network.Lineup{"hose": s, "pump": network.Off()}, faults, opts)
		out[name] = rec.Ledger.Out
		if name == "on" {
			assert.Positive(t, rec.Ledger.In, "city water comes in")
		} else {
			assert.Zero(t, rec.Ledger.In, name)
		}
	}
	assert.Greater(t, out["off"], 1e-5, "out of the inlet that is open to the air")
	assert.Zero(t, out["shut"])
	assert.Zero(t, out["capped"])
	assert.Zero(t, out["on"])
}

// Pressures through the interface are refused where they are no numbers, all
// together, and nothing is computed.
func TestOptionsAreRefusedTogether(t *testing.T) {
	m := compile(t, camper()...)
	_, err := m.Begin(network.Lineup{"no such part": network.Shut()}, network.Faults{orifice("nothing", 1)}, sim.Options{
		Until: -1, Altitude: unit.Length(math.NaN()),
		Start: sim.Start{
			Tanks:     map[string]unit.Volume{"pump": 1, "tank": unit.Volume(math.Inf(1))},
			Pressures: map[string]unit.Pressure{"nowhere": 1, "tee": unit.Pressure(math.NaN()), "tap": unit.Pressure(math.Inf(1))},
			Pumps:     map[string]bool{"tank": true}, Temperatures: map[string]unit.Temperature{"tank": 300},
		},
		Schedule: []sim.Change{{At: -1, Lineup: network.Lineup{"tap": network.At("nonsense")}, Stroke: []string{"pump"}, Heat: map[string]unit.Temperature{"tank": 0}}},
	})
	require.Error(t, err)
	for _, want := range []string{"no such part", `"nothing"`, "until", "altitude", `"pump" is no tank`, `"tank" holds`, `"nowhere"`, `"tee"`, `"tap"`,
		`"tank" is no pump`, `"tank" is no heater`, "before the start", "nonsense", `"pump" is no hand pump`} {
		assert.ErrorContains(t, err, want)
	}
	for _, bad := range []sim.Options{
		{Start: sim.Start{Tanks: map[string]unit.Volume{"tank": unit.Volume(math.NaN())}}},
		{Start: sim.Start{Pressures: map[string]unit.Pressure{"tee": -2e5}}},
		{Altitude: unit.Length(math.Inf(1))},
		{MaxSteps: -1},
	} {
		_, err := m.Steady(nil, nil, bad)
		assert.Error(t, err, "%+v", bad)
	}
	for _, x := range []float64{math.NaN(), math.Inf(1), -1} {
		_, err := m.Steady(nil, network.Faults{orifice("fill valve", unit.Flow(x))}, sim.Options{})
		assert.Error(t, err, "a seep of %g", x)
	}
	_, err = sim.Compile(nil)
	assert.Error(t, err)
}
