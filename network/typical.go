package network

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"quietpump/hydraulics/unit"
)

// An Assumption is a value nobody told: a typical one stands in.
type Assumption struct {
	Part  string  // part or joint; in the list of [Typicals] a kind of part
	Field string  // in the words of rig files, such as "length"; "bypass.opens" within a field
	Value string  // as people read it, such as "1 m"
	SD    float64 // one standard deviation, in SI units (of a curve: fraction of its flow); zero: not a number
	// Derived says that the value follows from others by a table or law, as a
	// bore does from a size, and is not a guess of its own.
	Derived bool
	Source  string // a publication, or "common practice, no source"
}

const (
	commonPractice = "common practice, no source"
	pairSource     = "trade page, year not stated: common demand pump, 45 / about 30 psi"
	bypassSource   = "owners' page, 2011: begins to open about 40 psi, full about 62 psi"
)

// A typical is a value that stands in where none was told, with its standard
// deviation, both in SI units.
type typical struct {
	value, sd float64
	shown     func(float64) string // the value as people read it
	source    string
}

func row[Q ~float64](value, sd Q, source string) typical {
	return typical{float64(value), float64(sd), shown[Q], source}
}

func shown[Q ~float64](value float64) string { return fmt.Sprint(Q(value)) }

// typicals has every typical value that is one number, by kind and field.
// The widths are judgements: wide enough to hold what vehicles have.
var typicals = map[string]typical{
	"tube.length": row(1*unit.Metre, 0.7, commonPractice),

	// K = 3·fT of a full-bore ball valve, with fT = 0.026 of 1/2 in pipe (fT from memory).
	"shutoff.k":      row(3*0.026, 0.2, "Flow of Fluids, Technical Paper No. 410M (2009), A-46 to A-49"),
	"shutoff.bore":   row(halfInch, 1*unit.Millimetre, halfInchSource),
	"selector.k":     row(2.0, 1.0, commonPractice),
	"selector.bore":  row(halfInch, 1*unit.Millimetre, halfInchSource),
	"check.k":        row(3.0, 1.5, commonPractice),
	"check.bore":     row(halfInch, 1*unit.Millimetre, halfInchSource),
	"mixer.k":        row(5.0, 2.0, commonPractice),
	"mixer.bore":     row(threeEighths, 1*unit.Millimetre, halfInchSource),
	"regulator.k":    row(10.0, 5.0, commonPractice),
	"regulator.bore": row(halfInch, 1*unit.Millimetre, halfInchSource),
	"drain.k":        row(2.0, 1.0, commonPractice),
	"drain.bore":     row(threeEighths, 1*unit.Millimetre, halfInchSource),

	"regulator.set":      row(45*unit.PSI, 5*unit.PSI, "common practice, no source: fixed ones hold 40 to 50 psi"),
	"regulator.droop_at": row(2*unit.GPM, 0.5*unit.GPM, commonPractice),

	"strainer.drop": row(0.5*unit.PSI, 0.5*unit.PSI, commonPractice),
	"strainer.at":   row(2*unit.GPM, 0.5*unit.GPM, commonPractice),
	"filter.drop":   row(3*unit.PSI, 2*unit.PSI, commonPractice),
	"filter.at":     row(2*unit.GPM, 0.5*unit.GPM, commonPractice),

	"pump.voltage":          row(12*unit.Volt, 0.6, "trade page, 2017: 10 to 14 V"),
	"pump.cut_in":           row(30*unit.PSI, 5*unit.PSI, pairSource),
	"pump.cut_out":          row(45*unit.PSI, 5*unit.PSI, pairSource),
	"pump.cracking":         row(2*unit.PSI, 1*unit.PSI, commonPractice),
	"pump.bypass.opens":     row(40*unit.PSI, 5*unit.PSI, bypassSource),
	"pump.hold.set":         row(50*unit.PSI, 7*unit.PSI, commonPractice),
	"pump.hold.least_speed": row(0.2, 0.1, commonPractice),
	"hand pump.stroke":      row(100*unit.Millilitre, 40e-6, commonPractice),

	"tank.capacity":        row(40*unit.USGallon, 15*unit.USGallon, "trade page, year not stated: 20 to 50 US gal in most vehicles"),
	"tank.height":          row(0.25*unit.Metre, 0.08, commonPractice),
	"waste tank.capacity":  row(40*unit.USGallon, 10*unit.USGallon, commonPractice),
	"accumulator.volume":   row(0.75*unit.Litre, 0.3e-3, "common practice, no source: 0.7, 1 and 2 L are common sizes"),
	"accumulator.exponent": row(1.0, 0.1, commonPractice),
	"air pocket.volume":    row(100*unit.Millilitre, 80e-6, commonPractice),
	"air pocket.exponent":  row(1.0, 0.1, commonPractice),
	"heater.volume":        row(6*unit.USGallon, 2*unit.USGallon, "common practice, no source: 6 or 10 US gal, some 4, 12, 16"),

	"fixture.rated":      row(1.5*unit.GPM, 0.5*unit.GPM, commonPractice),
	"fixture.rated_at":   row(45*unit.PSI, 5*unit.PSI, commonPractice),
	"appliance.rated":    row(0.5*unit.GPM, 0.25*unit.GPM, commonPractice),
	"appliance.rated_at": row(45*unit.PSI, 5*unit.PSI, commonPractice),
	"hookup.static":      row(50*unit.PSI, 8*unit.PSI, "trade page, year not stated: 40 to 60 psi recommended, target 45 to 55"),
	"hookup.droop":       row(10*unit.PSI, 5*unit.PSI, commonPractice),
	"hookup.droop_at":    row(2*unit.GPM, 0.5*unit.GPM, commonPractice),
	"relief valve.set":   row(150*unit.PSI, 5*unit.PSI, "International Plumbing Code 504.4"),
	"relief valve.rated": row(5*unit.GPM, 2*unit.GPM, commonPractice),
}

// Average bores of PEX tube, and of what is screwed to it.
const (
	halfInch       = 0.475 * unit.Inch
	threeEighths   = 0.350 * unit.Inch
	halfInchSource = "bore of PEX tube; maker's design manual, 2014"

	bypassSpan     = (62 - 40) * unit.PSI
	tanklessVolume = 0.5 * unit.Litre
	// heaterStretch is the compliance of a heater's shell and water per volume, 1/Pa:
	// six times the water's own. Common practice, no source.
	heaterStretch = 2.6e-9
)

// Typicals lists the typical values, in order of kind and field; Part is the
// kind. What is worked out from other values is not in the list: a tube's bore,
// roughness and compliance (from size and material), an accumulator's precharge
// (3 psi below the lowest cut-in), a pump's curve, a joint's elevation.
func Typicals() []Assumption {
	var list []Assumption
	for key, t := range typicals {
		kind, field, _ := strings.Cut(key, ".")
		list = append(list, Assumption{Part: kind, Field: field, Value: t.shown(t.value), SD: t.sd, Source: t.source})
	}
	slices.SortFunc(list, byPartAndField)
	return list
}

func byPartAndField(a, b Assumption) int {
	return cmp.Or(strings.Compare(a.Part, b.Part), strings.Compare(a.Field, b.Field))
}
