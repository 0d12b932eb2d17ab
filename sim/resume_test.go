package sim_test

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
	"quietpump/testdata/rigs"
)

// ofTheHouse is a rig of the house, compiled.
func ofTheHouse(tb testing.TB, name string) *sim.Model {
	data, err := rigs.Files.ReadFile(name + ".rig.toml")
	require.NoError(tb, err)
	rig, err := rigfile.Parse(name, data)
	require.NoError(tb, err)
	m, err := sim.Compile(rig)
	require.NoError(tb, err)
	return m
}

// A piece is a stretch of a simulation under one lineup and with one set of faults.
type piece struct {
	until  time.Duration // of the whole
	lineup network.Lineup
	faults network.Faults
}

// inPieces simulates the pieces, each from where the one before stands, and
// returns the events in the time of the whole with the sum of the ledgers.
func inPieces(tb require.TestingT, m *sim.Model, opts sim.Options, pieces ...piece) ([]sim.Event, sim.Ledger) {
	var events []sim.Event
	var ledger sim.Ledger
	var run *sim.Run
	schedule := opts.Schedule
	at := time.Duration(0)
	for i, p := range pieces {
		o := opts
		o.Until, o.Schedule = 1000*time.Hour, nil
		for _, c := range schedule {
			if c.At >= at {
				c.At -= at
				o.Schedule = append(o.Schedule, c)
			}
		}
		var next *sim.Run
		var err error
		if i == 0 {
			next, err = m.Begin(p.lineup, p.faults, o)
		} else {
			o.Start = sim.Start{}
			next, err = m.Resume(run, p.lineup, p.faults, o)
			run.Close()
		}
		require.NoError(tb, err)
		run = next
		for there := false; !there; {
			there, err = run.AdvanceTo(p.until-at, 7)
			require.NoError(tb, err)
		}
		require.InDelta(tb, (p.until - at).Seconds(), run.Time(), 1e-9)
		for _, e := range run.Events() {
			if e.What != sim.Scheduled {
				e.At += at.Seconds()
				events = append(events, e)
			}
		}
		ledger = ledger.Add(run.Record().Ledger)
		at = p.until
	}
	run.Close()
	return events, ledger
}

// same asserts that events and ledger are those of a record: events within 1 ms,
// which is what a record promises, water within what flows in that time.
func same(tb require.TestingT, rec *sim.Record, events []sim.Event, ledger sim.Ledger) {
	var want []sim.Event
	for _, e := range rec.Events {
		if e.What != sim.Scheduled {
			want = append(want, e)
		}
	}
	require.Len(tb, events, len(want))
	for i, e := range want {
		require.Equal(tb, e.Part, events[i].Part)
		require.Equal(tb, e.What, events[i].What)
		require.InDelta(tb, e.At, events[i].At, 1e-3, "event %d: %s %s", i, e.Part, e.What)
	}
	for name, v := range rec.Ledger.Parts {
		require.InDelta(tb, v, ledger.Parts[name], 1e-4*rec.Ledger.Moved+1e-10, "water through %q", name)
	}
	for name, v := range rec.Ledger.Stored {
		require.InDelta(tb, v, ledger.Stored[name], 1e-4*rec.Ledger.Moved+1e-10, "water in %q", name)
	}
	require.InDelta(tb, 0, ledger.Closure, 1e-9*math.Max(ledger.Moved, 1e-4), "closure")
}

func cut(until, every time.Duration, lineup network.Lineup, faults network.Faults) []piece {
	var list []piece
	for at := every; at < until; at += every {
		list = append(list, piece{at, lineup, faults})
	}
	return append(list, piece{until, lineup, faults})
}

