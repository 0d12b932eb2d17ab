package sim_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// An accumulator on nothing but the stretch of tubes runs empty within what would
// be one step: the pressure then falls forty times as fast, and the pump starts.
func TestAccumulatorRunsEmptyWithinAStep(t *testing.T) {
	const g, c = 1e-12, 1e-10
	items := append(switched(150e3, 380e3, 1e-4, network.Accumulator{Name: "accumulator", At: "line", Volume: 1e-4, Precharge: 200e3, Exponent: 1}),
		network.Elastic{Name: "stretch", At: "line", Compliance: c})
	rec := simulate(t, compile(t, items...), nil, network.Faults{linear(g)}, from(300e3, 2000, sim.Fine))
	empty, starts := times(rec, "accumulator", sim.AccumulatorEmpty), rec.Starts("pump")
	require.NotEmpty(t, empty)
	require.NotEmpty(t, starts)
	// Gas and stretch in parallel, then stretch alone (ode_events.md, (a)(i) and (d)).
	const pa = 101325.0
	C := (200e3 + pa) * 1e-4
	F := func(P float64) float64 { return math.Log((P-pa)/P)/(pa*pa) + 1/(pa*P) }
	want := C/g*(F(300e3+pa)-F(200e3+pa)) + c/g*math.Log(300e3/200e3)
	relative(t, want, empty[0], 1e-8, "empty")
	relative(t, c/g*math.Log(200e3/150e3), starts[0]-empty[0], 1e-7, "from empty to cut-in")
	assert.Equal(t, empty[0] < starts[0], true)
	assert.NotEmpty(t, times(rec, "accumulator", sim.AccumulatorFills), "the pump fills it again")
}

// Pressure at the inlet of a stopped pump opens its valves at their cracking
// pressure; in the ideal limit nothing passes.
func TestPressureAtAStoppedPumpsInlet(t *testing.T) {
	rig := func(sealed bool) *sim.Model {
		return compile(t, append(level("city", "line"),
			network.Hookup{Name: "hose", At: "city", Static: 40 * unit.PSI, Ideal: true},
			network.Pump{Name: "pump", From: "city", To: "line", CutIn: 20 * unit.PSI, CutOut: 45 * unit.PSI, Cracking: 3 * unit.PSI, Sealed: sealed},
			network.Elastic{Name: "stretch", At: "line", Compliance: 1e-10},
			network.Fixture{Name: "tap", At: "line", Rated: 1e-4})...)
	}
	lineup := network.Lineup{"hose": network.On(), "pump": network.Off(), "tap": network.Open(1)}
	still := steady(t, rig(false), lineup, nil, sim.Options{})
	q := flow(t, still, "pump")
	assert.Positive(t, q)
	crack := float64(3 * unit.PSI)
	assert.InDelta(t, crack*(1+math.Pow(q/float64(unit.GPM), 2)), float64(40*unit.PSI)-pressure(t, still, "line"), 1)
	still = steady(t, rig(true), lineup, nil, sim.Options{})
	assert.Zero(t, flow(t, still, "pump"))
	lineup["tap"] = network.Shut()
	rec := simulate(t, rig(false), lineup, nil, sim.Options{Until: time.Minute, Start: sim.Start{Pressures: map[string]unit.Pressure{"line": 0}}})
	end, err := rec.At(time.Minute)
	require.NoError(t, err)
	assert.InDelta(t, float64(37*unit.PSI), pressure(t, &end, "line"), 5, "it fills the line to its cracking pressure below the hose")
}

