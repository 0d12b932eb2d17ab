package waves

import (
	"encoding/json"
	"math"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/testdata/checks"
)

// tubeCase is testdata/reference/wave.json.
type tubeCase struct {
	Tube struct {
		Length    float64 `json:"length_m"`
		Bore      float64 `json:"bore_m"`
		Roughness float64 `json:"roughness_m"`
		Speed     float64 `json:"speed_m_s"`
		Density   float64 `json:"density_kg_m3"`
		Viscosity float64 `json:"viscosity_pa_s"`
		Main      float64 `json:"main_pa"`
		Rated     float64 `json:"rated_m3_s"`
		RatedAt   float64 `json:"rated_at_pa"`
		Shut      float64 `json:"shut_s"`
		Until     float64 `json:"until_s"`
	} `json:"tube"`
	Gas struct {
		Volume   float64 `json:"gas_m3"`
		Exponent float64 `json:"exponent"`
	} `json:"gas"`
	Plain     tubeRecord `json:"plain"`
	Cushioned tubeRecord `json:"cushioned"`
}

type tubeRecord struct {
	At     []float64 `json:"at_s"`
	End    []float64 `json:"end_pa"`
	Main   []float64 `json:"main_m3_s"`
	Spread struct {
		End  float64 `json:"end_pa"`
		Main float64 `json:"main_m3_s"`
	} `json:"spread"`
}

func readTubeCase(t testing.TB) tubeCase {
	data, err := os.ReadFile("../../testdata/reference/wave.json")
	require.NoError(t, err)
	var c tubeCase
	require.NoError(t, json.Unmarshal(data, &c))
	require.Len(t, c.Plain.End, len(c.Plain.At))
	return c
}

// run simulates the case in steps of its travel time over n and returns what stands at
// those times.
func (c *tubeCase) run(t testing.TB, n int, gas bool, times []float64) (end, main []float64) {
	u := c.Tube
	area := math.Pi / 4 * u.Bore * u.Bore
	items := []network.Item{
		network.Joint{Name: "main"}, network.Joint{Name: "end"},
		network.Hookup{Name: "hookup", At: "main", Static: unit.Pressure(u.Main), Ideal: true},
		network.Tube{Name: "tube", From: "main", To: "end", Length: unit.Length(u.Length), Bore: unit.Length(u.Bore), Roughness: unit.Length(u.Roughness),
			Compliance: unit.Compliance(area * u.Length / (u.Density * u.Speed * u.Speed))},
		network.Fixture{Name: "tap", At: "end", Rated: unit.Flow(u.Rated), RatedAt: unit.Pressure(u.RatedAt)},
	}
	o := Options{QuasiSteady: true, Exponent: c.Gas.Exponent, Until: time.Duration(math.Round(u.Until * 1e9)),
		Step:  time.Duration(math.Round(u.Length / u.Speed / float64(n) * 1e9)),
		Moves: []Move{{Over: time.Duration(math.Round(u.Shut * 1e9)), Lineup: network.Lineup{"tap": network.Shut()}}},
		Rig:   sim.Options{Water: hydraulics.Water{Density: unit.Density(u.Density), Viscosity: unit.Viscosity(u.Viscosity)}}}
	if gas {
		items = append(items, network.AirPocket{Name: "air", At: "end", Volume: unit.Volume(c.Gas.Volume)})
	}
	rig, err := network.New("tube", items...)
	require.NoError(t, err)
	m, err := sim.Compile(rig)
	require.NoError(t, err)
	r, err := Begin(m, network.Lineup{"hookup": network.On(), "tap": network.Open(1)}, nil, o)
	require.NoError(t, err)
	for _, at := range times {
		for r.t < at-1e-9 {
			r.Advance(1)
		}
		require.InDelta(t, at, r.t, 1e-9)
		p, _ := r.Pressure("end")
		q, _ := r.Flow("tube")
		end, main = append(end, float64(p)), append(main, float64(q))
	}
	return end, main
}

// off is the largest difference.
func off(a, b []float64) (most float64) {
	for i := range a {
		most = math.Max(most, math.Abs(a[i]-b[i]))
	}
	return most
}

// One tube whose tap is shut, with and without air beside the tap, against another
// method in another language: central differences and a Runge–Kutta method of order 8
// (testdata/reference/wave.py). The error falls with the step, of first order as stated.
func TestAgainstIndependentSolver(t *testing.T) {
	c := readTubeCase(t)
	for _, tt := range []struct {
		name string
		gas  bool
		rec  *tubeRecord
	}{{"plain", false, &c.Plain}, {"cushioned", true, &c.Cushioned}} {
		t.Run(tt.name, func(t *testing.T) {
			var ends, mains []float64
			for _, n := range []int{60, 120, 240, 480} {
				end, main := c.run(t, n, tt.gas, tt.rec.At)
				ends, mains = append(ends, off(end, tt.rec.End)), append(mains, off(main, tt.rec.Main))
			}
			t.Logf("Pa off by 60 to 480 reaches: %.0f; m³/s: %.1e; the record is within %.0f Pa, %.1e m³/s", ends, mains, tt.rec.Spread.End, tt.rec.Spread.Main)
			account := checks.Against(t, "testdata/reference/wave.json, by SciPy")
			const source = "central differences and DOP853, extrapolated from three grids"
			account.Within(t, source, tt.name+": largest difference of pressure in 480 reaches, Pa", 0, ends[3], 0.002*c.Tube.Main)
			account.Within(t, source, tt.name+": largest difference of flow in 480 reaches, m³/s", 0, mains[3], 0.002*c.Tube.Rated)
		})
	}
}

// Halving the step halves the error: the order is one.
func TestOrder(t *testing.T) {
	c := readTubeCase(t)
	var ends [][]float64
	for _, n := range []int{60, 120, 240, 480} {
		end, _ := c.run(t, n, true, c.Cushioned.At)
		ends = append(ends, end)
	}
	for k := range 2 {
		order := math.Log2(off(ends[k], ends[k+1]) / off(ends[k+1], ends[k+2]))
		t.Logf("order %.3f", order)
		assert.InDelta(t, 1, order, 0.15)
	}
}
