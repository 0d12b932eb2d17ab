package hydraulics

import (
	"fmt"
	"math"
	"sort"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/interp"
	"pgregory.net/rapid"

	"quietpump/hydraulics/unit"
)

func drawCurve(t *rapid.T) PumpCurve {
	n := rapid.IntRange(2, 8).Draw(t, "points")
	parts := func(name string) []float64 {
		x := rapid.SliceOfNDistinct(rapid.IntRange(0, 1000), n, n, rapid.ID[int]).Draw(t, name)
		sort.Ints(x)
		f := make([]float64, n)
		for i := range x {
			f[i] = float64(x[i])
		}
		return f
	}
	rises, flows := parts("rises"), parts("flows")
	c := make(PumpCurve, n)
	for i := range c {
		c[i] = PumpPoint{unit.Pressure(500 * rises[i]), unit.Flow(2e-7 * flows[n-1-i]), unit.Current(3 + i)}
	}
	return c
}

func TestPumpCurvePassesItsPointsAndFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCurve(t)
		require.NoError(t, c.Check())
		for _, p := range c {
			assert.InDelta(t, float64(p.Rise), float64(c.Rise(p.Flow)), 1e-9)
			assert.InDelta(t, float64(p.Flow), float64(c.Flow(p.Rise)), 1e-12*float64(c[0].Flow)+1e-17)
			assert.Equal(t, p.Current, c.Current(p.Rise))
		}
		q := unit.Flow(rapid.Float64Range(-1e-5, 3e-4).Draw(t, "q"))
		assert.LessOrEqual(t, c.Rise(q+1e-7), c.Rise(q), "rise never climbs with flow")
		if p := c.Rise(q); q >= 0 {
			// Where the curve is nearly flat the flow at a rise is nearly undetermined.
			assert.InDelta(t, float64(p), float64(c.Rise(c.Flow(p))), 1e-6*math.Abs(float64(p))+1e-6)
		}
		flows, rises, slopes := c.Knots()
		for i := range flows {
			assert.LessOrEqual(t, slopes[i], 0.0)
			if i > 0 {
				assert.Greater(t, flows[i], flows[i-1])
				assert.Less(t, rises[i], rises[i-1])
			}
		}
		assert.Negative(t, slopes[0])
		assert.Negative(t, slopes[len(slopes)-1])
	})
}

func TestPumpLineIsExact(t *testing.T) {
	line := Line(2e-4, 4e5)
	for _, q := range []unit.Flow{-1e-5, 0, 1e-5, 1.3e-4, 2e-4, 2.5e-4} {
		want := 4e5 * (1 - float64(q)/2e-4)
		assert.InDelta(t, want, float64(line.Rise(q)), 1e-9)
		assert.InDelta(t, math.Max(0, float64(q)), float64(line.Flow(unit.Pressure(want))), 1e-18)
	}
}

func TestPumpCurveAtVoltage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCurve(t)
		v := unit.Voltage(rapid.Float64Range(6, 16).Draw(t, "V"))
		s := float64(v) / 12
		q := unit.Flow(rapid.Float64Range(0, 2e-4).Draw(t, "q"))
		want := s * float64(c.Rise(q/unit.Flow(s)))
		assert.InDelta(t, want, float64(c.AtVoltage(v).Rise(q)), 1e-6+1e-11*math.Abs(want))
	})
	assert.Equal(t, Typical(), Typical().AtVoltage(12))
	assert.Nil(t, Typical().AtVoltage(0))
}

func TestPumpBypassTakesFlowFromTheLine(t *testing.T) {
	whole := Typical()
	net := whole.WithBypass(40*unit.PSI, 62*unit.PSI)
	require.NoError(t, net.Check())
	for p := unit.Pressure(0); p <= 70*unit.PSI; p += unit.PSI {
		assert.LessOrEqual(t, float64(net.Flow(p)), 1.002*float64(whole.Flow(p)), "%v psi", p.PSI())
		if p >= 40*unit.PSI && p <= 62*unit.PSI {
			share := float64((62*unit.PSI - p) / (22 * unit.PSI))
			assert.InDelta(t, share*float64(whole.Flow(p)), float64(net.Flow(p)), 0.01*float64(whole.Flow(p)))
		}
	}
	assert.Zero(t, net.Flow(62*unit.PSI))
	assert.InDelta(t, float64(whole.Current(50*unit.PSI)), float64(net.Current(50*unit.PSI)), 0.1, "the motor still moves all of it")

	assert.Equal(t, whole, whole.WithBypass(0, 0), "none")
	assert.Equal(t, whole, whole.WithBypass(80*unit.PSI, 90*unit.PSI), "never reached")
	require.NoError(t, whole.WithBypass(60*unit.PSI, 90*unit.PSI).Check())
}