// A dry tank with water running back into it: the pump passes that and no more,
// keeps running, and is told of; once the level stands 10 mm over the outlet it
// draws again.
func TestDryTankWithRecirculation(t *testing.T) {
	items := append(camper(), network.Joint{Name: "city"}, network.Joint{Name: "pour"},
		network.Hookup{Name: "hose", At: "city", Static: 40 * unit.PSI, Ideal: true},
		network.Shutoff{Name: "trickle", From: "city", To: "pour", K: 3e4})
	for i, it := range items {
		if tank, ok := it.(network.Tank); ok {
			tank.Ports, tank.Floor = []string{"out", "top", "pour"}, 0
			items[i] = tank
		}
		if j, ok := it.(network.Joint); ok && (j.Name == "pour" || j.Name == "top") {
			j.Z = 0.3
			items[i] = j
		}
	}
	m := compile(t, items...)
	lineup := network.Lineup{"hose": network.On(), "tap": network.Open(1)}
	opts := sim.Options{Until: 10 * time.Minute, Samples: []time.Duration{9 * time.Minute},
		Start: sim.Start{Tanks: map[string]unit.Volume{"tank": 0.001}, Pumps: map[string]bool{"pump": true}, Pressures: map[string]unit.Pressure{"line": 25 * unit.PSI, "tee": 25 * unit.PSI, "tap": 25 * unit.PSI}}}
	rec := simulate(t, m, lineup, nil, opts)
	require.NotEmpty(t, times(rec, "tank", sim.TankEmpty))
	require.NotEmpty(t, times(rec, "pump", sim.PumpRunsDry))
	s := &rec.Samples[0]
	in := flow(t, s, "trickle")
	require.Greater(t, in, 1e-6)
	assert.InDelta(t, in, flow(t, s, "pump"), 1e-9, "the pump passes what runs in")
	assert.InDelta(t, in, flow(t, s, "tap"), 1e-9, "what runs in runs out of the tap")
	assert.Empty(t, rec.Stops("pump"), "it keeps running")
	require.NotEmpty(t, rec.Warnings)
	level, _ := s.Level("tank")
	assert.InDelta(t, 0, float64(level), 1e-6)
	assert.InDelta(t, 0, rec.Ledger.Closure, 1e-9*rec.Ledger.Moved)

	// With the tap shut and the pump off the tank fills, and is wet at 10 mm.
	opts.Schedule = []sim.Change{{At: 5 * time.Minute, Lineup: network.Lineup{"tap": network.Shut(), "pump": network.Off()}}}
	opts.Until, opts.Samples = 2*hour, nil
	rec = simulate(t, m, lineup, nil, opts)
	wet := times(rec, "tank", sim.TankWet)
	require.Len(t, wet, 1)
	at, err := rec.At(secs(wet[0]))
	require.NoError(t, err)
	level, _ = at.Level("tank")
	assert.InDelta(t, 0.010, float64(level), 1e-6)
}

// Two things at one instant: the schedule first, then by name of part.
func TestEventsOfOneInstant(t *testing.T) {
	pump := func(name string) network.Pump {
		return network.Pump{Name: name, From: "out", To: "line", Sealed: true, CutIn: 200e3, CutOut: 300e3, Curve: hydraulics.Line(1e-4, 6e5)}
	}
	m := compile(t, append(level("out", "line"),
		network.Tank{Name: "tank", Ports: []string{"out"}, Floor: -0.1},
		pump("b pump"), pump("a pump"),
		network.Elastic{Name: "stretch", At: "line", Compliance: 1e-9},
		network.Fixture{Name: "c tap", At: "line"})...)
	opts := sim.Options{Until: 10 * time.Minute, Start: sim.Start{Pressures: map[string]unit.Pressure{"line": 300e3}}}
	faults := network.Faults{film("line", 1e-6)}
	rec := simulate(t, m, nil, faults, opts)
	require.GreaterOrEqual(t, len(rec.Events), 4, "%v", rec.Events)
	for i, want := range []sim.Event{{Part: "a pump", What: sim.PumpStarts}, {Part: "b pump", What: sim.PumpStarts}, {Part: "a pump", What: sim.PumpStops}, {Part: "b pump", What: sim.PumpStops}} {
		assert.Equal(t, want.Part, rec.Events[i].Part)
		assert.Equal(t, want.What, rec.Events[i].What)
		assert.Equal(t, rec.Events[i/2*2].At, rec.Events[i].At)
	}
	// Both were off and below cut-in when they are switched on with a tap.
	opts.Start.Pressures["line"] = 100e3
	opts.Schedule = []sim.Change{
		{At: 10 * time.Second, Lineup: network.Lineup{"c tap": network.Open(0.01)}},
		{At: 10 * time.Second, Lineup: network.Lineup{"b pump": network.On(), "a pump": network.On()}}}
	rec = simulate(t, m, network.Lineup{"a pump": network.Off(), "b pump": network.Off()}, faults, opts)
	require.GreaterOrEqual(t, len(rec.Events), 4)
	for i, want := range []sim.Event{{10, "a pump", sim.Scheduled}, {10, "a pump", sim.PumpStarts}, {10, "b pump", sim.PumpStarts}, {10, "c tap", sim.Scheduled}} {
		assert.Equal(t, want, rec.Events[i])
	}
}

