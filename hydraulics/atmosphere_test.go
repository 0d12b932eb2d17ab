package hydraulics

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"quietpump/hydraulics/unit"
	"quietpump/testdata/checks"
)

func TestAirPressureAgainstStandard(t *testing.T) {
	account := checks.Against(t, "U.S. Standard Atmosphere (1976)")
	for _, tt := range []struct {
		height  unit.Length
		printed float64 // hPa
		half    float64
	}{
		{0, 1013.25, 0.005},
		{1000, 898.76, 0.005},
		{2000, 795.01, 0.005},
		{3000, 701.21, 0.005},
		{5000, 540.48, 0.005},
		{11000, 227.00, 0.005},
	} {
		account.Within(t, "table I (geometric height), from memory", fmt.Sprintf("hPa at %g m", float64(tt.height)),
			tt.printed, float64(AirPressure(tt.height))/100, tt.half)
	}
	assert.Equal(t, unit.AbsPressure(101325), AirPressure(0))
	for _, out := range []float64{-5001, 11001, math.NaN()} {
		assert.True(t, math.IsNaN(float64(AirPressure(unit.Length(out)))))
	}
}

func ExampleAirPressure() {
	fmt.Printf("%.1f psi at 6000 ft\n", AirPressure(6000*unit.Foot).PSIA())
	// Output: 11.8 psi at 6000 ft
}
