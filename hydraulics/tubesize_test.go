package hydraulics

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
)

func TestTubeSizesAgainstTable(t *testing.T) {
	rows, c := published(t, "tube_sizes.csv")
	for _, r := range rows {
		material := strings.NewReplacer("PEX CTS SDR9", "pex", "copper type L", "copper", "copper type M", "copper m", "vinyl or braided hose", "hose").
			Replace(r.cell["material"])
		tube, err := LookupTube(material, r.cell["nominal_size_in"])
		require.NoError(t, err, r.place)
		bore, name := tube.Bore, r.cell["material"]+" "+r.cell["nominal_size_in"]+" in"
		basis := r.cell["inside_diameter_basis"]
		if strings.HasPrefix(basis, "largest") {
			bore = tube.LargestBore
		}
		printed := r.num(t, "inside_diameter_in")
		if strings.HasPrefix(basis, "computed mean") {
			// Agrees with the printed average within 0.001 in.
			c.near(r, name+", bore, in", printed, float64(bore/unit.Inch), 0.001+1e-9)
		} else {
			c.near(r, name+", bore, in", printed, float64(bore/unit.Inch), 1e-9)
			c.near(r, name+", L/m", r.num(t, "volume_L_per_m"), math.Pi/4*float64(bore*bore)*1e3, halfDigit("0.00001"))
		}
		c.near(r, name+", bore, mm", r.num(t, "inside_diameter_mm"), float64(bore/unit.Millimetre), 0.026)
		if od := r.cell["outside_diameter_in"]; od != "" {
			c.near(r, name+", outside, in", r.num(t, "outside_diameter_in"), float64(tube.OD/unit.Inch), 1e-9)
			c.near(r, name+", outside, mm", r.num(t, "outside_diameter_mm"), float64(tube.OD/unit.Millimetre), 0.0005+1e-9)
			assert.GreaterOrEqual(t, float64(tube.Wall/unit.Inch), r.num(t, "min_wall_in")-1e-9, r.place)
			assert.InDelta(t, float64(tube.OD), float64(tube.Bore+2*tube.Wall), 1e-15, r.place)
		}
		c.checked++
	}
	c.done(rows, 28)
}

func TestLookupTubeReadsSizesAsWritten(t *testing.T) {
	want, err := LookupTube("pex", "1/2 in")
	require.NoError(t, err)
	for _, size := range []string{"1/2", `1/2"`, "1/2 inch", " 1/2in ", "½ in", "1/2 IN", "½"} {
		got, err := LookupTube("PEX", size)
		require.NoError(t, err, size)
		assert.Equal(t, want, got)
	}
	_, err = LookupTube("copper type L", "3/4 in")
	assert.NoError(t, err)
}

func TestLookupTubeErrors(t *testing.T) {
	_, err := LookupTube("pexx", "1/2 in")
	assert.EqualError(t, err, `unknown tube material "pexx" (did you mean "pex"?)`)
	_, err = LookupTube("bamboo", "1/2 in")
	assert.EqualError(t, err, `unknown tube material "bamboo" (want one of: pex; copper; copper m; hose)`)
	_, err = LookupTube("copper m", "5/8 in")
	assert.EqualError(t, err, `copper m tube "5/8 in": no such size (want 3/8 in, 1/2 in, 3/4 in, 1 in)`)
}

func ExampleLookupTube() {
	tube, err := LookupTube("pex", "1/2 in")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("bore %.3f in, or %.3f in with the thinnest wall\n", float64(tube.Bore/unit.Inch), float64(tube.LargestBore/unit.Inch))
	// Output: bore 0.475 in, or 0.485 in with the thinnest wall
}