// A tank that is filled spills from its full level on, and stops when more leaves
// than comes.
func TestTankSpillsAndStops(t *testing.T) {
	m := compile(t, append(level("in", "out", "line"),
		network.Tank{Name: "tank", Ports: []string{"out", "in"}, Capacity: 0.02, Height: 0.2},
		network.Pump{Name: "pump", From: "out", To: "line", Sealed: true, CutIn: 30 * unit.PSI, CutOut: 60 * unit.PSI, Curve: hydraulics.Line(3e-4, 90*unit.PSI)},
		network.Fixture{Name: "tap", At: "line", Rated: 3e-4},
		network.Joint{Name: "city"}, network.Hookup{Name: "hose", At: "city", Static: 40 * unit.PSI, Ideal: true},
		network.Shutoff{Name: "fill valve", From: "city", To: "in", K: 5000})...)
	opts := sim.Options{Until: 10 * time.Minute, Start: sim.Start{Tanks: map[string]unit.Volume{"tank": 0.018}},
		Schedule: []sim.Change{{At: 5 * time.Minute, Lineup: network.Lineup{"fill valve": network.Shut(), "tap": network.Open(1)}}},
		Samples:  []time.Duration{4 * time.Minute, 290 * time.Second, 6 * time.Minute}}
	rec := simulate(t, m, network.Lineup{"hose": network.On()}, nil, opts)
	full := times(rec, "tank", sim.TankFull)
	require.Len(t, full, 1)
	v, _ := rec.Samples[0].Water("tank")
	assert.InDelta(t, 0.02, float64(v), 1e-12, "held at its full level")
	q := flow(t, &rec.Samples[0], "fill valve")
	relative(t, q*(300-full[0]), rec.Ledger.Spilled["tank"], 1e-6, "what came in from then on is spilled")
	v, _ = rec.Samples[2].Water("tank")
	assert.Less(t, float64(v), 0.0199, "it falls once the tap draws")
	assert.InDelta(t, 0, rec.Ledger.Closure, 1e-9*rec.Ledger.Moved)
}

// A tank runs empty, its last millionth in closed form, while another spills.
func TestOneTankRunsEmptyWhileAnotherSpills(t *testing.T) {
	m := compile(t, append(level("city", "in", "out", "low"),
		network.Hookup{Name: "hose", At: "city", Static: 40 * unit.PSI, Ideal: true},
		network.Shutoff{Name: "fill valve", From: "city", To: "in"},
		network.Tank{Name: "full", Ports: []string{"out", "in"}, Capacity: 0.02, Height: 0.2},
		network.Tank{Name: "emptying", Ports: []string{"low"}, Capacity: 0.03, Height: 0.2},
		network.Drain{Name: "drain", At: "low"})...)
	rec := simulate(t, m, network.Lineup{"hose": network.On(), "drain": network.Open(1)}, nil,
		sim.Options{Until: hour, Start: sim.Start{Tanks: map[string]unit.Volume{"full": 0.02, "emptying": 0.03}}})
	require.Len(t, times(rec, "emptying", sim.TankEmpty), 1)
	require.Greater(t, rec.Ledger.Spilled["full"], 1.0)
	assert.InDelta(t, 0, rec.Ledger.Closure, 1e-11*rec.Ledger.Moved)
}

