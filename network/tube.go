package network

import (
	"quietpump/hydraulics/unit"
)

// A Tube is a length of tube or hose between two joints, always full of water.
// Its drop is (f·L/D + K)·ρ·v|v|/2 plus the static head.
type Tube struct {
	Name      string
	From, To  string
	Size      string      // trade size such as "1/2 in"; zero: 1/2 in, assumed
	Material  string      // "pex", "copper" or "hose"; zero: pex, assumed
	Length    unit.Length // zero: 1 m, assumed with a wide tolerance
	Bore      unit.Length // inside diameter; zero: from Size and Material
	Roughness unit.Length // zero: the material's; negative: hydraulically smooth
	K         float64     // sum of the fittings' loss coefficients, on the bore's velocity
	// HazenWilliams is C of the Hazen–Williams formula; zero: Darcy–Weisbach.
	HazenWilliams float64
	// Compliance is the stretch of wall and water of the whole tube; zero: from
	// material, bore and length. Rigid leaves both out.
	Compliance unit.Compliance
	Rigid      bool
}

func (p Tube) itemName() string { return p.Name }

// ID returns the part's name.
func (p Tube) ID() string { return p.Name }

// Kind returns "tube".
func (p Tube) Kind() string { return "tube" }

// Joints returns the joints at the part's ports.
func (p Tube) Joints() []string { return []string{p.From, p.To} }

func (p Tube) stands(s Setting) (Setting, bool) { return fixedStands(s) }

func (p Tube) passages(Setting) []passage { return through(p.From, p.To) }

func (p Tube) filled(f *filling) Part {
	if p.Material == "" {
		p.Material = "pex"
		f.assume(p, "material", p.Material, 0, commonPractice)
	}
	if p.Size == "" && p.Bore == 0 {
		p.Size = "1/2 in"
		f.assume(p, "size", p.Size, 0, commonPractice)
	}
	fill(f, p, "length", &p.Length)
	f.tubeValues(&p)
	return p
}

func (p Tube) judge(j *judge) {
	if _, err := j.filling.size(p.Material, p.Size); err != nil && (p.Bore == 0 || p.Compliance == 0 && !p.Rigid || p.Roughness == 0) {
		j.problems.add(p, "size", err.Error(), "write a trade size, or bore, roughness and compliance outright")
	}
}
