package hydraulics

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/hydraulics/unit"
)

func halfInchPEX(modulus float64) Wall {
	return Wall{Bore: 0.475 * unit.Inch, Thickness: 0.075 * unit.Inch, Modulus: modulus, Poisson: 0.46}
}

// The rows on tube and water in service.csv, by item.
func TestStretchAgainstTable(t *testing.T) {
	rows := map[string]row{}
	table, c := published(t, "service.csv")
	for _, r := range table {
		rows[r.cell["item"]] = r
	}
	pex, err := LookupMaterial("pex")
	require.NoError(t, err)
	water := WaterAt(unit.Celsius(20))
	stretch := halfInchPEX(pex.Modulus).Stretch()
	perF := float64(unit.PSI) * 1.8 // Pa/K in a psi per °F

	r := rows["compliance of 1/2 in PEX bore"]
	c.near(r, "compliance of 1/2 in PEX bore, 1/Pa", r.num(t, "value"), stretch, halfDigit(r.cell["value"]))
	assert.Contains(t, r.cell["conditions"], fmt.Sprintf("%.2fe-8 to %.2fe-8 for E 0.9 to 0.5 GPa",
		halfInchPEX(pex.Range[1]).Stretch()*1e8, halfInchPEX(pex.Range[0]).Stretch()*1e8))
	// The note has 23 times the compressibility of water, 22.5 to one more digit.
	c.near(r, "the same, in compressibilities of water", 22.5, stretch/water.Compressibility, 0.05)

	r = rows["pressure rise of water locked in a perfectly rigid vessel"]
	assert.Equal(t, "36 (65)", r.cell["value"])
	c.near(r, "pressure rise of water locked in a rigid vessel, psi/°F", 36, water.Expansion/water.Compressibility/perF, 0.5)

	r = rows["pressure change of an isolated PEX line, water and tube warming together"]
	both := (water.Expansion - 3*pex.Expansion) / (stretch + water.Compressibility)
	c.near(r, "pressure change of a PEX line, water and tube warming, psi/°F", r.num(t, "value"), both/perF, halfDigit("0.1"))

	r = rows["pressure change if only the water warms 10 F"]
	c.near(r, "pressure change if only the water warms 10 °F, psi", r.num(t, "value"), 10*water.Expansion/(stretch+water.Compressibility)/perF, halfDigit("1"))
}

// For a thin wall hoop strain alone remains; held or free lengthwise it differs
// by the Poisson ratio in a way any text on thin tubes has: closed ends 5/4 − ν.
func TestStretchOfThinWalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nu := rapid.Float64Range(0, 0.5).Draw(t, "ν")
		w := Wall{Bore: 0.012, Thickness: 0.012e-5, Modulus: 1e9, Poisson: nu}
		assert.InEpsilon(t, w.StretchThin(), w.StretchFree(), 1e-4)
		assert.InEpsilon(t, (5.0/4-nu)*w.StretchThin(), w.Stretch(), 1e-4)
	})
}

func TestStretchFallsWithWallAndModulus(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := Wall{
			Bore:      0.012,
			Thickness: unit.Length(rapid.Float64Range(1e-4, 1e-2).Draw(t, "wall")),
			Modulus:   rapid.Float64Range(1e7, 1e11).Draw(t, "E"), Poisson: 0.4,
		}
		thicker, stiffer := w, w
		thicker.Thickness *= 1.1
		stiffer.Modulus *= 1.1
		for _, law := range []func(Wall) float64{Wall.Stretch, Wall.StretchFree, Wall.StretchThin} {
			assert.Less(t, law(thicker), law(w))
			assert.InEpsilon(t, law(w)/1.1, law(stiffer), 1e-12)
		}
	})
}

func TestLookupMaterialErrors(t *testing.T) {
	_, err := LookupMaterial("cooper")
	assert.EqualError(t, err, `unknown material "cooper" (did you mean "copper"?)`)
}

func ExampleWall_Stretch() {
	tube := Wall{Bore: 0.475 * unit.Inch, Thickness: 0.075 * unit.Inch, Modulus: 0.7e9, Poisson: 0.46}
	water := WaterAt(unit.Celsius(20)).Compressibility
	litres := 2 * float64(unit.Litre)
	c := unit.Compliance(litres * (tube.Stretch() + water))
	fmt.Printf("2 L of 1/2 in PEX takes %.2f mL per psi\n", c.MillilitresPerPSI())
	// Output: 2 L of 1/2 in PEX takes 0.15 mL per psi
}