// Warming water behind a check opens the relief valve when it has pushed out what
// stretch takes up to the setting; cooling draws the pressure down and starts the
// pump though nothing seeps.
func TestHeaterWarmsAndCools(t *testing.T) {
	const start, stretch, volume, expansion = 300e3, 6e-11, 0.02, 4e-4
	m := compile(t, append(level("out", "line", "heater"),
		network.Tank{Name: "tank", Ports: []string{"out"}},
		network.Pump{Name: "pump", From: "out", To: "line", Sealed: true, CutIn: 200e3, CutOut: 310e3},
		network.Check{Name: "heater check", From: "line", To: "heater"},
		network.Heater{Name: "heater", At: "heater", Volume: volume, Compliance: stretch, Expansion: expansion},
		network.ReliefValve{Name: "relief", At: "heater", Set: 150 * unit.PSI},
		network.Elastic{Name: "stretch", At: "line", Compliance: 1e-10})...)
	opts := sim.Options{Until: hour, Start: sim.Start{Pressures: map[string]unit.Pressure{"line": start, "heater": start}, Temperatures: map[string]unit.Temperature{"heater": unit.Celsius(20)}},
		Schedule: []sim.Change{{At: hour, Heat: map[string]unit.Temperature{"heater": unit.Celsius(60)}}}}
	rec := simulate(t, m, nil, nil, opts)
	opens := times(rec, "relief", sim.ReliefOpens)
	require.NotEmpty(t, opens)
	warm := (float64(150*unit.PSI) - start) * stretch / (volume * expansion)
	relative(t, warm/40*3600, opens[0], 1e-6, "relief opens")
	assert.Empty(t, rec.Starts("pump"))

	opts.Schedule[0].Heat["heater"] = unit.Celsius(10)
	rec = simulate(t, m, nil, nil, opts)
	require.NotEmpty(t, rec.Starts("pump"), "a cooling heater imitates a seep")
	cold := (start - 200e3) * (stretch + 1e-10) / (volume * expansion)
	relative(t, cold/10*3600, rec.Starts("pump")[0], 1e-4, "cut-in")

	// Each temperature that was asked for is told, at its time, with its heater.
	opts.Schedule = []sim.Change{{At: 20 * time.Minute, Heat: map[string]unit.Temperature{"heater": unit.Celsius(21)}},
		{At: 10 * time.Minute, Heat: map[string]unit.Temperature{"heater": unit.Celsius(20)}, Lineup: network.Lineup{"pump": network.Off()}}}
	rec = simulate(t, m, nil, nil, opts)
	require.GreaterOrEqual(t, len(rec.Events), 3)
	for i, want := range []sim.Event{{600, "heater", sim.Scheduled}, {600, "pump", sim.Scheduled}, {1200, "heater", sim.Scheduled}} {
		assert.Equal(t, want.What, rec.Events[i].What)
		assert.Equal(t, want.Part, rec.Events[i].Part)
		assert.InDelta(t, want.At, rec.Events[i].At, 1e-9)
	}
}

