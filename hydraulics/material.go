package hydraulics

import (
	"slices"
	"strings"
	"time"
)

// A Material is what a tube's wall is made of.
type Material struct {
	Name      string
	Modulus   float64    // Young's at 20 °C, loaded for seconds, Pa
	Range     [2]float64 // least and most Modulus met, Pa
	Poisson   float64    // ratio
	Expansion float64    // linear thermal, 1/K
	Creep     Creep      // zero: none worth counting
	Source    string
	soft      softening
}

var materials = []Material{
	{
		Name: "pex", Modulus: 0.7e9, Range: [2]float64{0.5e9, 0.9e9}, Poisson: 0.46, Expansion: 1.65e-4,
		soft:   polyethylene,
		Source: "modulus and Poisson ratio from memory; maker's manual, year not stated: 1.1 in per 100 ft per 10 °F",
		// The times make a tight line relax for 24 to 36 h, as polyethylene pipe does
		// (UK Water Industry, Information and Guidance Note 4-01-03, 2011). That the
		// compliance grows by half of itself in a day is from memory of creep
		// moduli of polyethylene pipe; the split among the terms is a choice.
		Creep: Creep{{0.15, 6 * time.Minute}, {0.15, time.Hour}, {0.20, 10 * time.Hour}},
	},
	{
		Name: "copper", Modulus: 117e9, Range: [2]float64{107e9, 131e9}, Poisson: 0.34, Expansion: 1.65e-5,
		soft:   copper,
		Source: "Wylie and Streeter, Fluid Transients in Systems (1993), from memory",
	},
	{
		Name: "hose", Modulus: 50e6, Range: [2]float64{10e6, 200e6}, Poisson: 0.48, Expansion: 1e-4,
		soft:   plasticised,
		Source: "braided vinyl, common practice, no source: a hose swells a few per cent",
	},
	{
		Name: "steel", Modulus: 204e9, Range: [2]float64{200e9, 207e9}, Poisson: 0.30, Expansion: 1.2e-5,
		soft:   steel,
		Source: "Wylie and Streeter, Fluid Transients in Systems (1993), from memory",
	},
	{
		Name: "pvc", Modulus: 2.9e9, Range: [2]float64{2.4e9, 3.5e9}, Poisson: 0.46, Expansion: 6e-5,
		soft:   pvc,
		Source: "Wylie and Streeter, Fluid Transients in Systems (1993), from memory",
	},
	{
		Name: "hdpe", Modulus: 0.95e9, Range: [2]float64{0.8e9, 1.1e9}, Poisson: 0.46, Expansion: 1.8e-4,
		soft:   polyethylene,
		Source: "Wylie and Streeter, Fluid Transients in Systems (1993), from memory",
	},
}

// LookupMaterial returns a material by name: "pex", "copper", "hose", "steel",
// "pvc" or "hdpe". The error of an unknown name lists those there are.
func LookupMaterial(name string) (Material, error) {
	var names []string
	for _, m := range materials {
		if m.Name == strings.ToLower(strings.TrimSpace(name)) {
			m.Creep = slices.Clone(m.Creep)
			return m, nil
		}
		names = append(names, m.Name)
	}
	return Material{}, unknown("material", name, names)
}