// A simulation that is resumed again and again is the simulation.
func TestResumedAsIfNothingHadBeen(t *testing.T) {
	for _, tt := range []struct {
		rig, fault string
		every      time.Duration
	}{
		{"twopath", "fill valve: 40 mL/min at 45 psi, orifice", 97 * time.Second},
		{"twopath", "pump: 25 mL/min at 45 psi, film", 7 * time.Second},
		{"bench30", "fill valve: 55 mL/min at 45 psi, orifice", 61 * time.Second},
		{"twopumps", "icemaker: 20 mL/min at 45 psi", 307 * time.Second},
		{"camper", "pump: 10 mL/min at 45 psi", 13 * time.Second},
	} {
		t.Run(tt.rig+" "+tt.fault, func(t *testing.T) {
			m := ofTheHouse(t, tt.rig)
			f, err := m.Rig().Fault(tt.fault)
			require.NoError(t, err)
			opts := sim.Options{Until: time.Hour}
			rec := simulate(t, m, nil, network.Faults{f}, opts)
			require.NotEmpty(t, rec.Starts(""))
			events, ledger := inPieces(t, m, opts, cut(opts.Until, tt.every, nil, network.Faults{f})...)
			same(t, rec, events, ledger)
		})
	}
}

// What a hand turns while a simulation is resumed is what a schedule turns.
func TestResumedUnderAnotherLineup(t *testing.T) {
	m := ofTheHouse(t, "twopath")
	f, err := m.Rig().Fault("fill valve: 40 mL/min at 45 psi, orifice")
	require.NoError(t, err)
	faults := network.Faults{f}
	tap := network.Lineup{"galley cold tap": network.Open(0.5)}
	hose := network.Lineup{"hookup": network.On(), "pump": network.Off()}
	shut := network.Lineup{"suction shutoff": network.Shut(), "hookup": network.On(), "pump": network.Off()}
	opts := sim.Options{Until: 30 * time.Minute}
	whole := opts
	whole.Schedule = []sim.Change{
		{At: 300 * time.Second, Lineup: tap},
		{At: 345 * time.Second, Lineup: network.Lineup{"galley cold tap": network.Shut()}},
		{At: 900 * time.Second, Lineup: hose},
		{At: 1200 * time.Second, Lineup: shut},
		{At: 1260 * time.Second, Lineup: network.Lineup{"suction shutoff": network.Open(1), "hookup": network.Off(), "pump": network.On()}},
	}
	rec := simulate(t, m, nil, faults, whole)
	events, ledger := inPieces(t, m, opts,
		piece{300 * time.Second, nil, faults}, piece{345 * time.Second, tap, faults}, piece{900 * time.Second, nil, faults},
		piece{1200 * time.Second, hose, faults}, piece{1260 * time.Second, shut, faults}, piece{opts.Until, nil, faults})
	same(t, rec, events, ledger)
}

// A switch's delay and a variable-speed pump's run-on go on where they were.
func TestResumedWithinADelay(t *testing.T) {
	for name, pump := range map[string]network.Pump{
		"delay":  {Name: "pump", From: "a", To: "b", CutIn: 30 * unit.PSI, CutOut: 45 * unit.PSI, Delay: 4 * time.Second},
		"run-on": {Name: "pump", From: "a", To: "b", Hold: &network.HeldPressure{Start: 35 * unit.PSI, Set: 45 * unit.PSI, LeastSpeed: 0.1, RunOn: 6 * time.Second}},
	} {
		t.Run(name, func(t *testing.T) {
			m := compile(t, network.Tank{Name: "tank", Ports: []string{"a"}, Capacity: 100 * unit.Litre},
				pump, network.Accumulator{Name: "accumulator", At: "b", Volume: 1 * unit.Litre, Precharge: 25 * unit.PSI})
			faults := network.Faults{orifice("pump", 60*unit.MillilitrePerMinute)}
			opts := sim.Options{Until: 20 * time.Minute}
			rec := simulate(t, m, nil, faults, opts)
			require.Greater(t, len(rec.Starts("")), 2)
			events, ledger := inPieces(t, m, opts, cut(opts.Until, 900*time.Millisecond, nil, faults)...)
			same(t, rec, events, ledger)
		})
	}
}

