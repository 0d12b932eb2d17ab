package sim_test

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/internal/rigs"
)

// firstRest is the time from cut-out to the first start; the span where none.
func firstRest(tb require.TestingT, m *sim.Model, faults network.Faults, span time.Duration) float64 {
	rec := simulate(tb, m, nil, faults, sim.Options{Until: span})
	if at := rec.Starts("pump"); len(at) > 0 {
		return at[0]
	}
	return span.Seconds()
}

func drawSeep(t *rapid.T) hydraulics.Seep {
	return hydraulics.Seep{
		Ref: unit.Flow(math.Pow(10, rapid.Float64Range(-8, -5.5).Draw(t, "log10 of the seep"))),
		At:  45 * unit.PSI, Exp: rapid.SampledFrom([]float64{0.5, 0.7, 1, 1.5}).Draw(t, "exponent"),
	}
}

func TestLargerSeepNeverLengthensTheRest(t *testing.T) {
	m := compile(t, camper()...)
	rapid.Check(t, func(t *rapid.T) {
		seep := drawSeep(t)
		a := firstRest(t, m, network.Faults{network.Seep{Part: "fill valve", Seep: seep}}, 2*hour)
		seep.Ref *= unit.Flow(rapid.Float64Range(1.001, 10).Draw(t, "factor"))
		b := firstRest(t, m, network.Faults{network.Seep{Part: "fill valve", Seep: seep}}, 2*hour)
		require.LessOrEqual(t, b, a)
	})
}

func TestLargerAccumulatorNeverShortensTheRest(t *testing.T) {
	rest := func(t *rapid.T, litres float64, seep hydraulics.Seep) float64 {
		items := camper()
		for i, it := range items {
			if a, ok := it.(network.Accumulator); ok {
				a.Volume = unit.Volume(litres) * unit.Litre
				items[i] = a
			}
		}
		return firstRest(t, compile(t, items...), network.Faults{network.Seep{Part: "fill valve", Seep: seep}}, 2*hour)
	}
	rapid.Check(t, func(t *rapid.T) {
		seep := drawSeep(t)
		v := rapid.Float64Range(0.05, 4).Draw(t, "litres")
		require.GreaterOrEqual(t, rest(t, v*rapid.Float64Range(1.001, 4).Draw(t, "factor"), seep), rest(t, v, seep))
	})
}

// A shut valve that isolates a seeping part stops what it exchanges.
func TestIsolatingShutoffStopsTheExchange(t *testing.T) {
	items := append(camper(), network.Joint{Name: "far"}, network.Joint{Name: "toilet"},
		network.Shutoff{Name: "stop", From: "tee", To: "far"},
		network.Tube{Name: "toilet run", From: "far", To: "toilet"},
		network.Fixture{Name: "toilet valve", At: "toilet", Toilet: true})
	m := compile(t, items...)
	rapid.Check(t, func(t *rapid.T) {
		faults := network.Faults{network.Seep{Part: "toilet valve", Seep: drawSeep(t)}}
		opts := sim.Options{Until: hour}
		open := simulate(t, m, nil, faults, opts)
		shut := simulate(t, m, network.Lineup{"stop": network.Shut()}, faults, opts)
		require.Positive(t, open.Ledger.Parts["stop"])
		require.Zero(t, shut.Ledger.Parts["stop"])
		require.Empty(t, shut.Events, "and the coach is quiet")
		set, enough := m.Rig().Isolators("toilet valve")
		require.True(t, enough)
		require.Contains(t, set, "stop")
	})
}

// The order in which parts and joints are listed changes no bit of the events.
func TestListingOrderChangesNothing(t *testing.T) {
	faults := network.Faults{orifice("fill valve", 9e-7)}
	opts := sim.Options{Until: 20 * time.Minute}
	want := simulate(t, compile(t, camper()...), nil, faults, opts)
	require.NotEmpty(t, want.Events)
	rapid.Check(t, func(t *rapid.T) {
		m := compile(t, rapid.Permutation(camper()).Draw(t, "order")...)
		got := simulate(t, m, nil, faults, opts)
		require.Equal(t, want.Events, got.Events)
		require.Equal(t, want.Ledger, got.Ledger)
		require.Equal(t, want.Effort, got.Effort)
	})
}

// Which way round a tube is listed changes nothing but rounding.
func TestDirectionOfTubesChangesNothing(t *testing.T) {
	faults := network.Faults{orifice("fill valve", 9e-7)}
	opts := sim.Options{Until: 20 * time.Minute}
	want := simulate(t, compile(t, camper()...), nil, faults, opts)
	turned := camper()
	for i, it := range turned {
		if p, ok := it.(network.Tube); ok {
			p.From, p.To = p.To, p.From
			turned[i] = p
		}
	}
	got := simulate(t, compile(t, turned...), nil, faults, opts)
	require.Len(t, got.Events, len(want.Events))
	worst := 0.0
	for i, e := range want.Events {
		worst = math.Max(worst, math.Abs(got.Events[i].At/e.At-1))
	}
	assert.LessOrEqual(t, worst, 1e-12)
	t.Logf("worst %.2g relative", worst)
}

// The ledger of a day's cycling closes to 1e-9 of the water moved.
func TestLedgerOfADay(t *testing.T) {
	m, faults, opts := bench30(t)
	opts.Until = 24 * hour
	rec := simulate(t, m, nil, faults, opts)
	require.Greater(t, len(rec.Starts("pump")), 700)
	l := &rec.Ledger
	assert.LessOrEqual(t, math.Abs(l.Closure), 1e-9*l.Moved)
	stored := 0.0
	for _, v := range l.Stored {
		stored += v
	}
	assert.InDelta(t, l.In-l.Out-stored, l.Closure, 1e-18, "closure is what the sums say")
	assert.InDelta(t, l.Parts["pump"]-l.Parts["fill valve"], -l.Stored["fresh tank"], 1e-9*l.Moved, "the tank lost what the pump drew less what seeped back")
	t.Logf("closure %.2g of the %.4g m³ moved", l.Closure/l.Moved, l.Moved)
}

// On rigs of every kind a record is the same whichever goroutine makes it.
func TestRandomRigsAreDeterministic(t *testing.T) {
	for seed := uint64(1); seed <= 12; seed++ {
		c, err := rigs.Random(seed, 12)
		require.NoError(t, err)
		m, err := sim.Compile(c.Rig)
		require.NoError(t, err)
		a, errA := m.Simulate(t.Context(), c.Lineup, c.Faults, c.Options)
		b, errB := m.Simulate(t.Context(), c.Lineup, c.Faults, c.Options)
		require.Equal(t, errA == nil, errB == nil)
		require.Equal(t, digest(t, a), digest(t, b), "seed %d", seed)
	}
}
