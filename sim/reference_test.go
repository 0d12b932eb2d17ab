package sim_test

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
	"quietpump/testdata/checks"
)

// scenario is what a reference record was computed from.
type scenario struct {
	Rig     string    `toml:"rig"`
	Until   float64   `toml:"until_s"`
	Samples []float64 `toml:"samples_s"`
	Water   struct {
		Density   float64 `toml:"density_kgm3"`
		Viscosity float64 `toml:"viscosity_pas"`
	} `toml:"water"`
	Lineup map[string]string `toml:"lineup"`
	Faults []struct {
		Seep string  `toml:"seep"`
		Ref  float64 `toml:"ref_m3s"`
		At   float64 `toml:"at_pa"`
		Exp  float64 `toml:"exponent"`
	} `toml:"fault"`
	Start struct {
		Tanks     map[string]float64 `toml:"tank_m3"`
		Pressures map[string]float64 `toml:"pressure_pa"`
	} `toml:"start"`
	Schedule []struct {
		At   float64 `toml:"at_s"`
		Part string  `toml:"part"`
		Set  string  `toml:"set"`
	} `toml:"schedule"`
	Temperature map[string][][2]float64 `toml:"temperature"`
}

// referenceRecord is what SciPy made of a scenario.
type referenceRecord struct {
	Solver struct {
		Method string  `json:"method"`
		Rtol   float64 `json:"rtol"`
	} `json:"solver"`
	Events []struct {
		At   float64 `json:"at_s"`
		Part string  `json:"part"`
		What string  `json:"what"`
	} `json:"events"`
	Samples []struct {
		At       float64             `json:"at_s"`
		Pressure map[string]*float64 `json:"pressure_pa"`
		Flow     map[string]float64  `json:"flow_m3s"`
	} `json:"samples"`
	Tanks  map[string]float64 `json:"tank_m3"`
	Ledger struct {
		Parts   map[string]float64 `json:"parts_m3"`
		Spilled map[string]float64 `json:"spilled_m3"`
	} `json:"ledger"`
}

func readScenario(t testing.TB, name string) *scenario {
	text, err := os.ReadFile("../testdata/reference/" + name + ".scenario.toml")
	require.NoError(t, err)
	var sc scenario
	require.NoError(t, toml.Unmarshal(text, &sc))
	return &sc
}

func secs(s float64) time.Duration { return time.Duration(math.Round(s * 1e9)) }

// setting reads "on", "shut", "open 0.3".
func setting(t testing.TB, text string) network.Setting {
	word, share, told := strings.Cut(text, " ")
	if word == "open" && told {
		x, err := strconv.ParseFloat(share, 64)
		require.NoError(t, err)
		return network.Open(x)
	}
	if word == "open" {
		return network.Open(1)
	}
	return network.At(word)
}

func (s *scenario) model(t testing.TB) (*sim.Model, network.Lineup, network.Faults, sim.Options) {
	rig, err := rigfile.Read(filepath.Join("../testdata/reference", s.Rig))
	require.NoError(t, err)
	m, err := sim.Compile(rig)
	require.NoError(t, err)
	lineup := network.Lineup{}
	for part, set := range s.Lineup {
		lineup[part] = setting(t, set)
	}
	var faults network.Faults
	for _, f := range s.Faults {
		faults = append(faults, network.Seep{Part: f.Seep,
			Seep: hydraulics.Seep{Ref: unit.Flow(f.Ref), At: unit.Pressure(f.At), Exp: f.Exp}})
	}
	opts := sim.Options{
		Until: secs(s.Until), MaxSteps: 20_000,
		Water: hydraulics.Water{Density: unit.Density(s.Water.Density), Viscosity: unit.Viscosity(s.Water.Viscosity)},
		Start: sim.Start{Tanks: map[string]unit.Volume{}, Pressures: map[string]unit.Pressure{}, Temperatures: map[string]unit.Temperature{}},
	}
	for name, v := range s.Start.Tanks {
		opts.Start.Tanks[name] = unit.Volume(v)
	}
	for name, p := range s.Start.Pressures {
		opts.Start.Pressures[name] = unit.Pressure(p)
	}
	for _, c := range s.Schedule {
		opts.Schedule = append(opts.Schedule, sim.Change{At: secs(c.At), Lineup: network.Lineup{c.Part: setting(t, c.Set)}})
	}
	for name, knots := range s.Temperature {
		opts.Start.Temperatures[name] = unit.Temperature(knots[0][1])
		for _, k := range knots[1:] {
			opts.Schedule = append(opts.Schedule, sim.Change{At: secs(k[0]), Heat: map[string]unit.Temperature{name: unit.Temperature(k[1])}})
		}
	}
	for _, at := range s.Samples {
		opts.Samples = append(opts.Samples, secs(at))
	}
	return m, lineup, faults, opts
}

// Records computed with SciPy from the same rigs: event times within 1 ms or a
// millionth of the time so far, pressures within 10 Pa or what a millisecond
// changes. Flows agree to 1e-4 of the fastest sampled, and the water that each part
// passed to 1e-4 of what the busiest passed.
func TestReferenceRecords(t *testing.T) {
	files, err := filepath.Glob("../testdata/reference/*.record.json")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".record.json")
		t.Run(name, func(t *testing.T) {
			var want referenceRecord
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			require.NoError(t, json.Unmarshal(text, &want))
			sc := readScenario(t, name)
			m, lineup, faults, opts := sc.model(t)
			rec, err := m.Simulate(context.Background(), lineup, faults, opts)
			require.NoError(t, err)
			compareRecords(t, &want, rec)
		})
	}
}