// A pump on a held pressure holds it at any draw it can give, runs on after the
// draw and then rests until its start threshold.
func TestHeldPressure(t *testing.T) {
	m := compile(t, append(level("out", "line"),
		network.Tank{Name: "tank", Ports: []string{"out"}, Floor: -0.1},
		network.Pump{Name: "pump", From: "out", To: "line", Sealed: true, Curve: hydraulics.Line(3e-4, 90*unit.PSI),
			Hold: &network.HeldPressure{Set: 50 * unit.PSI, Start: 40 * unit.PSI, LeastSpeed: 0.2, RunOn: 4 * time.Second}},
		network.Accumulator{Name: "accumulator", At: "line", Volume: 1e-3, Precharge: 30 * unit.PSI},
		network.Fixture{Name: "tap", At: "line", Rated: 1e-4})...)
	opts := sim.Options{Until: 3 * time.Minute, Start: sim.Start{Pressures: map[string]unit.Pressure{"line": 45 * unit.PSI}},
		Schedule: []sim.Change{{At: 10 * time.Second, Lineup: network.Lineup{"tap": network.Open(1)}}, {At: 100 * time.Second, Lineup: network.Lineup{"tap": network.Shut()}}},
		Samples:  []time.Duration{5 * time.Second, 90 * time.Second, 170 * time.Second}}
	rec := simulate(t, m, nil, nil, opts)
	starts, stops := rec.Starts("pump"), rec.Stops("pump")
	require.Len(t, starts, 1)
	require.Len(t, stops, 1)
	assert.Greater(t, starts[0], 10.0)
	assert.Less(t, starts[0], 20.0)
	assert.InDelta(t, float64(50*unit.PSI), pressure(t, &rec.Samples[1], "line"), 200, "held")
	assert.InDelta(t, flow(t, &rec.Samples[1], "tap"), flow(t, &rec.Samples[1], "pump"), 1e-9)
	assert.Greater(t, stops[0], 100.0)
	assert.LessOrEqual(t, stops[0], 104.1, "run-on")
	assert.Zero(t, flow(t, &rec.Samples[2], "pump"))
}

// The switch's delay begins at the crossing and is cancelled where the pressure
// recrosses before it ends.
func TestSwitchDelay(t *testing.T) {
	items := camper()
	for i, it := range items {
		if p, ok := it.(network.Pump); ok {
			p.Delay = 2 * time.Second
			items[i] = p
		}
	}
	slow, fast := compile(t, items...), compile(t, camper()...)
	a := simulate(t, fast, nil, seeping(), sim.Options{Until: 20 * time.Minute})
	b := simulate(t, slow, nil, seeping(), sim.Options{Until: 20 * time.Minute})
	assert.InDelta(t, a.Starts("pump")[0]+2, b.Starts("pump")[0], 1e-3, "two seconds after the crossing")

	// A tap opened for a moment takes the pressure below cut-in; the hose brings it back.
	city := append(items, network.Joint{Name: "city"}, network.Joint{Name: "in"},
		network.Hookup{Name: "hose", At: "city", Static: 40 * unit.PSI, Droop: 10 * unit.PSI, DroopAt: 1e-4},
		network.Check{Name: "inlet check", From: "city", To: "in"}, network.Tube{Name: "city line", From: "in", To: "tee"})
	for i, it := range city {
		if f, ok := it.(network.Fixture); ok {
			f.Rated = 1e-3
			city[i] = f
		}
	}
	m := compile(t, city...)
	moment := func(span time.Duration) *sim.Record {
		return simulate(t, m, network.Lineup{"hose": network.On()}, nil, sim.Options{Until: 60 * time.Second,
			Start:    sim.Start{Pressures: map[string]unit.Pressure{"tee": 40 * unit.PSI}},
			Schedule: []sim.Change{{At: 5 * time.Second, Lineup: network.Lineup{"tap": network.Open(1)}}, {At: 5*time.Second + span, Lineup: network.Lineup{"tap": network.Shut()}}}})
	}
	short := moment(1500 * time.Millisecond)
	lowest := math.Inf(1)
	for ms := 5000; ms < 7000; ms += 20 {
		s, err := short.At(time.Duration(ms) * time.Millisecond)
		require.NoError(t, err)
		lowest = math.Min(lowest, pressure(t, &s, "line"))
	}
	require.Less(t, lowest, float64(30*unit.PSI), "it did fall below cut-in")
	assert.Empty(t, short.Starts("pump"), "cancelled")
	assert.NotEmpty(t, moment(20*time.Second).Starts("pump"))
}

