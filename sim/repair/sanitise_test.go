package repair_test

import (
	"fmt"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/sim/repair"
	"quietpump/testdata/checks"
)

// testdata/published/service.csv, "bleach of … percent for … mg/L": mL per US gal of tank, as printed.
func TestSanitisePublished(t *testing.T) {
	account := checks.Against(t, "testdata/published/service.csv")
	for _, tt := range []struct {
		strength, chlorine float64
		printed            string
	}{
		{0.0525, 50, "3.52"}, {0.0525, 100, "7.04"},
		{0.06, 50, "3.05"}, {0.06, 100, "6.10"},
		{0.0825, 50, "2.16"}, {0.0825, 100, "4.32"},
	} {
		d, err := repair.Sanitise(unit.USGallon, tt.chlorine, tt.strength)
		require.NoError(t, err)
		printed, err := strconv.ParseFloat(tt.printed, 64)
		require.NoError(t, err)
		account.Within(t, "bleach per US gallon of tank", fmt.Sprintf("mL of %g %% for %g mg/L", 100*tt.strength, tt.chlorine), printed, d.Bleach.Millilitres(), 0.005*(1+1e-9))
	}
}

// A state agency prints about 200 mg/L for 1.5 fl oz of 8.25 % in 5 US gal; the formula gives 205
// (testdata/published/service.csv, source of the rows above). A quarter cup of 5.25 % in 15 US gal gives 56 mg/L ("dose actually given").
func TestSanitiseBackwards(t *testing.T) {
	account := checks.Against(t, "testdata/published/service.csv")
	for _, tt := range []struct {
		water, bleach       unit.Volume
		strength, published float64
	}{
		{5 * unit.USGallon, 1.5 * unit.FluidOunce, 0.0825, 205},
		{15 * unit.USGallon, unit.Cup / 4, 0.0525, 56},
		{15 * unit.USGallon, unit.Cup / 4, 0.06, 65},
		{15 * unit.USGallon, unit.Cup / 4, 0.0825, 91},
	} {
		d, err := repair.Sanitise(tt.water, 100, tt.strength)
		require.NoError(t, err)
		account.Within(t, "doses as printed or worked out", fmt.Sprintf("mg/L of %.3g mL of %g %% in %.3g L", tt.bleach.Millilitres(), 100*tt.strength, tt.water.Litres()), tt.published, 100*float64(tt.bleach/d.Bleach), 1)
	}
}

func TestSanitiseRefusals(t *testing.T) {
	for _, bad := range [][3]float64{{0, 50, 0.06}, {1, 0, 0.06}, {1, 500, 0.06}, {1, 50, 6}, {1, 50, 0}} {
		_, err := repair.Sanitise(unit.Volume(bad[0]), bad[1], bad[2])
		assert.ErrorContains(t, err, "1 to 12.5 %")
	}
}