func compareRecords(t *testing.T, want *referenceRecord, rec *sim.Record) {
	account := checks.Against(t, "testdata/reference, records by SciPy")
	source := fmt.Sprintf("%s at a relative tolerance of %g", want.Solver.Method, want.Solver.Rtol)
	n := 0
	worstEvent := 0.0
	for _, e := range want.Events {
		require.Less(t, n, len(rec.Events), "event %q of %q at %.9g s is missing", e.What, e.Part, e.At)
		got := rec.Events[n]
		n++
		require.Equal(t, e.What, string(got.What), "event %d: %v, want %v", n, got, e)
		require.Equal(t, e.Part, got.Part, "event %d: %v, want %v", n, got, e)
		off := math.Abs(got.At - e.At)
		worstEvent = math.Max(worstEvent, off)
		account.Within(t, source, fmt.Sprintf("%d: %s of %q, s", n, e.What, e.Part), e.At, got.At, math.Max(1e-3, 1e-6*e.At))
	}
	for _, e := range rec.Events[n:] { // a knot at the very end changes nothing, and SciPy does not list it
		require.Equal(t, sim.Scheduled, e.What, "SciPy has no %v", e)
		require.InDelta(t, rec.Until, e.At, 1e-9, "SciPy has no %v", e)
	}

	worstP, worstQ, fastest := 0.0, 0.0, 0.0
	pressures := 0
	var farthest checks.Row // the pressure that takes most of what is borne
	for _, s := range want.Samples {
		for _, q := range s.Flow {
			fastest = math.Max(fastest, math.Abs(q))
		}
	}
	require.Len(t, rec.Samples, len(want.Samples))
	for i, s := range want.Samples {
		got := &rec.Samples[i]
		require.InDelta(t, s.At, got.At, 1e-9)
		later, err := rec.At(secs(s.At + 1e-3))
		require.NoError(t, err)
		for _, joint := range slices.Sorted(maps.Keys(s.Pressure)) {
			p := s.Pressure[joint]
			x, ok := got.Pressure(joint)
			if p == nil {
				assert.False(t, ok, "%s at %g s: %v, want none", joint, s.At, x)
				continue
			}
			if !assert.True(t, ok, "%s at %g s has no pressure, want %g Pa", joint, s.At, *p) {
				continue
			}
			y, _ := later.Pressure(joint)
			off := math.Abs(float64(x) - *p)
			worstP = math.Max(worstP, off)
			borne := math.Max(10, math.Abs(float64(y-x)))
			assert.LessOrEqual(t, off, borne, "%s at %g s: %.9g Pa, want %.9g Pa", joint, s.At, float64(x), *p)
			pressures++
			if off/borne > math.Abs(farthest.Got-farthest.Expected)/math.Max(farthest.Borne, 1) {
				farthest = checks.Row{Quantity: fmt.Sprintf("pressure at %q at %g s, Pa", joint, s.At), Expected: *p, Got: float64(x), Borne: borne}
			}
		}
		for part, q := range s.Flow {
			x, ok := got.Flow(part)
			require.True(t, ok, part)
			y, _ := later.Flow(part)
			off := math.Abs(float64(x) - q)
			worstQ = math.Max(worstQ, off)
			assert.LessOrEqual(t, off, 1e-4*fastest+math.Abs(float64(y-x)), "%s at %g s: %g m³/s, want %g", part, s.At, float64(x), q)
		}
	}
	account.Within(t, source, fmt.Sprintf("farthest off of %d pressures: %s", pressures, farthest.Quantity), farthest.Expected, farthest.Got, farthest.Borne)
	worstV, most := 0.0, 0.0
	for _, v := range want.Ledger.Parts {
		most = math.Max(most, math.Abs(v))
	}
	for _, part := range slices.Sorted(maps.Keys(want.Ledger.Parts)) {
		v := want.Ledger.Parts[part]
		got, ok := rec.Ledger.Parts[part]
		if !assert.True(t, ok, "%s is not in the ledger", part) {
			continue
		}
		worstV = math.Max(worstV, math.Abs(got-v))
		account.Within(t, source, fmt.Sprintf("water through %q, m³", part), v, got, 1e-4*most)
	}
	for _, tank := range slices.Sorted(maps.Keys(want.Ledger.Spilled)) {
		v := want.Ledger.Spilled[tank]
		account.Within(t, source, fmt.Sprintf("spilled from %q, m³", tank), v, rec.Ledger.Spilled[tank], 1e-9+1e-5*v)
	}
	for _, tank := range slices.Sorted(maps.Keys(want.Tanks)) {
		v := want.Tanks[tank]
		end, err := rec.At(secs(rec.Until))
		require.NoError(t, err)
		got, ok := end.Water(tank)
		require.True(t, ok)
		account.Within(t, source, fmt.Sprintf("water in %q at the end, m³", tank), v, float64(got), 1e-8)
	}
	t.Logf("%d events, worst %.2g s; pressures, worst %.2g Pa; flows, worst %.2g m³/s; water through parts, worst %.2g m³; %d steps, closure %.2g of %.4g m³",
		n, worstEvent, worstP, worstQ, worstV, rec.Effort.Steps, rec.Ledger.Closure, rec.Ledger.Moved)
}
