package network

import (
	"cmp"
	"fmt"
	"math"
	"strconv"
	"strings"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
)

// A filling puts typical values where none was told, and keeps the list of them.
type filling struct {
	assumed []Assumption
	sizes   map[[2]string]foundSize // by material and size
	lowest  unit.Pressure           // cut-in of the pump that starts lowest; zero: no pump
}

// A foundSize is what follows from a tube's material and size.
type foundSize struct {
	hydraulics.TubeSize
	bore, roughness string  // as people read them
	stretch         float64 // of wall and water per volume, 1/Pa
	modulus         string  // where the wall's comes from
}

func (f *filling) assume(p Part, field, value string, sd float64, source string) {
	f.assumed = append(f.assumed, Assumption{Part: p.ID(), Field: field, Value: value, SD: sd, Source: source})
}

func (f *filling) derive(p Part, field, value string, sd float64, source string) {
	f.assumed = append(f.assumed, Assumption{Part: p.ID(), Field: field, Value: value, SD: sd, Derived: true, Source: source})
}

// fill gives a field that is zero its typical value.
func fill[Q ~float64](f *filling, p Part, field string, v *Q) {
	if *v != 0 {
		return
	}
	t := typicals[p.Kind()+"."+field]
	*v = Q(t.value)
	f.assume(p, field, t.shown(t.value), t.sd, t.source)
}

// fillValve fills bore and loss, unless a Cv rules over both.
func fillValve(f *filling, p Part, bore *unit.Length, k *float64, cv float64) {
	if cv == 0 {
		fill(f, p, "bore", bore)
		fill(f, p, "k", k)
	}
}

// size looks a tube's size up, each size once. Without a size it is that of 1/2 in:
// the tube's bore was told, and its wall is taken in proportion.
func (f *filling) size(material, size string) (foundSize, error) {
	key := [2]string{material, size}
	if found, ok := f.sizes[key]; ok {
		return found, nil
	}
	s, err := hydraulics.LookupTube(material, cmp.Or(size, "1/2 in"))
	if err != nil {
		return foundSize{}, err
	}
	m, err := hydraulics.LookupMaterial(strings.TrimSuffix(s.Material, " m"))
	if err != nil {
		return foundSize{}, err
	}
	wall := hydraulics.Wall{Bore: s.Bore, Thickness: s.Wall, Modulus: m.Modulus, Poisson: m.Poisson}
	found := foundSize{
		TubeSize:  s,
		bore:      fmt.Sprintf("%.3g in", s.Bore.Inches()),
		roughness: fmt.Sprintf("%.2g mm", s.Roughness.Millimetres()),
		stretch:   wall.Stretch() + hydraulics.WaterAt(unit.Celsius(20)).Compressibility,
		modulus:   m.Source,
	}
	if f.sizes == nil {
		f.sizes = make(map[[2]string]foundSize)
	}
	f.sizes[key] = found
	return found, nil
}

// tubeValues works out what follows from a tube's size, material and length.
// Where the size is unknown the tube keeps its zeros; validation says so.
func (f *filling) tubeValues(p *Tube) {
	s, err := f.size(p.Material, p.Size)
	if err != nil {
		return
	}
	if p.Bore == 0 {
		p.Bore = s.Bore
		f.derive(*p, "bore", s.bore, 0.02*float64(p.Bore), s.Source)
	}
	if p.Roughness == 0 {
		p.Roughness = s.Roughness
		f.derive(*p, "roughness", s.roughness, float64(p.Roughness), "drawn tube: Moody, Trans. ASME 66 (1944) 671")
	}
	if p.Compliance == 0 && !p.Rigid && p.Length > 0 {
		p.Compliance = unit.Compliance(s.stretch * float64(p.water()))
		f.derive(*p, "compliance", strconv.FormatFloat(p.Compliance.MillilitresPerPSI(), 'g', 2, 64)+" mL/psi",
			0.35*float64(p.Compliance), "elastic thick tube and water; "+s.modulus)
	}
}

// water is the volume of water in the tube.
func (p Tube) water() unit.Volume {
	return unit.Volume(math.Pi / 4 * float64(p.Bore*p.Bore*p.Length))
}

// switchValues fills a pump's cut-in and cut-out: of a pair of which one was
// told the other is a usual span away.
func (f *filling) switchValues(p *Pump) {
	span := unit.Pressure(typicals["pump.cut_out"].value - typicals["pump.cut_in"].value)
	sd := float64(4 * unit.PSI)
	switch {
	case p.CutIn == 0 && p.CutOut > 0:
		p.CutIn = max(p.CutOut-span, p.CutOut/2)
		f.assume(*p, "cut_in", fmt.Sprint(p.CutIn), sd, pairSource)
	case p.CutOut == 0 && p.CutIn > 0:
		p.CutOut = p.CutIn + span
		f.assume(*p, "cut_out", fmt.Sprint(p.CutOut), sd, pairSource)
	default:
		fill(f, *p, "cut_in", &p.CutIn)
		fill(f, *p, "cut_out", &p.CutOut)
	}
}

// pumpCurve fills a pump's curve. Where the pump stops above 55 psi the
// synthetic curve is stretched, so that it can.
func (f *filling) pumpCurve(p *Pump) {
	if len(p.Curve) > 0 {
		return
	}
	p.Curve = hydraulics.Typical()
	if stop := p.stopsAt(); stop > 55*unit.PSI && stop <= unit.Pressure(math.MaxFloat64) {
		for i := range p.Curve {
			p.Curve[i].Rise *= stop / (55 * unit.PSI)
		}
	}
	last := p.Curve[len(p.Curve)-1]
	f.assume(*p, "curve", fmt.Sprintf("synthetic, %s open, none at %s", p.Curve[0].Flow, last.Rise), 0.2, commonPractice)
}

// precharge fills an accumulator's charge from the cut-in of the pump that
// starts lowest.
func (f *filling) precharge(p *Accumulator) {
	if p.Precharge != 0 {
		return
	}
	cutIn := f.lowest
	if cutIn == 0 {
		cutIn = unit.Pressure(typicals["pump.cut_in"].value)
	}
	p.Precharge = max(cutIn-3*unit.PSI, cutIn/2)
	f.assume(*p, "precharge", fmt.Sprint(p.Precharge), float64(4*unit.PSI),
		"trade page, year not stated: about 3 psi below cut-in; a motorhome owner manual, 2005, has 18 to 22 psi for a cut-in of 40")
}
