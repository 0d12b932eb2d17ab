package network

import (
	"fmt"

	"quietpump/hydraulics/unit"
)

// An Accumulator holds water against a gas charge behind a bladder. Below its
// precharge it holds none.
type Accumulator struct {
	Name      string
	At        string
	Volume    unit.Volume   // gas volume with no water; zero: 0.75 L, assumed
	Precharge unit.Pressure // with the water side empty; zero: 3 psi below the lowest cut-in, assumed
	Exponent  float64       // n of pVⁿ; zero: 1, slow
}

func (p Accumulator) itemName() string { return p.Name }

// ID returns the part's name.
func (p Accumulator) ID() string { return p.Name }

// Kind returns "accumulator".
func (p Accumulator) Kind() string { return "accumulator" }

// Joints returns the joints at the part's ports.
func (p Accumulator) Joints() []string { return []string{p.At} }

func (p Accumulator) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p Accumulator) passages(Setting) []passage { return nil }

func (p Accumulator) filled(f *filling) Part {
	fill(f, p, "volume", &p.Volume)
	fill(f, p, "exponent", &p.Exponent)
	f.precharge(&p)
	return p
}

func (p Accumulator) judge(j *judge) {
	var stops unit.Pressure
	var pump string
	for _, k := range j.byKind("pump") {
		if other := j.parts[k].(Pump); other.stopsAt() > stops {
			stops, pump = other.stopsAt(), other.Name
		}
	}
	if pump != "" && p.Precharge >= stops {
		j.problems = append(j.problems, Problem{Kind: p.Kind(), Part: p.Name, Field: "precharge", Other: pump,
			What: fmt.Sprintf("precharge %s is not below %s, at which pump %q stops: it would never take water", fmt.Sprint(p.Precharge), fmt.Sprint(stops), pump),
			Fix:  "charge it about 3 psi below the pump's cut-in"})
	}
}
