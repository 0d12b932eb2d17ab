package live_test

import (
	"context"
	"fmt"
	"math"
	"runtime"
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
	"quietpump/wasm/live"
)

func house(tb require.TestingT, name string) *network.Rig {
	data, err := rigs.Files.ReadFile(name + ".rig.toml")
	require.NoError(tb, err)
	rig, err := rigfile.Parse(name, data)
	require.NoError(tb, err)
	return rig
}

func faults(tb require.TestingT, rig *network.Rig, list ...string) network.Faults {
	var fs network.Faults
	for _, text := range list {
		f, err := rig.Fault(text)
		require.NoError(tb, err)
		fs = append(fs, f)
	}
	return fs
}

func begin(tb require.TestingT, rig *network.Rig, fs network.Faults, o sim.Options) *live.Live {
	l, err := live.New(rig, nil, fs, o)
	require.NoError(tb, err)
	return l
}

// A wall is a clock that the test turns.
type wall struct{ t time.Time }

func newWall() *wall { return &wall{time.Date(2024, 6, 1, 12, 0, 0, 0, time.UTC)} }

// play shows frames of a sixtieth of a second until the simulated time.
func (w *wall) play(l *live.Live, until float64) {
	for l.Time() < until && l.Halted() == "" {
		l.Advance(w.t, 0)
		w.t = w.t.Add(time.Second / 60)
	}
}

func TestShownTimeIsWallTimeTimesRate(t *testing.T) {
	for _, rate := range []float64{1, 60, 600} {
		l := begin(t, house(t, "twopath"), nil, sim.Options{})
		w := newWall()
		l.SetRate(rate)
		for range 120 { // the clock glides to its rate
			l.Advance(w.t, 0)
			w.t = w.t.Add(time.Second / 60)
		}
		from, began := l.Time(), w.t
		for range 600 {
			l.Advance(w.t, 0)
			w.t = w.t.Add(time.Second / 60)
		}
		assert.InDelta(t, rate*w.t.Sub(began).Seconds(), l.Time()-from, 1e-6*rate, "at %g×", rate)
		assert.False(t, l.Slow())
		assert.Equal(t, rate, l.Pace())
		l.Close()
	}
}

// No frame jumps: a rate is glided to, and a tab that was put away goes on from
// where it was left.
func TestNoJerk(t *testing.T) {
	l := begin(t, house(t, "twopath"), nil, sim.Options{})
	defer l.Close()
	w := newWall()
	l.Advance(w.t, 0)
	last, step := l.Time(), 1.0/60
	for i := range 240 {
		if i == 20 {
			l.SetRate(600)
		}
		if i == 120 {
			w.t = w.t.Add(time.Hour) // the tab was away
			l.Advance(w.t, 0)
			assert.LessOrEqual(t, l.Time()-last, 600*0.25+1e-6)
			last, step = l.Time(), 10
			continue
		}
		w.t = w.t.Add(time.Second / 60)
		l.Advance(w.t, 0)
		now := l.Time() - last
		assert.LessOrEqual(t, now, 3*step+1e-9, "frame %d", i)
		assert.GreaterOrEqual(t, now, step/3, "frame %d", i)
		last, step = l.Time(), now
	}
}

// A machine that cannot follow sees the clock go slower, and nothing is left out.
func TestASlowMachineSlowsTheClock(t *testing.T) {
	rig := house(t, "noaccumulator") // starts every few seconds
	fs := faults(t, rig, "pump: 150 mL/min at 40 psi")
	l := begin(t, rig, fs, sim.Options{})
	defer l.Close()
	w := newWall()
	l.SetRate(600)
	slow := 0
	for range 200 {
		l.Advance(w.t, 20*time.Microsecond)
		w.t = w.t.Add(time.Second / 60)
		if l.Slow() {
			slow++
			assert.Less(t, l.Pace(), l.Rate())
		}
	}
	require.Greater(t, slow, 100, "no budget of 20 µs is enough for ten seconds of this")
	m, err := sim.Compile(rig)
	require.NoError(t, err)
	rec, err := m.Simulate(context.Background(), nil, fs, sim.Options{Until: time.Duration(l.Time() * 1e9)})
	require.NoError(t, err)
	events, _ := l.Events(0)
	require.Len(t, events, len(rec.Events))
}

