package repair

import (
	"fmt"

	"quietpump/hydraulics/unit"
)

// A Dose is household bleach for a volume of water.
type Dose struct {
	Water    unit.Volume
	Chlorine float64 // mg/L
	Strength float64 // of the bleach, weight fraction of sodium hypochlorite, such as 0.06
	Bleach   unit.Volume
}

// availableChlorine is the chlorine that a weight of sodium hypochlorite stands
// for: 70.906/74.442, the molar masses of Cl₂ and NaOCl.
const availableChlorine = 70.906 / 74.442

// bleachDensity is that of fresh bleach, g/mL, by strength: assumed in
// testdata/published/service.csv; an error of 2 % makes one of 2 % in the dose.
var bleachDensity = struct{ strength, density []float64 }{[]float64{0, 0.0525, 0.06, 0.0825, 0.125}, []float64{1, 1.075, 1.085, 1.115, 1.17}}

// Sanitise returns the bleach that gives a volume of clean water so many mg of
// chlorine a litre:
//
//	bleach = chlorine · water / (strength · 0.9525 · density)
//
// for fresh plain bleach of a strength from 0.01 to 0.125. Source: stoichiometry;
// densities as in bleachDensity. The error says which number is out of range.
func Sanitise(water unit.Volume, chlorine, strength float64) (Dose, error) {
	d := Dose{Water: water, Chlorine: chlorine, Strength: strength}
	if !(water > 0) || !(chlorine > 0 && chlorine <= 200) || !(strength >= 0.01 && strength <= 0.125) {
		return d, fmt.Errorf("repair: no dose for %v at %g mg/L with bleach of %g %%: want water, 200 mg/L at most, and bleach of 1 to 12.5 %%", water, chlorine, 100*strength)
	}
	grams := chlorine * 1e-3 * water.Litres() / (strength * availableChlorine)
	d.Bleach = unit.Volume(grams/densityAt(strength)) * unit.Millilitre
	return d, nil
}

// densityAt is the density of bleach of a strength within the table, by straight lines
// between its rows.
func densityAt(strength float64) float64 {
	x, y := bleachDensity.strength, bleachDensity.density
	i := 1
	for i < len(x)-1 && x[i] < strength {
		i++
	}
	return y[i-1] + (y[i]-y[i-1])*(strength-x[i-1])/(x[i]-x[i-1])
}
