package waves

import (
	"context"
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

func compiled(t testing.TB, items ...network.Item) *sim.Model {
	t.Helper()
	rig, err := network.New("rig", items...)
	require.NoError(t, err)
	m, err := sim.Compile(rig)
	require.NoError(t, err)
	return m
}

func simulated(t testing.TB, m *sim.Model, lineup string, o Options) *Result {
	t.Helper()
	l, err := m.Rig().Lineup(lineup)
	require.NoError(t, err)
	res, err := Simulate(context.Background(), m, l, nil, o)
	require.NoError(t, err)
	return res
}

func joint(t testing.TB, res *Result, name string) Joint {
	t.Helper()
	for _, j := range res.Joints {
		if j.Name == name {
			return j
		}
	}
	t.Fatalf("no joint %q", name)
	return Joint{}
}

func shutting(tap string, over time.Duration) []Move {
	return []Move{{Over: over, Lineup: network.Lineup{tap: network.Shut()}}}
}

// main is a supply of 3 bar and a tube to a tee.
func main3bar(long unit.Length) []network.Item {
	return []network.Item{
		network.Joint{Name: "main"}, network.Joint{Name: "tee"},
		network.Hookup{Name: "hookup", At: "main", Static: 3 * unit.Bar, Ideal: true},
		network.Tube{Name: "trunk", From: "main", To: "tee", Length: long},
	}
}

// A tap shut faster than the wave returns raises the pressure by ρ·a·v (Joukowsky
// 1898), on a rig of real parts with friction, and the tap's own speed of shutting does not
// matter.
func TestJoukowskyOnARig(t *testing.T) {
	m := compiled(t, append(main3bar(6*unit.Metre), network.Fixture{Name: "tap", At: "tee", Rated: 1 * unit.GPM})...)
	lineup, err := m.Rig().Lineup("hookup=on, tap=open")
	require.NoError(t, err)
	still, err := m.Steady(lineup, nil, sim.Options{})
	require.NoError(t, err)
	q, _ := still.Flow("tap")
	before, _ := still.Pressure("tee")
	for _, over := range []time.Duration{0, 5 * time.Millisecond, 20 * time.Millisecond} {
		res := simulated(t, m, "hookup=on, tap=open", Options{Moves: shutting("tap", over), Until: 36 * time.Millisecond})
		tube, _ := m.Rig().Part("trunk")
		bore := float64(tube.(network.Tube).Bore)
		rho := float64(hydraulics.WaterAt(unit.Celsius(20)).Density)
		rise := rho * float64(res.Tubes[0].Speed) * float64(q) / (math.Pi / 4 * bore * bore)
		// Friction packs the line a little after the front has passed.
		assert.InEpsilon(t, rise, float64(joint(t, res, "tee").Highest-before), 0.02, "%v", over)
	}
}

// At a tee of three like tubes two thirds of a wave go on; at a dead end it comes back
// and stands at twice that; where a tube gives way to a stiffer one more goes on than came.
// Source: Wylie and Streeter (1993), chapter 3: s = 2·Σ⁻¹(1/B)/B₁.
func TestTeesAndDeadEnds(t *testing.T) {
	for _, tt := range []struct {
		material string
		share    float64
	}{{"pex", 2.0 / 3}, {"copper", 0}} {
		items := append(main3bar(9*unit.Metre), network.Joint{Name: "end"}, network.Joint{Name: "dead"},
			network.Tube{Name: "branch", From: "tee", To: "end", Length: 3 * unit.Metre},
			network.Tube{Name: "stub", From: "tee", To: "dead", Length: 3 * unit.Metre, Material: tt.material},
			network.Fixture{Name: "tap", At: "end", Rated: 0.3 * unit.GPM},
		)
		m := compiled(t, items...)
		o := Options{Moves: shutting("tap", 0), QuasiSteady: true, Until: time.Millisecond}
		res := simulated(t, m, "hookup=on, tap=open", o)
		// Until the first of it has come to the dead end.
		o.Until = time.Duration(1.02e9 * (3/float64(res.Tubes[0].Speed) + 3/float64(res.Tubes[1].Speed)))
		res = simulated(t, m, "hookup=on, tap=open", o)
		b := map[string]float64{}
		for _, p := range []string{"trunk", "branch", "stub"} {
			part, _ := m.Rig().Part(p)
			d := float64(part.(network.Tube).Bore)
			for _, u := range res.Tubes {
				if u.Name == p {
					b[p] = float64(u.Speed) / (d * d)
				}
			}
		}
		share := 2 / b["branch"] / (1/b["trunk"] + 1/b["branch"] + 1/b["stub"])
		if tt.share > 0 {
			assert.InDelta(t, tt.share, share, 1e-9)
		}
		end, dead := joint(t, res, "end"), joint(t, res, "dead")
		first := float64(end.Highest - end.Start)
		assert.InEpsilon(t, 2*share*first, float64(dead.Highest-dead.Start), 0.02, tt.material)
	}
}

// The slower the tap, the closer to the water taken as one stiff column, which is
// sim's way; and that to sim's own steady answers, one opening after the other.
func TestSlowClosureIsARigidColumn(t *testing.T) {
	const rho, n = 1000.0, 10
	b := bare{long: 8, bore: 0.012, speed: 350, rho: rho, main: 3e5, reaches: n}
	b.flow = 1.1 * b.area()
	b.friction = 0.6 * b.main / 3 / (b.flow * b.flow)
	last := math.Inf(1)
	for _, rounds := range []float64{4, 16, 64} { // in round trips of the wave
		over := rounds * 2 * b.long / b.speed
		b.moves, b.until = shut(over), over
		r := b.begin(t)
		worst, rise := 0.0, 0.0
		column := rigid{b: b, q: b.flow, over: over}
		for r.t < 0.9*over {
			r.Advance(1)
			column.to(r.t)
			p, _ := r.Pressure("end")
			worst = math.Max(worst, math.Abs(float64(p)-column.end()))
			rise = math.Max(rise, column.end())
		}
		t.Logf("shut in %.2f s: %.0f Pa off a stiff column, of %.0f", over, worst, rise)
		assert.Less(t, worst, last/2.5)
		last = worst
	}
	assert.Less(t, last, 0.005*b.main)

	// A tap that takes ten seconds: at each of its openings sim's steady answer.
	m := compiled(t, append(main3bar(8*unit.Metre), network.Fixture{Name: "tap", At: "tee"})...)
	lineup, err := m.Rig().Lineup("hookup=on, tap=open")
	require.NoError(t, err)
	r, err := Begin(m, lineup, nil, Options{Moves: shutting("tap", 10*time.Second), Until: 9 * time.Second})
	require.NoError(t, err)
	for _, at := range []float64{2, 5, 8} {
		for r.t < at {
			r.Advance(1)
		}
		lineup["tap"] = network.Open(1 - r.t/10)
		still, err := m.Steady(lineup, nil, sim.Options{})
		require.NoError(t, err)
		want, _ := still.Pressure("tee")
		got, _ := r.Pressure("tee")
		assert.InDelta(t, float64(want), float64(got), 0.003*3e5, "at %v s", at)
	}
}

// A rigid column is the bare tube's water as one mass, carried on by Runge and Kutta.
type rigid struct {
	b       bare
	q, t    float64
	over    float64
	tau, pe float64
}

func (r *rigid) rate(t, q float64) float64 {
	r.tau = math.Max(0, 1-t/r.over)
	left := r.b.main - r.b.friction*r.b.flow*r.b.flow
	r.pe = left * (q / (r.tau * r.b.flow)) * (q / (r.tau * r.b.flow))
	return (r.b.main - r.b.friction*q*math.Abs(q) - r.pe) * r.b.area() / (r.b.rho * r.b.long)
}

func (r *rigid) to(t float64) {
	const parts = 20
	h := (t - r.t) / parts
	for range parts {
		k1 := r.rate(r.t, r.q)
		k2 := r.rate(r.t+h/2, r.q+h/2*k1)
		k3 := r.rate(r.t+h/2, r.q+h/2*k2)
		k4 := r.rate(r.t+h, r.q+h*k3)
		r.q += h / 6 * (k1 + 2*k2 + 2*k3 + k4)
		r.t += h
	}
}

func (r *rigid) end() float64 { r.rate(r.t, r.q); return r.pe }

// A cavity that opens at a shut valve grows by what runs away from it: with the head
// that drives it back known, exactly so.
func TestCavityKeepsItsWater(t *testing.T) {
	const rho, n = 998.0, 20
	b := bare{long: 10, bore: 0.012, speed: 400, rho: rho, main: 2e5, reaches: n, moves: shut(0), until: 10 / 400.0 * 12}
	b.flow = 1.2 * b.area()
	r := b.begin(t)
	trip := 2 * n
	r.Advance(trip) // the wave has come back: p would fall to main − ρ·a·v
	require.Less(t, b.main-rho*b.speed*1.2, r.field.vapour)
	gain := (b.main - r.field.vapour) / (rho * b.speed) // m/s for each passage
	v := -1.2 + gain
	want, left := 0.0, false
	for range 3 * trip {
		k := r.n % trip
		if k == 0 && r.n > trip {
			v += 2 * gain
		}
		r.Advance(1)
		want -= v * b.area() * r.field.dt
		if want <= 0 {
			left = true
			break
		}
		end, _ := r.form.Joints["end"], 0
		require.InDelta(t, want, r.nodes[end].cavity, 1e-9*b.area()*b.long, "step %d", r.n)
	}
	require.True(t, left, "the cavity shuts")
	for !r.Advance(100) {
	}
	res := r.Result()
	require.NotEmpty(t, res.Cavities)
	c := res.Cavities[len(res.Cavities)-1]
	assert.Equal(t, "end", c.Joint)
	assert.InDelta(t, float64(trip)*r.field.dt, c.From, 2*r.field.dt)
	assert.NotEmpty(t, res.Warnings)
	assert.GreaterOrEqual(t, float64(res.Lowest.Pressure), r.field.vapour-1e-3)
	// Where cavities shut the wave is higher than the first (Wylie and Streeter, chapter 8).
	assert.Greater(t, float64(res.Highest.Pressure), b.main+rho*b.speed*1.2)
}

// Gas beside the tap takes the height out of the wave, and the more of it the more.
func TestAccumulatorSoftens(t *testing.T) {
	last := unit.Pressure(math.Inf(1))
	for _, volume := range []unit.Volume{0, 0.05 * unit.Litre, 0.2 * unit.Litre, 0.75 * unit.Litre} {
		items := append(main3bar(6*unit.Metre), network.Fixture{Name: "tap", At: "tee"})
		if volume > 0 {
			items = append(items, network.Accumulator{Name: "bottle", At: "tee", Volume: volume, Precharge: 1 * unit.Bar})
		}
		res := simulated(t, compiled(t, items...), "hookup=on, tap=open", Options{Moves: shutting("tap", 10*time.Millisecond), Until: time.Second})
		top := joint(t, res, "tee").Highest
		t.Logf("%v: %v", volume, top)
		assert.Less(t, top, last)
		last = top
	}
	assert.Less(t, last, 3.3*unit.Bar)
}

// A relief valve cuts off what rises above it.
func TestReliefValveOpens(t *testing.T) {
	items := append(main3bar(8*unit.Metre), network.Fixture{Name: "tap", At: "tee"})
	bare := joint(t, simulated(t, compiled(t, items...), "hookup=on, tap=open", Options{Moves: shutting("tap", 10*time.Millisecond)}), "tee").Highest
	res := simulated(t, compiled(t, append(items, network.ReliefValve{Name: "relief", At: "tee", Set: 4 * unit.Bar})...), "hookup=on, tap=open",
		Options{Moves: shutting("tap", 10*time.Millisecond)})
	require.Greater(t, bare, 5*unit.Bar)
	assert.Less(t, joint(t, res, "tee").Highest, 4.4*unit.Bar, "it passes its rated flow at a tenth above its setting")
	require.NotEmpty(t, res.Events)
	assert.Equal(t, sim.ReliefOpens, res.Events[0].What)
	assert.Equal(t, "relief", res.Events[0].Part)
}

// A check's flap follows the flow late: water runs back through it before it shuts, and
// is stopped all at once then, ρ·a·v of what ran back. Without inertia none runs back.
func TestCheckFallsTo(t *testing.T) {
	items := []network.Item{
		network.Joint{Name: "main"}, network.Joint{Name: "before"}, network.Joint{Name: "after"}, network.Joint{Name: "end"},
		network.Hookup{Name: "hookup", At: "main", Static: 3 * unit.Bar, Ideal: true},
		network.Tube{Name: "feed", From: "main", To: "before", Length: 1 * unit.Metre},
		network.Check{Name: "check", From: "before", To: "after"},
		network.Tube{Name: "line", From: "after", To: "end", Length: 20 * unit.Metre},
		network.Accumulator{Name: "bottle", At: "end", Volume: 2 * unit.Litre, Precharge: 1 * unit.Bar},
		network.Fixture{Name: "tap", At: "end"},
	}
	m := compiled(t, items...)
	lineup, err := m.Rig().Lineup("hookup=on, tap=open")
	require.NoError(t, err)
	back := map[bool]float64{}
	for _, ideal := range []bool{false, true} {
		o := Options{IdealChecks: ideal, QuasiSteady: true, Until: time.Second, Moves: []Move{{Lineup: network.Lineup{"hookup": network.Off(), "tap": network.Shut()}}}}
		r, err := Begin(m, lineup, nil, o)
		require.NoError(t, err)
		was, jump := 0.0, 0.0
		for {
			q, _ := r.Flow("check")
			before, _ := r.Pressure("after")
			done := r.Advance(1)
			now, _ := r.Flow("check")
			after, _ := r.Pressure("after")
			back[ideal] = math.Min(back[ideal], float64(q))
			if now == 0 && q < 0 {
				was, jump = float64(q), float64(after-before)
				break
			}
			if done {
				break
			}
		}
		if ideal {
			continue
		}
		require.Less(t, was, 0.0)
		assert.InEpsilon(t, -was*r.field.reaches[1].b, jump, 0.05)
		t.Logf("%.2f gpm ran back, and a rise of %.2f bar when it shut", unit.Flow(-was).GPM(), jump/1e5)
	}
	assert.Less(t, back[false], -float64(0.05*unit.GPM))
	assert.Greater(t, back[true], -1e-9)
}

// A flap under a constant push takes √(2·inertia/push) for the way.
func TestFlap(t *testing.T) {
	f := flapOf(0.012)
	f.lift = 1
	const push, dt = 2000.0, 1e-6
	n := 0
	for !f.moves(-push, dt) {
		n++
	}
	assert.InEpsilon(t, math.Sqrt(2*(1-ajar)*f.inertia/push), float64(n)*dt, 1e-3)
	assert.InDelta(t, 0.008, float64(n)*dt, 0.003, "some milliseconds: common practice, no source")
}

// A pump stops at its cut-out and its flow dies away with its motor; it starts below
// its cut-in and comes to where sim's steady answer stands.
func TestPumpStopsAndStarts(t *testing.T) {
	m := house(t, "noaccumulator")
	start := sim.Options{Start: sim.Start{Pumps: map[string]bool{"pump": true}}}
	o := Options{Until: 400 * time.Millisecond, Rig: start, Moves: shutting("cold tap", 20*time.Millisecond)}
	lineup, err := m.Rig().Lineup("cold tap=open")
	require.NoError(t, err)
	r, err := Begin(m, lineup, nil, o)
	require.NoError(t, err)
	stopped := -1.0
	for !r.Advance(1) {
		if q, _ := r.Flow("pump"); stopped < 0 && len(r.events) > 0 {
			stopped = r.t
			assert.Positive(t, float64(q), "the motor runs down")
		} else if stopped >= 0 && r.t > stopped+0.051 {
			require.LessOrEqual(t, float64(q), 1e-4)
		}
	}
	events := r.Result().Events
	require.NotEmpty(t, events)
	assert.Equal(t, sim.PumpStops, events[0].What)

	// From rest: the tap is opened, the pump starts.
	rec, err := m.Simulate(context.Background(), nil, nil, sim.Options{Until: time.Second, Samples: []time.Duration{0}})
	require.NoError(t, err)
	res, err := Simulate(context.Background(), m, nil, nil, Options{Until: 3 * time.Second, From: &rec.Samples[0],
		Moves: []Move{{Over: 100 * time.Millisecond, Lineup: network.Lineup{"cold tap": network.Open(0.6)}}}, Watch: []string{"pump out"}})
	require.NoError(t, err)
	require.NotEmpty(t, res.Events)
	assert.Equal(t, sim.PumpStarts, res.Events[0].What)
}

// A switch with a delay moves that long after its crossing, and not at all where the
// wave takes the pressure back before.
func TestSwitchWithDelay(t *testing.T) {
	const delay = 0.1 // s
	stops := func(d time.Duration) (crossed float64, events []sim.Event) {
		rig := house(t, "noaccumulator").Rig()
		var items []network.Item
		for _, p := range rig.Parts() {
			if p, ok := p.(network.Pump); ok {
				p.Delay = d
				items = append(items, p)
				continue
			}
			items = append(items, p)
		}
		for _, j := range rig.Joints() {
			items = append(items, j)
		}
		m := compiled(t, items...)
		pump, _ := m.Rig().Part("pump")
		p := pump.(network.Pump)
		res := simulated(t, m, "cold tap=open", Options{Until: 400 * time.Millisecond, Rig: sim.Options{Start: sim.Start{Pumps: map[string]bool{"pump": true}}},
			Moves: shutting("cold tap", 20*time.Millisecond), Watch: []string{p.Sense}})
		since := math.Inf(1)
		for i, at := range res.Traces[0].At {
			above := res.Traces[0].Pressure[i] > p.CutOut
			switch {
			case !above:
				since = math.Inf(1)
			case math.IsInf(since, 1):
				since = at
			}
			if above && at-since >= delay {
				return since, res.Events
			}
		}
		return 0, res.Events
	}
	_, at := stops(0)
	require.NotEmpty(t, at)
	crossed, late := stops(time.Duration(delay * 1e9))
	require.NotEmpty(t, late)
	assert.Equal(t, sim.PumpStops, late[0].What)
	assert.InDelta(t, crossed+delay, late[0].At, 1e-3)
	assert.Greater(t, late[0].At, at[0].At+0.9*delay)
}

// A tap that is opened and shut again before it is all the way open goes from where it
// is; the flow at each moment is that of its opening.
func TestMovesMeet(t *testing.T) {
	m := compiled(t, append(main3bar(2*unit.Metre), network.Fixture{Name: "tap", At: "tee", Rated: 1 * unit.GPM, RatedAt: 45 * unit.PSI})...)
	lineup, err := m.Rig().Lineup("hookup=on")
	require.NoError(t, err)
	r, err := Begin(m, lineup, nil, Options{Until: 2 * time.Second, Moves: []Move{
		{Over: time.Second, Lineup: network.Lineup{"tap": network.Open(1)}},
		{At: 500 * time.Millisecond, Over: 250 * time.Millisecond, Lineup: network.Lineup{"tap": network.Shut()}},
	}})
	require.NoError(t, err)
	for !r.Advance(1) {
		opening := 0.0
		switch {
		case r.t <= 0.5:
			opening = r.t
		case r.t <= 0.75:
			opening = 0.5 * (0.75 - r.t) / 0.25
		}
		p, _ := r.Pressure("tee")
		q, _ := r.Flow("tap")
		want := opening * float64(1*unit.GPM) * math.Sqrt(math.Max(0, float64(p/(45*unit.PSI))))
		require.InDelta(t, want, float64(q), 2e-3*float64(unit.GPM), "at %v s", r.t)
	}
}

// Warm walls are soft: the wave is slower in them and lower. Copper is told from PEX.
func TestWallsMatter(t *testing.T) {
	items := func(material string) *sim.Model {
		return compiled(t, network.Joint{Name: "main"}, network.Joint{Name: "tee"},
			network.Hookup{Name: "hookup", At: "main", Static: 3 * unit.Bar, Ideal: true},
			network.Tube{Name: "trunk", From: "main", To: "tee", Length: 6, Material: material, Size: "1/2 in"}, network.Fixture{Name: "tap", At: "tee", Rated: 0.5 * unit.GPM})
	}
	rise := func(material string, c float64) (unit.Pressure, Tube) {
		res := simulated(t, items(material), "hookup=on, tap=open", Options{Walls: unit.Celsius(c), Moves: shutting("tap", time.Millisecond), Until: 60 * time.Millisecond})
		j := joint(t, res, "tee")
		return j.Highest - j.Start, res.Tubes[0]
	}
	cold, tube := rise("pex", 20)
	hot, soft := rise("pex", 60)
	metal, stiff := rise("copper", 20)
	t.Logf("PEX %v at %.0f m/s (%.0f to %.0f), at 60 °C %v at %.0f m/s, copper %v at %.0f m/s", cold, float64(tube.Speed), float64(tube.Speeds[0]), float64(tube.Speeds[1]),
		hot, float64(soft.Speed), metal, float64(stiff.Speed))
	assert.InEpsilon(t, float64(soft.Speed/tube.Speed), float64(hot/cold), 0.03)
	assert.InDelta(t, 305, float64(tube.Speed), 3)
	assert.InDelta(t, 1316, float64(stiff.Speed), 12, "between the thin-walled 1319.5 and the free thick-walled 1302.7 m/s of the published table")
	assert.True(t, tube.Speeds[0] < tube.Speed && tube.Speed < tube.Speeds[1])
}

// What a change of flow adds to friction takes the wave down faster than steady
// friction alone, and changes its first rise by next to nothing.
func TestUnsteadyFrictionDamps(t *testing.T) {
	m := compiled(t, append(main3bar(10*unit.Metre), network.Fixture{Name: "tap", At: "tee", Rated: 0.6 * unit.GPM})...)
	peaks := func(quasi bool) (first, later float64) {
		res := simulated(t, m, "hookup=on, tap=open", Options{QuasiSteady: quasi, Moves: shutting("tap", 0), Until: 2 * time.Second, Watch: []string{"tee"}})
		require.Empty(t, res.Cavities)
		period := 4 * 10 / float64(res.Tubes[0].Speed)
		for i, at := range res.Traces[0].At {
			p := float64(res.Traces[0].Pressure[i])
			if at < period {
				first = math.Max(first, p)
			}
			if at > 8*period && at < 9*period {
				later = math.Max(later, p)
			}
		}
		return first - 3e5, later - 3e5
	}
	a, b := peaks(true)
	c, d := peaks(false)
	t.Logf("ninth over first: %.3f by steady friction, %.3f with Brunone's", b/a, d/c)
	assert.InEpsilon(t, a, c, 0.01)
	assert.Less(t, d, 0.9*b)
	assert.InDelta(t, 0.0345, brunone(1000), 1e-4)
}