// What is shown is what the library simulates on the same schedule of changes.
func TestEqualsTheLibrary(t *testing.T) {
	rig := house(t, "twopath")
	m, err := sim.Compile(rig)
	require.NoError(t, err)
	fs := faults(t, rig, "fill valve: 60 mL/min at 45 psi, orifice")
	changes := []network.Lineup{
		{"galley cold tap": network.Open(0.4)}, {"galley cold tap": network.Shut()}, {"hookup": network.On(), "pump": network.Off()},
		{"basin tap": network.Open(1)}, {"basin tap": network.Shut(), "hookup": network.Off(), "pump": network.On()}, {"suction shutoff": network.Shut()}, {"suction shutoff": network.Open(1)},
	}
	rapid.Check(t, func(t *rapid.T) {
		l := begin(t, rig, fs, sim.Options{})
		defer l.Close()
		w := newWall()
		opts := sim.Options{}
		for _, c := range changes {
			l.SetRate(rapid.Float64Range(1, 600).Draw(t, "rate"))
			until := l.Time() + rapid.Float64Range(0.1, 60).Draw(t, "wait")
			for l.Time() < until {
				l.Advance(w.t, 0)
				w.t = w.t.Add(time.Duration(rapid.IntRange(1, 50).Draw(t, "frame")) * time.Millisecond)
			}
			opts.Schedule = append(opts.Schedule, sim.Change{At: time.Duration(math.Round(l.Time() * 1e9)), Lineup: c})
			require.NoError(t, l.Turn(c))
		}
		w.play(l, l.Time()+100)
		opts.Until = time.Duration(math.Round(l.Time() * 1e9))
		rec, err := m.Simulate(context.Background(), nil, fs, opts)
		require.NoError(t, err)
		same(t, rec, l)
	})
}

// same asserts that a live simulation is a record: events within 1 ms, water to a
// part in ten thousand of what moved.
func same(t require.TestingT, rec *sim.Record, l *live.Live) {
	var want []sim.Event
	for _, e := range rec.Events {
		if e.What != sim.Scheduled {
			want = append(want, e)
		}
	}
	got, next := l.Events(0)
	require.Len(t, got, len(want))
	require.Equal(t, len(want), next)
	for i, e := range want {
		require.Equal(t, e.Part, got[i].Part)
		require.Equal(t, e.What, got[i].What)
		require.InDelta(t, e.At, got[i].At, 1e-3, "event %d: %s %s", i, e.Part, e.What)
	}
	ledger := l.Ledger()
	for name, v := range rec.Ledger.Parts {
		require.InDelta(t, v, ledger.Parts[name], 1e-4*rec.Ledger.Moved+1e-9, "water through %q", name)
	}
	require.InDelta(t, 0, ledger.Closure, 1e-9*ledger.Moved+1e-15)
	last, err := rec.At(time.Duration(rec.Until * 1e9))
	require.NoError(t, err)
	p, _ := last.Pressure(l.Gauge())
	q, ok := l.Sample().Pressure(l.Gauge())
	require.True(t, ok)
	require.InDelta(t, float64(p), float64(q), 200)
}

// A simulated day at full rate drifts by nothing, needs no more memory than an hour,
// and its ledger closes.
func TestADay(t *testing.T) {
	if testing.Short() {
		t.Skip("simulates a day frame by frame")
	}
	rig := house(t, "bench30")
	fs := faults(t, rig, "fill valve: 55 mL/min at 45 psi, orifice")
	l := begin(t, rig, fs, sim.Options{})
	defer l.Close()
	w := newWall()
	l.SetRate(600)
	w.play(l, 3600)
	heap := func() uint64 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	hour := heap()
	w.play(l, 86400)
	day := heap()
	assert.Less(t, int64(day)-int64(hour), int64(3<<20), "bytes more after a day than after an hour")

	m, err := sim.Compile(rig)
	require.NoError(t, err)
	rec, err := m.Simulate(context.Background(), nil, fs, sim.Options{Until: time.Duration(math.Round(l.Time() * 1e9))})
	require.NoError(t, err)
	want := rec.Events
	got, next := l.Events(0)
	require.Equal(t, len(want), next)
	require.NotEmpty(t, got)
	drift := 0.0
	for i, e := range got {
		drift = math.Max(drift, math.Abs(e.At-want[len(want)-len(got)+i].At))
	}
	// A record keeps its events to 1 ms or a millionth of the time.
	assert.Less(t, drift, 1e-6*86400, "s of drift in a day")
	ledger := l.Ledger()
	assert.InEpsilon(t, rec.Ledger.Parts["fill valve"], ledger.Parts["fill valve"], 1e-5)
	assert.InDelta(t, 0, ledger.Closure, 1e-9*ledger.Moved)
	t.Logf("%d events, drift %.3g s, closure %.3g of what moved", next, drift, ledger.Closure/ledger.Moved)
}