// A heater that is being warmed goes on being warmed.
func TestResumedWhileAHeaterWarms(t *testing.T) {
	m := ofTheHouse(t, "twopath")
	opts := sim.Options{Until: 40 * time.Minute, Schedule: []sim.Change{
		{At: 5 * time.Minute, Heat: map[string]unit.Temperature{"heater": unit.Celsius(20)}},
		{At: 35 * time.Minute, Heat: map[string]unit.Temperature{"heater": unit.Celsius(55)}},
	}}
	rec := simulate(t, m, nil, nil, opts)
	last, err := rec.At(opts.Until)
	require.NoError(t, err)
	at := 17 * time.Minute
	run, err := m.Begin(nil, nil, opts)
	require.NoError(t, err)
	defer run.Close()
	for there := false; !there; {
		there, err = run.AdvanceTo(at, 100)
		require.NoError(t, err)
	}
	next, err := m.Resume(run, nil, nil, sim.Options{Until: opts.Until - at, Schedule: []sim.Change{{At: 35*time.Minute - at, Heat: opts.Schedule[1].Heat}}})
	require.NoError(t, err)
	defer next.Close()
	for done := false; !done; {
		done, err = next.Advance(100)
		require.NoError(t, err)
	}
	now, err := next.Now()
	require.NoError(t, err)
	// Between two temperatures the ramp is cut into straight pieces of its own, so
	// the way there differs by their sagitta, and the end does not.
	assert.InEpsilon(t, pressure(t, &last, "heater tank"), pressure(t, &now, "heater tank"), 1e-3)
}

// A mended part is tight from then on, and a part that begins to seep seeps.
func TestResumedWithOtherFaults(t *testing.T) {
	m := ofTheHouse(t, "twopath")
	f, err := m.Rig().Fault("fill valve: 40 mL/min at 45 psi, orifice")
	require.NoError(t, err)
	g, err := m.Rig().Fault("pump: 40 mL/min at 45 psi, orifice")
	require.NoError(t, err)
	charge, err := m.Rig().Fault("accumulator: precharge 10 psi")
	require.NoError(t, err)
	opts := sim.Options{}
	events, ledger := inPieces(t, m, opts,
		piece{10 * time.Minute, nil, network.Faults{f}}, piece{20 * time.Minute, nil, nil}, piece{30 * time.Minute, nil, network.Faults{g}})
	first := simulate(t, m, nil, network.Faults{f}, sim.Options{Until: 10 * time.Minute})
	n := len(first.Events)
	require.NotZero(t, n)
	require.Equal(t, first.Events, events[:n])
	for _, e := range events[n:] {
		assert.False(t, e.At > 601 && e.At < 1200, "%s %s at %.1f s, with every part tight", e.Part, e.What, e.At)
	}
	assert.Greater(t, events[len(events)-1].At, 1200.0, "the pump's seep makes it start again")
	assert.Greater(t, ledger.Parts["fill valve"], 0.0)

	// Letting gas out of an accumulator leaves the line at its pressure.
	run, err := m.Begin(nil, network.Faults{f}, opts)
	require.NoError(t, err)
	defer run.Close()
	_, err = run.AdvanceTo(20*time.Second, 1000)
	require.NoError(t, err)
	before, ok := run.Pressure("manifold")
	require.True(t, ok)
	next, err := m.Resume(run, nil, network.Faults{f, charge}, opts)
	require.NoError(t, err)
	defer next.Close()
	after, ok := next.Pressure("manifold")
	require.True(t, ok)
	assert.InEpsilon(t, float64(before), float64(after), 1e-6)
}

// Any times of cutting give the same simulation.
func TestResumedAtAnyTime(t *testing.T) {
	m := compile(t, camper()...)
	opts := sim.Options{Until: 10 * time.Minute}
	rec := simulate(t, m, nil, seeping(), opts)
	rapid.Check(t, func(t *rapid.T) {
		var pieces []piece
		at := 0
		for _, ms := range rapid.SliceOfN(rapid.IntRange(1, 90_000), 1, 8).Draw(t, "pieces") {
			if at += ms; at < 600_000 {
				pieces = append(pieces, piece{time.Duration(at) * time.Millisecond, nil, seeping()})
			}
		}
		events, ledger := inPieces(t, m, opts, append(pieces, piece{opts.Until, nil, seeping()})...)
		same(t, rec, events, ledger)
	})
}