// Each stroke of a hand pump moves its volume, whatever it works against.
func TestHandPumpStrokes(t *testing.T) {
	m := compile(t, append(level("out"), network.Joint{Name: "spout", Z: 0.5},
		network.Tank{Name: "tank", Ports: []string{"out"}},
		network.HandPump{Name: "hand pump", From: "out", To: "spout", Stroke: 1e-4},
		network.Fixture{Name: "spout", At: "spout", Rated: 1e-3})...)
	opts := sim.Options{Until: time.Minute}
	for i := range 5 {
		opts.Schedule = append(opts.Schedule, sim.Change{At: time.Duration(3*i+1) * time.Second, Stroke: []string{"hand pump"}})
	}
	rec := simulate(t, m, network.Lineup{"spout": network.Open(1)}, nil, opts)
	relative(t, 5e-4, rec.Ledger.Parts["hand pump"], 1e-3, "five strokes")
	relative(t, 5e-4, rec.Ledger.Out, 1e-3, "all of it out of the spout")
}

// Plastic tube goes on stretching: pressure shut in falls by itself, and not when
// creep is not asked for.
func TestCreep(t *testing.T) {
	m := compile(t, append(level("a", "b", "c"),
		network.Hookup{Name: "hose", At: "a"}, network.Shutoff{Name: "valve", From: "a", To: "b", Shut: true},
		network.Tube{Name: "tube", From: "b", To: "c", Length: 10})...)
	at := func(creep bool) float64 {
		rec := simulate(t, m, nil, nil, sim.Options{Until: 24 * hour, Creep: creep, Start: sim.Start{Pressures: map[string]unit.Pressure{"b": 300e3}}})
		end, err := rec.At(24 * hour)
		require.NoError(t, err)
		return pressure(t, &end, "c")
	}
	assert.InDelta(t, 300e3, at(false), 1)
	tube, _ := m.Rig().Part("tube")
	mat, err := hydraulics.LookupMaterial(tube.(network.Tube).Material)
	require.NoError(t, err)
	ratio := 0.0
	for _, c := range mat.Creep {
		ratio += c.Ratio
	}
	require.Positive(t, ratio)
	crept := at(true)
	assert.Less(t, crept, 299e3)
	assert.GreaterOrEqual(t, crept, 300e3/(1+ratio)-1, "no further than all of its creep")
}

// What an appliance draws into a waste tank is there, litre by litre.
func TestApplianceIntoWasteTank(t *testing.T) {
	m := compile(t, camper(network.WasteTank{Name: "grey tank"}, network.Appliance{Name: "washer", At: "tap", Rated: 5e-5, Into: "grey tank"})...)
	opts := sim.Options{Until: 10 * time.Minute, Schedule: []sim.Change{
		{At: time.Minute, Lineup: network.Lineup{"washer": network.Open(1)}}, {At: 3 * time.Minute, Lineup: network.Lineup{"washer": network.Shut()}}}}
	rec := simulate(t, m, nil, nil, opts)
	got := rec.Ledger.Stored["grey tank"]
	assert.InDelta(t, 120*5e-5, got, 2e-3, "two minutes at about its rating")
	assert.InDelta(t, rec.Ledger.Parts["washer"], got, 1e-15)
	assert.Zero(t, rec.Ledger.Out)
	end, _ := rec.At(10 * time.Minute)
	v, ok := end.Water("grey tank")
	require.True(t, ok)
	assert.InDelta(t, got, float64(v), 1e-12)
}