// The habit of a seeping rig is the record's.
func TestHabit(t *testing.T) {
	rig := house(t, "twopath")
	fs := faults(t, rig, "pump: 120 mL/min at 45 psi")
	l := begin(t, rig, fs, sim.Options{})
	defer l.Close()
	w := newWall()
	l.SetRate(60)
	w.play(l, 300)
	assert.Greater(t, l.Habit().Cycles, 0)
	require.NoError(t, l.Turn(network.Lineup{"galley cold tap": network.Open(1)}))
	assert.Equal(t, 0, l.Habit().Cycles, "a change begins the account anew")
	w.play(l, 310)
	require.NoError(t, l.Turn(network.Lineup{"galley cold tap": network.Shut()}))
	w.play(l, 1800)
	h := l.Habit()
	require.Equal(t, 6, h.Cycles)
	m, err := sim.Compile(rig)
	require.NoError(t, err)
	rec, err := m.Simulate(context.Background(), nil, fs, sim.Options{Until: 2 * time.Hour})
	require.NoError(t, err)
	starts, stops := rec.Starts("pump"), rec.Stops("pump")
	n := len(starts) - 1
	assert.InEpsilon(t, starts[n]-stops[n-1], h.Rest, 1e-3)
	assert.InEpsilon(t, stops[n-1]-starts[n-1], h.Run, 1e-2)
	assert.InEpsilon(t, 86400/(starts[n]-starts[n-1]), h.Starts, 1e-2)
	// What the pump lifts in a cycle is what seeps through its head in one: between
	// 120 mL/min at 45 psi and, by the square root, 98 mL/min at 30 psi.
	water := h.Water.Litres() / 1440 * 1000
	assert.Greater(t, water, 98.0)
	assert.Less(t, water, 120.0)
	// Some 6 A while it runs.
	amps := float64(h.Charge) / (h.Starts * h.Run)
	assert.Greater(t, amps, 5.0)
	assert.Less(t, amps, 8.0)
}

// The account closes: what was pumped was drawn, got away or is still in the lines.
func TestAccount(t *testing.T) {
	rig := house(t, "twopath")
	l := begin(t, rig, faults(t, rig, "pump: 120 mL/min at 45 psi"), sim.Options{})
	defer l.Close()
	w := newWall()
	l.SetRate(60)
	w.play(l, 600)
	quiet := l.Account()
	assert.Zero(t, quiet.Drawn)
	away := l.Roll().Ends() * 110e-6 / 60 // m³, 98 to 120 mL/min
	assert.InEpsilon(t, away, float64(quiet.Away), 0.12)
	assert.InDelta(t, float64(quiet.Pumped), float64(quiet.Away), 300e-6, "the accumulator has at most a third of a litre")
	assert.InDelta(t, float64(45*unit.USGallon), float64(quiet.Tanks), 1e-3, "it seeps back to where it came from")
	require.NoError(t, l.Turn(network.Lineup{"galley cold tap": network.Open(1)}))
	w.play(l, 660)
	require.NoError(t, l.Turn(network.Lineup{"galley cold tap": network.Shut()}))
	w.play(l, 900)
	a := l.Account()
	ledger := l.Ledger()
	assert.InEpsilon(t, ledger.Parts["galley cold tap"], float64(a.Drawn), 1e-6)
	assert.Greater(t, a.Away, quiet.Away)
	assert.InEpsilon(t, float64(90*unit.USGallon), float64(a.Room), 1e-9)
	q, ok := l.Charge()
	require.True(t, ok)
	assert.Greater(t, q.AmpereHours(), 0.05)
}

func TestRollIsThePressure(t *testing.T) {
	rig := house(t, "twopath")
	fs := faults(t, rig, "fill valve: 120 mL/min at 45 psi")
	l := begin(t, rig, fs, sim.Options{})
	defer l.Close()
	w := newWall()
	l.SetRate(20)
	w.play(l, 400)
	m, err := sim.Compile(rig)
	require.NoError(t, err)
	rec, err := m.Simulate(context.Background(), nil, fs, sim.Options{Until: 400 * time.Second})
	require.NoError(t, err)
	starts, stops := rec.Starts("pump"), rec.Stops("pump")
	for at := 0.5; at < 399; at += 0.7 {
		s, err := rec.At(time.Duration(at * 1e9))
		require.NoError(t, err)
		want, _ := s.Pressure(l.Gauge())
		got, ok := l.Roll().At(at)
		require.True(t, ok)
		assert.InDelta(t, want.PSI(), got.PSI(), 0.3, "at %.1f s", at)
	}
	runs := l.Roll().Runs(0, 400)
	require.Len(t, runs, len(starts))
	for i := range stops {
		assert.InDelta(t, starts[i], runs[i].From, 1e-3)
		assert.InDelta(t, stops[i], runs[i].To, 1e-3)
		least := unit.Pressure(math.Inf(1))
		l.Roll().Each(runs[i].From-1, runs[i].From, func(_ float64, p unit.Pressure) { least = min(least, p) })
		starting, _ := l.Switch()
		assert.InEpsilon(t, float64(starting), float64(least), 1e-9, "the line meets the printed one")
	}
	assert.Zero(t, l.Roll().Begins())
	assert.InDelta(t, l.Time(), l.Roll().Ends(), 1e-9)
}

