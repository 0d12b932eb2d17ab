package hydraulics

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"quietpump/hydraulics/unit"
)

// A Fitting is a tabled loss of a fitting or valve. One of Multiple, Length and
// Value is set; K turns any of them into a loss coefficient.
type Fitting struct {
	Kind     string
	Size     string      // nominal tube size such as "1/2 in"; empty: any
	Multiple float64     // K as a multiple of fT, the fully turbulent friction factor of clean steel pipe
	Length   unit.Length // equivalent length of same-size tube
	Value    LossK       // K itself
	Source   string
}

// cleanSteel is the roughness of clean commercial steel, 0.00015 ft; the
// multiples of fT refer to it. Source: L. F. Moody, Trans. ASME 66 (1944) 671.
const cleanSteel = 0.00015 * unit.Foot

// K returns the loss coefficient on the velocity in a bore, for tube of friction
// factor f, which only an equivalent length needs:
//
//	K = Multiple·fT,  fT = Colebrook(∞, ε/D) of clean steel pipe
//	K = f·Length/D
func (x Fitting) K(bore unit.Length, f float64) LossK {
	switch {
	case x.Multiple != 0:
		return LossK(x.Multiple * Colebrook(math.Inf(1), float64(cleanSteel/bore)))
	case x.Length != 0:
		return LengthK(x.Length, bore, f)
	}
	return x.Value
}

// LookupFitting returns the loss of a kind of fitting such as "brass crimp elbow"
// or "globe valve". Size, "1/2 in", matters for crimp and press fittings only.
// The error of an unknown kind or size lists those there are.
func LookupFitting(kind, size string) (Fitting, error) {
	var sizes []string
	for _, x := range fittings {
		if x.Kind != kind {
			continue
		}
		if x.Size == "" || sizeName(size) == x.Size {
			return x, nil
		}
		sizes = append(sizes, x.Size)
	}
	if sizes != nil {
		return Fitting{}, fmt.Errorf("%s %q: no such size (want %s)", kind, size, strings.Join(sizes, ", "))
	}
	return Fitting{}, unknown("fitting", kind, fittingKinds())
}

// fittingKinds lists the kinds there are, in alphabetical order.
func fittingKinds() []string {
	var kinds []string
	for _, x := range fittings {
		kinds = append(kinds, x.Kind)
	}
	slices.Sort(kinds)
	return slices.Compact(kinds)
}

var fittings = slices.Concat(
	sourced("Flow of Fluids, Technical Paper No. 410M (2009), A-46 to A-49",
		Fitting{Kind: "gate valve", Multiple: 8},
		Fitting{Kind: "globe valve", Multiple: 340},
		Fitting{Kind: "angle valve", Multiple: 150},
		Fitting{Kind: "full-bore ball valve", Multiple: 3},
		Fitting{Kind: "swing check valve", Multiple: 100},
		Fitting{Kind: "clearway swing check valve", Multiple: 50},
		Fitting{Kind: "globe lift check valve", Multiple: 600},
		Fitting{Kind: "angled lift check valve", Multiple: 55},
	),
	sourced("Flow of Fluids, Technical Paper No. 410M (2009), A-29 and A-48; from memory but for the long-radius bend",
		Fitting{Kind: "threaded elbow", Multiple: 30},
		Fitting{Kind: "threaded 45 degree elbow", Multiple: 16},
		Fitting{Kind: "threaded tee, run", Multiple: 20},
		Fitting{Kind: "threaded tee, branch", Multiple: 60},
		Fitting{Kind: "long-radius bend", Multiple: 20},
		Fitting{Kind: "close return bend", Multiple: 50},
	),
	sourced("Cengel and Cimbala, Fluid Mechanics, Table 8-4",
		Fitting{Kind: "sharp entrance", Value: 0.5},
		Fitting{Kind: "exit into a tank", Value: 1.0},
	),
	sourced("Munson, Young, Okiishi, Fundamentals of Fluid Mechanics, Example 8.8",
		Fitting{Kind: "faucet", Value: 2},
	),
	// Equivalent feet of SDR-9 PEX: maker's installation manual, 2016.
	pexFittings("brass crimp", [4][4]float64{{2.9, 9.2, 2.9, 9.4}, {2.0, 9.4, 2.2, 10.4}, {0.6, 9.4, 1.9, 8.9}, {1.3, 10.0, 2.3, 11.0}}),
	pexFittings("polymer crimp", [4][4]float64{{10.9, 22.3, 0, 0}, {7.1, 16.5, 7.2, 17.9}, {4.8, 17.4, 6.6, 17.7}, {4.5, 18.0, 6.0, 17.0}}),
	pexFittings("bronze press", [4][4]float64{{2.9, 9.2, 2.9, 9.4}, {2.0, 9.4, 2.2, 10.4}, {1.0, 8.0, 1.0, 9.0}, {1.0, 10.0, 2.0, 10.0}}),
	plasticFittings("1/2 in", 0.8, 1.5, 1.0, 4.0),
	plasticFittings("3/4 in", 1.0, 2.0, 1.4, 5.0),
	plasticFittings("1 in", 1.4, 2.3, 1.7, 6.0),
	pexFittings("polymer press", [4][4]float64{{4.5, 14.3, 6.5, 14.7}, {2.6, 12.6, 3.9, 14.0}, {2.5, 18.9, 3.6, 19.1}, {3.1, 17.7, 3.8, 18.4}}),
)

func sourced(source string, list ...Fitting) []Fitting {
	for i := range list {
		list[i].Source = source
	}
	return list
}

// pexFittings lists couplings, elbows, tee runs and tee branches in four sizes,
// their equivalent lengths in feet; zero is not in the table.
func pexFittings(made string, feet [4][4]float64) []Fitting {
	var list []Fitting
	for i, size := range []string{"3/8 in", "1/2 in", "3/4 in", "1 in"} {
		for j, shape := range []string{" coupling", " elbow", " tee, run", " tee, branch"} {
			if feet[i][j] != 0 {
				list = append(list, Fitting{
					Kind: made + shape, Size: size,
					Length: unit.Length(feet[i][j]) * unit.Foot,
					Source: "maker's installation manual, 2016",
				})
			}
		}
	}
	return list
}

// plasticFittings lists the fittings of threaded or solvent-welded plastic pipe
// of one size, their equivalent lengths in feet.
func plasticFittings(size string, elbow45, elbow, run, branch float64) []Fitting {
	return sourced("trade page, year not stated",
		Fitting{Kind: "plastic pipe 45 degree elbow", Size: size, Length: unit.Length(elbow45) * unit.Foot},
		Fitting{Kind: "plastic pipe elbow", Size: size, Length: unit.Length(elbow) * unit.Foot},
		Fitting{Kind: "plastic pipe tee, run", Size: size, Length: unit.Length(run) * unit.Foot},
		Fitting{Kind: "plastic pipe tee, branch", Size: size, Length: unit.Length(branch) * unit.Foot},
	)
}