// A bypass outside the head valves lets hose pressure into the tank of a healthy
// coach; one inside them is blind to it.
func TestOutsideBypassFillsTheTank(t *testing.T) {
	fills := func(outside bool) float64 {
		items := camper(network.Joint{Name: "city"}, network.Hookup{Name: "hose", At: "city", Static: 65 * unit.PSI},
			network.Check{Name: "inlet check", From: "city", To: "tee"})
		for i, it := range items {
			if p, ok := it.(network.Pump); ok {
				p.Bypass = network.Bypass{Opens: 50 * unit.PSI, Full: 70 * unit.PSI, Outside: outside}
				items[i] = p
			}
		}
		rec := simulate(t, compile(t, items...), network.Lineup{"hose": network.On(), "pump": network.Off()}, nil, sim.Options{Until: time.Minute})
		return rec.Ledger.Stored["tank"]
	}
	assert.Greater(t, fills(true), 1e-3)
	assert.InDelta(t, 0, fills(false), 1e-12)
}

// With height above the sea the air weighs less, and a gauge precharge holds less
// gas: the drawdown between two gauge pressures changes as absolute pressures say.
func TestAltitude(t *testing.T) {
	m := compile(t, switched(240e3, 380e3, 1e-4, network.Accumulator{Name: "accumulator", At: "line", Volume: 0.71e-3, Precharge: 200e3, Exponent: 1})...)
	rest := func(altitude unit.Length) float64 {
		o := from(380e3, 20000, sim.Default)
		o.Altitude = altitude
		return simulate(t, m, nil, network.Faults{hole(0.1e-3, 0.62)}, o).Starts("pump")[0]
	}
	pa := float64(hydraulics.AirPressure(2500))
	k := 0.62 * math.Pi / 4 * 1e-8 * math.Sqrt(2/float64(plainWater.Density))
	H := func(P float64) float64 {
		return math.Sqrt(P-pa)/(pa*P) + math.Pow(pa, -1.5)*math.Atan(math.Sqrt((P-pa)/pa))
	}
	relative(t, (200e3+pa)*0.71e-3/k*(H(380e3+pa)-H(240e3+pa)), rest(2500), 1e-4, "decay at 2500 m")
	assert.NotEqual(t, rest(0), rest(2500))
}

// A pump with next to nothing to press on and a trickle drawn chatters: that is a
// finding with its rate and cause, and no hang.
func TestChatterIsAFinding(t *testing.T) {
	m := compile(t, append(level("out", "line"),
		network.Tank{Name: "tank", Ports: []string{"out"}, Floor: -0.1},
		network.Pump{Name: "pump", From: "out", To: "line", Sealed: true, CutIn: 30 * unit.PSI, CutOut: 45 * unit.PSI},
		network.Elastic{Name: "stretch", At: "line", Compliance: 2e-12},
		network.Fixture{Name: "tap", At: "line", Rated: 5e-6})...)
	rec := simulate(t, m, network.Lineup{"tap": network.Open(1)}, nil, sim.Options{Until: hour})
	require.NotNil(t, rec.Chatter)
	assert.Equal(t, "pump", rec.Chatter.Part)
	assert.Greater(t, rec.Chatter.Rate, 1.0)
	assert.NotEmpty(t, rec.Chatter.Cause)
	assert.True(t, rec.Chatter.Stopped)
	assert.Less(t, rec.Until, 3600.0)

	rigid := compile(t, append(level("out", "line"),
		network.Tank{Name: "tank", Ports: []string{"out"}, Floor: -0.1},
		network.Pump{Name: "pump", From: "out", To: "line", Sealed: true, CutIn: 30 * unit.PSI, CutOut: 45 * unit.PSI},
		network.Fixture{Name: "tap", At: "line", Rated: 5e-6})...)
	rec = simulate(t, rigid, network.Lineup{"tap": network.Open(1)}, nil, sim.Options{Until: hour})
	require.NotNil(t, rec.Chatter, "with no store at all")
	assert.True(t, rec.Chatter.Stopped)
}
