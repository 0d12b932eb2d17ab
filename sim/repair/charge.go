package repair

import (
	"time"

	"gonum.org/v1/gonum/integrate/quad"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// charge integrates the current of every pump over its runs between two times of
// a record, A·s. It is false where a curve tells no current.
func (j Job) charge(rec *sim.Record, from, until float64) (coulombs float64, known bool, err error) {
	known = true
	for _, part := range j.Model.Rig().Parts() {
		p, ok := part.(network.Pump)
		if !ok {
			continue
		}
		curve := p.Curve.AtVoltage(p.Voltage)
		if len(curve) == 0 || curve[0].Current == 0 {
			known = false
			continue
		}
		current := func(at float64) float64 {
			s, failed := rec.At(time.Duration(at * float64(time.Second)))
			if failed != nil {
				err = failed
				return 0
			}
			out, _ := s.Pressure(p.To)
			in, _ := s.Pressure(p.From)
			return float64(curve.Current(out - in))
		}
		on, since := false, 0.0
		spend := func(until float64) {
			// Between the points of its curve the current is a line: a few nodes do.
			coulombs += quad.Fixed(current, since, until, nodes, quad.Legendre{}, 0)
		}
		for _, e := range rec.Events {
			if e.Part != p.Name || e.At > until {
				continue
			}
			switch {
			case e.What == sim.PumpStarts && !on:
				on, since = true, max(e.At, from)
			case e.What == sim.PumpStops && on:
				on = false
				if e.At > from {
					spend(e.At)
				}
			}
		}
		if on && until > since {
			spend(until)
		}
	}
	return coulombs, known, err
}

// nodes of the quadrature over one run.
const nodes = 16

// waterOf is the density of a simulation's water.
func waterOf(o sim.Options) unit.Density {
	if o.Water.Density > 0 {
		return o.Water.Density
	}
	return hydraulics.WaterAt(unit.Celsius(20)).Density
}
