package document

import (
	"fmt"
	"reflect"
	"strconv"

	"quietpump/hydraulics/unit"
)

// A quantity is how one of unit's types is read and written.
type quantity struct {
	eg    string // example of a value
	parse func(text string) (value, sd float64, err error)
	units []measure // tried in turn for a short text
}

type measure struct {
	symbol string
	size   float64 // in the SI unit
}

// quantities are the types a key may have, each with the units of the trade in
// which it is written where that is short and reads back bit for bit; the last
// is the SI unit, which always does.
var quantities = map[reflect.Type]quantity{
	reflect.TypeFor[unit.Pressure]():   quantityOf[unit.Pressure]("45 psi", measure{"psi", float64(unit.PSI)}, measure{"bar", float64(unit.Bar)}, measure{"kPa", 1e3}, measure{"Pa", 1}),
	reflect.TypeFor[unit.Flow]():       quantityOf[unit.Flow]("2 gpm", measure{"gpm", float64(unit.GPM)}, measure{"L/min", float64(unit.LitrePerMinute)}, measure{"m3/s", 1}),
	reflect.TypeFor[unit.Volume]():     quantityOf[unit.Volume]("1 L", measure{"gal", float64(unit.USGallon)}, measure{"L", float64(unit.Litre)}, measure{"mL", float64(unit.Millilitre)}, measure{"m3", 1}),
	reflect.TypeFor[unit.Length]():     quantityOf[unit.Length]("1 m", measure{"ft", float64(unit.Foot)}, measure{"in", float64(unit.Inch)}, measure{"mm", float64(unit.Millimetre)}, measure{"m", 1}),
	reflect.TypeFor[unit.Compliance](): quantityOf[unit.Compliance]("8e-12 m3/Pa", measure{"m3/Pa", 1}),
	reflect.TypeFor[unit.Voltage]():    quantityOf[unit.Voltage]("12 V", measure{"V", 1}),
	reflect.TypeFor[unit.Current]():    quantityOf[unit.Current]("5 A", measure{"A", 1}),
}

func quantityOf[Q unit.Quantity](eg string, units ...measure) quantity {
	return quantity{eg, func(text string) (float64, float64, error) {
		u, err := unit.Parse[Q](text)
		return float64(u.Value), float64(u.SD), err
	}, units}
}

// format writes a value and its standard deviation so that they read back bit
// for bit: "30 psi ± 4" where four to six digits of a trade's unit do, else in
// the SI unit with all digits. A zero sd is left out.
func (q quantity) format(x, sd float64) string {
	for _, u := range q.units {
		s := strconv.FormatFloat(x/u.size, 'g', 6, 64) + " " + u.symbol
		if sd > 0 {
			s += " ± " + strconv.FormatFloat(2*sd/u.size, 'g', 6, 64)
		}
		if v, d, err := q.parse(s); err == nil && v == x && d == sd {
			return s
		}
	}
	si := q.units[len(q.units)-1]
	s := fmt.Sprintf("%s %s", strconv.FormatFloat(x, 'g', -1, 64), si.symbol)
	if sd > 0 {
		s += " ± " + strconv.FormatFloat(2*sd, 'g', -1, 64)
	}
	return s
}