func TestChanges(t *testing.T) {
	rig := house(t, "twopath")
	l := begin(t, rig, nil, sim.Options{})
	defer l.Close()
	w := newWall()
	l.SetRate(60)
	w.play(l, 100)
	assert.Error(t, l.Turn(network.Lineup{"no such tap": network.Open(1)}))
	assert.Error(t, l.Turn(network.Lineup{"pump": network.Open(1)}))
	assert.Error(t, l.Break(network.Faults{network.Seep{Part: "nowhere"}}))
	assert.Error(t, l.Fill("heater", unit.Litre))
	before, _ := l.Sample().Pressure(l.Gauge())
	at := l.Time()

	require.NoError(t, l.Break(faults(t, rig, "accumulator: precharge 10 psi", "pump: 100 mL/min at 45 psi")))
	after, _ := l.Sample().Pressure(l.Gauge())
	assert.InEpsilon(t, float64(before), float64(after), 1e-3)
	assert.InDelta(t, at, l.Time(), 1e-9)
	w.play(l, at+600)
	assert.Greater(t, l.Habit().Cycles, 1)

	require.NoError(t, l.Fill("fresh tank", 20*unit.USGallon))
	v, ok := l.Sample().Water("fresh tank")
	require.True(t, ok)
	assert.InEpsilon(t, float64(20*unit.USGallon), float64(v), 1e-9)

	require.NoError(t, l.Press(36*unit.PSI))
	pressed, _ := l.Sample().Pressure(l.Gauge())
	assert.InEpsilon(t, float64(36*unit.PSI), float64(pressed), 1e-4)
	v, _ = l.Sample().Water("fresh tank")
	assert.InEpsilon(t, float64(20*unit.USGallon), float64(v), 1e-6, "the tank keeps what it holds")
	assert.False(t, l.Running("pump"))
	require.NoError(t, l.Press(25*unit.PSI)) // below where it starts
	l.SetRate(1)
	w.play(l, l.Time()+0.2)
	assert.True(t, l.Running("pump"))
	l.SetRate(60)

	var items []network.Item
	for _, j := range rig.Joints() {
		items = append(items, j)
	}
	for _, p := range rig.Parts() {
		if a, ok := p.(network.Accumulator); ok {
			a.Volume = 5 * unit.Litre
			p = a
		}
		items = append(items, p)
	}
	other, err := network.New("larger", items...)
	require.NoError(t, err)
	rest := l.Habit().Rest
	require.NoError(t, l.Refit(other))
	require.NoError(t, l.Break(faults(t, rig, "pump: 100 mL/min at 45 psi")))
	w.play(l, l.Time()+3600)
	assert.Greater(t, l.Habit().Rest, 2*rest)
	assert.Equal(t, "larger", l.Rig().Name())
}

// What cannot be followed halts with words, and goes on after a change.
func TestChatterHalts(t *testing.T) {
	rig := house(t, "camper")
	l := begin(t, rig, nil, sim.Options{})
	defer l.Close()
	w := newWall()
	require.NoError(t, l.Turn(network.Lineup{"galley tap": network.Open(0.02)}))
	l.SetRate(600)
	w.play(l, 3600)
	require.Contains(t, l.Halted(), "starts and stops")
	assert.Zero(t, l.Pace())
	assert.False(t, l.Advance(w.t, 0))
	at := l.Time()
	require.NoError(t, l.Turn(network.Lineup{"galley tap": network.Shut()}))
	assert.Empty(t, l.Halted())
	w.play(l, at+10)
	assert.Greater(t, l.Time(), at)
}

// The same clock gives the same frames, to the last bit.
func TestDeterministic(t *testing.T) {
	show := func() string {
		rig := house(t, "twopath")
		l := begin(t, rig, faults(t, rig, "fill valve: 120 mL/min at 45 psi"), sim.Options{})
		defer l.Close()
		w := newWall()
		l.SetRate(60)
		w.play(l, 500)
		require.NoError(t, l.Turn(network.Lineup{"basin tap": network.Open(1)}))
		w.play(l, 700)
		p, _ := l.Sample().Pressure("galley hot")
		events, _ := l.Events(0)
		return fmt.Sprint(p, l.Time(), events, l.Ledger(), l.Habit())
	}
	assert.Equal(t, show(), show())
}