func TestPumpCurveCheck(t *testing.T) {
	nan := unit.Flow(math.NaN())
	for want, c := range map[string]PumpCurve{
		"has fewer than two points": {{Flow: 1e-4}},
		"flow 3.17 gpm is not below the 1.585 gpm of the point before; order the points by falling flow": {{Flow: 1e-4}, {Rise: 1e5, Flow: 2e-4}},
		"rise 14.5 psi is not above the 14.5 psi of the point before; a falling flow needs a rising":     {{Rise: 1e5, Flow: 1e-4}, {Rise: 1e5}},
		"not a finite value from zero on":                    {{Flow: nan}, {Rise: 1e5}},
		"a current at 1 of 2 points; give it at all or none": {{Flow: 1e-4, Current: 3}, {Rise: 1e5}},
	} {
		require.ErrorContains(t, c.Check(), want)
		assert.True(t, math.IsNaN(float64(c.Rise(0))))
		assert.True(t, math.IsNaN(float64(c.Flow(0))))
		assert.True(t, math.IsNaN(float64(c.Current(0))))
		flows, rises, slopes := c.Knots()
		assert.Nil(t, append(append(flows, rises...), slopes...))
	}
	all := PumpCurve{{Flow: -1}, {Flow: 1}}.Check()
	assert.ErrorContains(t, all, "point 1")
	assert.ErrorContains(t, all, "point 2", "every fault is reported")
}

func ExamplePumpCurve_Flow() {
	pump := Typical()
	for _, v := range []unit.Voltage{12, 13.6} {
		c := pump.AtVoltage(v)
		fmt.Printf("%.1f V: %.2f gpm at 45 psi\n", float64(v), c.Flow(45*unit.PSI).GPM())
	}
	// Output:
	// 12.0 V: 1.41 gpm at 45 psi
	// 13.6 V: 1.83 gpm at 45 psi
}

// Between its ends the slopes are those of a general-purpose library's monotone cubic,
// gonum/interp.
func TestPumpCurveAgainstALibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCurve(t)
		flows, rises, slopes := c.Knots()
		var cubic interp.FritschButland
		require.NoError(t, cubic.Fit(flows, rises))
		for i := range flows {
			want := cubic.PredictDerivative(flows[i])
			if end := i == 0 || i == len(flows)-1; end && math.Abs(slopes[i]) > math.Abs(want) {
				continue // an end is kept from lying flat
			}
			assert.InEpsilon(t, want, slopes[i], 1e-12)
		}
	})
}

// The slopes of a curve of three points by hand: at the ends the parabola through
// them (bounded), in the middle Fritsch and Butland's mean of the two chords.
func TestSlopesOfThreePointsByHand(t *testing.T) {
	x, y := []float64{5, 6, 8}, []float64{10, 8, 2}
	slopes := make([]float64, 3)
	fit(x, y, slopes)
	// Chords −2 over 1 and −3 over 2: ends ((2h+next)·chord − h·inner)/(h+next).
	assert.InEpsilon(t, ((2*1+2)*-2.0-1*-3.0)/3, slopes[0], 1e-14)
	assert.InEpsilon(t, ((2*2+1)*-3.0-2*-2.0)/3, slopes[2], 1e-14)
	assert.InEpsilon(t, 3*3/((2*8-5-6)/-2.0+(8+6-2*5)/-3.0), slopes[1], 1e-14)

	// Where the parabola would be flat or turn round, half of the chord is left.
	for _, tt := range []struct{ y []float64 }{{[]float64{10, 9.9, 0}}, {[]float64{10, 0.1, 0}}} {
		fit([]float64{0, 1, 2}, tt.y, slopes)
		assert.LessOrEqual(t, slopes[0], (tt.y[1]-tt.y[0])/2*(1-1e-12))
		assert.LessOrEqual(t, slopes[2], (tt.y[2]-tt.y[1])/2*(1-1e-12))
	}
	fit([]float64{0, 1, 2}, []float64{10, 9.9, 0}, slopes)
	assert.InEpsilon(t, -0.05, slopes[0], 1e-12)
	fit([]float64{0, 1, 2}, []float64{10, 0.1, 0}, slopes)
	assert.InEpsilon(t, -0.05, slopes[2], 1e-12)
}

// A cubic's slope is that of its values, within and beyond the points.
func TestSlopeOfTheCubic(t *testing.T) {
	x, y := []float64{0, 1, 3, 4}, []float64{10, 8, 2, 0}
	slopes := make([]float64, 4)
	fit(x, y, slopes)
	for _, at := range []float64{-0.5, 0.3, 0.9, 1.2, 2, 2.7, 3.4, 4.5} {
		up, _ := hermite(x, y, slopes, at+1e-6)
		down, _ := hermite(x, y, slopes, at-1e-6)
		_, dv := hermite(x, y, slopes, at)
		assert.InEpsilon(t, (up-down)/2e-6, dv, 1e-6, "at %g", at)
	}
}
