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

// A supply below a regulator's set point finds it wide open throughout: an
// accumulator fills through nothing but its loss, whatever it is set to, and the
// regulator never moves. For a gas at constant temperature behind a resistance
// Δp = κ·q², with p absolute, p·V = P₀V₀ and w = V₀ − V the water taken in,
//
//	dt/dp = (P₀V₀/p²)·√(κ/(p_s − p))
//
// whose integral from P₀ to p was taken here by Simpson's rule.
func TestRegulatorWideOpenOverTime(t *testing.T) {
	const static, charge, volume = 200e3, 100e3, 1e-3
	rho, bore, k := 998.2, 12e-3, 10.0
	area := math.Pi / 4 * bore * bore
	kappa := k * rho / (2 * area * area)
	air := float64(unit.Atmosphere)
	timeTo := func(p float64) float64 {
		const n = 20_000
		f := func(x float64) float64 {
			abs := x + air
			return (charge + air) * volume / (abs * abs) * math.Sqrt(kappa/(static-x))
		}
		h, sum := (p-charge)/n, f(charge)+f(p)
		for i := 1; i < n; i++ {
			sum += f(charge+float64(i)*h) * (2 + 2*float64(i%2))
		}
		return sum * h / 3
	}
	fill := func(set unit.Pressure) *sim.Record {
		m := compile(t, append(level("main", "held"),
			network.Hookup{Name: "hose", At: "main", Static: static, Ideal: true},
			network.Regulator{Name: "regulator", From: "main", To: "held", Set: set, Bore: unit.Length(bore), K: k},
			network.Accumulator{Name: "accumulator", At: "held", Volume: volume, Precharge: charge, Exponent: 1},
			network.Fixture{Name: "tap", At: "held"})...)
		half := time.Duration(timeTo(150e3) * 1e9)
		return simulate(t, m, network.Lineup{"hose": network.On()}, nil, sim.Options{
			Until: 20 * half, Samples: []time.Duration{half}, Tolerance: sim.Fine,
			Water: hydraulics.Water{Density: unit.Density(rho), Viscosity: 1e-3}, Start: sim.Start{Pressures: map[string]unit.Pressure{"held": charge}}})
	}
	for _, set := range []unit.Pressure{210e3, 50 * unit.PSI, 500e3} { // all above the supply
		rec := fill(set)
		p, ok := rec.Samples[0].Pressure("held")
		require.True(t, ok)
		assert.InDelta(t, 150e3, float64(p), 50, "set to %v", set)
		end, err := rec.At(time.Duration(rec.Until * 1e9))
		require.NoError(t, err)
		p, _ = end.Pressure("held")
		assert.InDelta(t, static, float64(p), 50, "it ends at the supply's pressure, not at %v", set)
		assert.InDelta(t, 0, rec.Ledger.Closure, 1e-9*rec.Ledger.Moved)
	}
}

// An accumulator is all that its section has to store with: it empties as the gas
// law says, and then nothing more runs out; the pump fills it
// again as soon as it has power. With a laminar seep, q = p/R and
// p gauge, isothermal gas at p_abs·V = C gives
//
//	t = R·C·[ ln(p/(p+pₐ))/pₐ² + 1/(pₐ·(p+pₐ)) ]  from the lower pressure to the upper,
//
// the integral of 1/(p·(p+pₐ)²) by partial fractions.
func TestAccumulatorAlone(t *testing.T) {
	const volume, charge, start, ref = 0.5e-3, 150e3, 300e3, 1e-6
	at := float64(45 * unit.PSI)
	r, air := at/ref, float64(unit.Atmosphere)
	c := (charge + air) * volume
	part := func(p float64) float64 { return math.Log(p/(p+air))/(air*air) + 1/(air*(p+air)) }
	empties := r * c * (part(start) - part(charge))
	items := append(level("out", "line"),
		network.Tank{Name: "tank", Ports: []string{"out"}, Floor: -0.1},
		network.Pump{Name: "pump", From: "out", To: "line", Sealed: true, CutIn: 200e3, CutOut: start},
		network.Accumulator{Name: "accumulator", At: "line", Volume: volume, Precharge: charge, Exponent: 1},
		network.Fixture{Name: "tap", At: "line"})
	m := compile(t, items...)
	seep := network.Faults{network.Seep{Part: "tap", Seep: hydraulics.Seep{Ref: ref, At: 45 * unit.PSI, Exp: 1}}}
	off := network.Lineup{"pump": network.Off()}
	on := []sim.Change{{At: time.Duration(1.5 * empties * 1e9), Lineup: network.Lineup{"pump": network.On()}}}
	rec := simulate(t, m, off, seep, sim.Options{Until: time.Duration(2 * empties * 1e9), Schedule: on})

	empty := times(rec, "accumulator", sim.AccumulatorEmpty)
	require.NotEmpty(t, empty)
	relative(t, empties, empty[0], 1e-4, "it is empty")
	fills := times(rec, "accumulator", sim.AccumulatorFills)
	require.NotEmpty(t, fills)
	assert.InDelta(t, 1.5*empties, fills[0], 0.1, "the pump fills it as soon as it has power")
	require.NotEmpty(t, rec.Starts("pump"))
	drained := volume * (1 - (charge+air)/(start+air))
	between, err := rec.At(time.Duration(1.2 * empties * 1e9))
	require.NoError(t, err)
	q, ok := between.Flow("tap")
	require.True(t, ok)
	assert.InDelta(t, 0, float64(q), 1e-9, "nothing is left to seep")
	half := simulate(t, m, off, seep, sim.Options{Until: time.Duration(1.2 * empties * 1e9)})
	relative(t, drained, half.Ledger.Out, 1e-6, "all that it held above its charge ran out")
	for _, r := range []*sim.Record{rec, half} {
		assert.InDelta(t, 0, r.Ledger.Closure, 1e-9*math.Max(r.Ledger.Moved, drained))
	}
}