// Every rig of the house can be followed at every rate.
func TestRigsOfTheHouse(t *testing.T) {
	for _, name := range []string{"bench30", "bypass", "camper", "noaccumulator", "nosuction", "twopath", "twopumps"} {
		rig := house(t, name)
		for _, s := range rig.Suspects(nil) {
			f := s.Seep
			f.Ref, f.At = 50*unit.MillilitrePerMinute, 45*unit.PSI
			if name == "camper" { // nothing stores water, so a larger seep makes its pump chatter
				f.Ref /= 25
			}
			l := begin(t, rig, network.Faults{f}, sim.Options{})
			w := newWall()
			l.SetRate(600)
			w.play(l, 1200)
			assert.Empty(t, l.Halted(), "%s: %s", name, f)
			l.Close()
		}
	}
}

func BenchmarkAdvance(b *testing.B) {
	for _, name := range []string{"twopath", "bench30", "twopumps", "noaccumulator"} {
		for _, rate := range []float64{1, 60, 600} {
			b.Run(fmt.Sprintf("rig=%s/rate=%g", name, rate), func(b *testing.B) {
				rig := house(b, name)
				f := "pump: 50 mL/min at 45 psi"
				if name == "twopumps" {
					f = "first pump: 50 mL/min at 45 psi"
				}
				if name == "bench30" {
					f = "fill valve: 55 mL/min at 45 psi"
				}
				l := begin(b, rig, faults(b, rig, f), sim.Options{})
				defer l.Close()
				w := newWall()
				l.SetRate(rate)
				w.play(l, 10*rate)
				b.ReportAllocs()
				for b.Loop() {
					l.Advance(w.t, 0)
					w.t = w.t.Add(time.Second / 60)
				}
			})
		}
	}
}

func ExampleLive() {
	data, err := rigs.Files.ReadFile("twopath.rig.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	rig, _ := rigfile.Parse("twopath", data)
	fault, _ := rig.Fault("fill valve: 120 mL/min at 45 psi")
	l, err := live.New(rig, nil, network.Faults{fault}, sim.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	defer l.Close()
	l.SetRate(60)
	now := time.Date(2024, 6, 1, 12, 0, 0, 0, time.UTC)
	for range 20 * 60 { // twenty seconds of looking on
		l.Advance(now, 3*time.Millisecond)
		now = now.Add(time.Second / 60)
	}
	h := l.Habit()
	fmt.Printf("quiet for %.0f s, running for %.1f s\n", h.Rest, h.Run)
	// Output: quiet for 100 s, running for 1.7 s
}

// What was kept of an earlier time goes before: its clock, its account, its charge.
func TestCarry(t *testing.T) {
	rig := house(t, "twopath")
	fs := faults(t, rig, "toilet valve: 120 mL/min at 45 psi")
	first := begin(t, rig, fs, sim.Options{})
	defer first.Close()
	first.Pass(1800)
	assert.InDelta(t, 1800.0, first.Time(), 1e-6)
	was := first.Account()
	q, ok := first.Charge()
	require.True(t, ok)
	l := begin(t, rig, fs, sim.Options{Start: sim.Start{Tanks: map[string]unit.Volume{"fresh tank": was.Tanks}}})
	defer l.Close()
	l.Carry(1800, was, q)
	assert.InDelta(t, 1800.0, l.Time(), 1e-9)
	assert.InDelta(t, 1800.0, l.Roll().Begins(), 1e-9, "the paper is new")
	now := l.Account()
	for name, pair := range map[string][2]unit.Volume{"tanks": {was.Tanks, now.Tanks}, "pumped": {was.Pumped, now.Pumped}, "drawn": {was.Drawn, now.Drawn}, "away": {was.Away, now.Away}, "spilled": {was.Spilled, now.Spilled}} {
		assert.InDelta(t, float64(pair[0]), float64(pair[1]), 1e-9, name)
	}
	l.Pass(1800)
	assert.InDelta(t, 3600.0, l.Time(), 1e-6)
	later, _ := l.Charge()
	assert.InEpsilon(t, 2*float64(q), float64(later), 0.1, "half an hour more costs as much again")
	assert.InEpsilon(t, 2*float64(was.Away), float64(l.Account().Away), 0.05)
	l.Pass(math.NaN())
	l.Pass(-5)
	assert.InDelta(t, 3600.0, l.Time(), 1e-6, "time goes forward")
}