func TestResumedTanks(t *testing.T) {
	m := ofTheHouse(t, "twopath")
	run, err := m.Begin(nil, nil, sim.Options{Start: sim.Start{Tanks: map[string]unit.Volume{"fresh tank": 5 * unit.USGallon}}})
	require.NoError(t, err)
	next, err := m.Resume(run, nil, nil, sim.Options{Start: sim.Start{Tanks: map[string]unit.Volume{"fresh tank": 80 * unit.USGallon}}})
	require.NoError(t, err)
	defer next.Close()
	now, err := next.Now()
	require.NoError(t, err)
	v, ok := now.Water("fresh tank")
	require.True(t, ok)
	assert.InEpsilon(t, float64(80*unit.USGallon), float64(v), 1e-9)
	assert.False(t, next.Running("pump"))

	_, err = m.Resume(run, nil, nil, sim.Options{Start: sim.Start{Pumps: map[string]bool{"pump": true}}})
	assert.ErrorContains(t, err, "name tanks and temperatures only")
	run.Close()
	_, err = m.Resume(run, nil, nil, sim.Options{})
	assert.ErrorContains(t, err, "closed")
}

// Another rig takes over what it has in common: here an accumulator twice as large.
func TestResumedOnAnotherRig(t *testing.T) {
	m := ofTheHouse(t, "twopath")
	var items []network.Item
	for _, j := range m.Rig().Joints() {
		items = append(items, j)
	}
	for _, p := range m.Rig().Parts() {
		if a, ok := p.(network.Accumulator); ok {
			a.Volume *= 2
			p = a
		}
		items = append(items, p)
	}
	larger := compile(t, items...)
	f, err := m.Rig().Fault("fill valve: 40 mL/min at 45 psi, orifice")
	require.NoError(t, err)
	run, err := m.Begin(nil, network.Faults{f}, sim.Options{})
	require.NoError(t, err)
	defer run.Close()
	_, err = run.AdvanceTo(time.Minute, 1000)
	require.NoError(t, err)
	next, err := larger.Resume(run, nil, network.Faults{f}, sim.Options{Until: 2 * time.Hour})
	require.NoError(t, err)
	defer next.Close()
	before, _ := run.Pressure("manifold")
	after, _ := next.Pressure("manifold")
	assert.InEpsilon(t, float64(before), float64(after), 1e-6)
	_, err = next.Advance(1e6)
	require.NoError(t, err)
	starts := next.Record().Starts("pump")
	small := simulate(t, m, nil, network.Faults{f}, sim.Options{Until: 2 * time.Hour}).Starts("pump")
	rest := func(at []float64) float64 { return (at[len(at)-1] - at[0]) / float64(len(at)-1) }
	assert.InEpsilon(t, 2*rest(small), rest(starts), 0.1, "twice the accumulator, about twice the quiet")
}

func ExampleModel_Resume() {
	rig, err := rigfile.Read("../testdata/rigs/twopath.rig.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	model, _ := sim.Compile(rig)
	fault, _ := rig.Fault("fill valve: 120 mL/min at 45 psi")
	run, _ := model.Begin(nil, network.Faults{fault}, sim.Options{})
	for there := false; !there; {
		there, _ = run.AdvanceTo(10*time.Minute, 100)
	}
	fmt.Println("in ten minutes the pump starts", len(run.Record().Starts("pump")), "times")

	mended, _ := model.Resume(run, nil, nil, sim.Options{})
	run.Close()
	for there := false; !there; {
		there, _ = mended.AdvanceTo(10*time.Minute, 100)
	}
	fmt.Println("in ten more, mended,", len(mended.Record().Starts("pump")), "times")
	mended.Close()
	// Output:
	// in ten minutes the pump starts 5 times
	// in ten more, mended, 0 times
}
