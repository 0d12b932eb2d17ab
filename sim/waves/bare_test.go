package waves

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/internal/kernel"
)

// A bare run is one straight tube between a main that holds its head and a valve to
// the air, as textbooks have it: SI units, heads as pressures.
type bare struct {
	long, bore, speed, rho float64
	main                   float64 // Pa
	flow                   float64 // m³/s
	friction               float64 // of the tube: d = friction·q|q|, Pa·s²/m⁶
	reaches                int
	until                  float64 // s
	moves                  []Move
	ideal                  bool // nothing boils
}

func (b bare) area() float64 { return math.Pi / 4 * b.bore * b.bore }

func (b bare) begin(t testing.TB) *Run {
	t.Helper()
	left := b.main - b.friction*b.flow*b.flow
	rig, err := network.New("bare",
		network.Joint{Name: "main"}, network.Joint{Name: "end"},
		network.Hookup{Name: "hookup", At: "main", Static: unit.Pressure(b.main), Ideal: true},
		network.Tube{Name: "tube", From: "main", To: "end", Length: unit.Length(b.long), Bore: unit.Length(b.bore), Roughness: -1,
			Compliance: unit.Compliance(b.area() * b.long / (b.rho * b.speed * b.speed))},
		network.Fixture{Name: "valve", At: "end", Rated: unit.Flow(b.flow), RatedAt: unit.Pressure(left)},
	)
	require.NoError(t, err)
	m, err := sim.Compile(rig)
	require.NoError(t, err)
	o := Options{Moves: b.moves, QuasiSteady: true, Watch: []string{"end"},
		Until: time.Duration(math.Round(b.until * 1e9)), Rig: sim.Options{Water: hydraulics.Water{Density: unit.Density(b.rho), Viscosity: 1e-3}}}
	lineup := network.Lineup{"hookup": network.On(), "valve": network.Open(1)}
	r, err := Begin(m, lineup, nil, o)
	require.NoError(t, err)
	// The steps are whole parts of the travel time, and friction is the book's.
	dt := b.long / b.speed / float64(b.reaches)
	r.grid.Step, r.field.dt = dt, dt
	r.steps = int(math.Round(b.until / dt))
	f := &r.field
	w := &f.reaches[0]
	w.law = &kernel.Law{Kap: b.friction}
	w.share, w.last = 1/float64(b.reaches), int32(b.reaches)
	w.b = b.rho * b.speed / b.area()
	f.spots = make([]spot, b.reaches+1)
	f.fore, f.aft = make([]float64, b.reaches+1), make([]float64, b.reaches+1)
	r.bounds = make([]bound, b.reaches+1)
	for i := range f.spots {
		x := b.main + (left-b.main)*float64(i)*w.share
		f.spots[i] = spot{x: x, in: b.flow, out: b.flow, was: b.flow}
		r.bounds[i] = bound{hi: x, lo: x}
	}
	for _, i := range []int32{w.from, w.to} {
		r.nodes[i].g = 1 / w.b
	}
	r.nodes[w.from].x, r.nodes[w.to].x = b.main, left
	hookup, _ := r.form.Path("hookup")
	valve, _ := r.form.Path("valve")
	r.laws[hookup], r.fixed[hookup] = []*kernel.Law{{Lam: 1e-6}}, true
	r.paths[hookup].q, r.paths[valve].q = -b.flow, b.flow
	r.renew(hookup)
	r.mechs[r.paths[valve].device].state = 1
	r.renew(valve)
	r.again = false
	clear(r.stale)
	if b.ideal {
		f.vapour = math.Inf(-1)
	}
	r.watched[0].p = append(r.watched[0].p[:0], left)
	return r
}

// shut is a move that shuts the valve over a time, s.
func shut(over float64) []Move {
	return []Move{{Over: time.Duration(math.Round(over * 1e9)), Lineup: network.Lineup{"valve": network.Shut()}}}
}

// atEnd is the pressure at the valve at every step.
func atEnd(r *Run) []float64 {
	for !r.Advance(1000) {
	}
	return r.watched[0].p
}
