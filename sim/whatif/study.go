package whatif

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distmv"
	"gonum.org/v1/gonum/stat/distuv"
	"gonum.org/v1/gonum/stat/samplemv"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/tolerance"
	"quietpump/sim"
	"quietpump/sim/cycle"
)

// A Study is what is simulated many times: one cycle of the rig's pump, with
// something changed each time. Only Rig must be given.
type Study struct {
	Rig    *network.Rig
	Lineup network.Lineup
	Faults network.Faults
	Sim    sim.Options   // its span and samples are the study's own
	Rest   time.Duration // longest rest that is waited for; zero: a day
	Batch
}

// Draws says how a rig is drawn within its tolerances.
type Draws struct {
	Count    int                 // rigs; zero: 256
	Seed     uint64              // the same seed and count give the same rigs
	Unknowns []tolerance.Unknown // what is drawn; nil: [tolerance.InCycle] of the rig
}

// An Axis is a quantity that is swept.
type Axis struct {
	// Part and Field name a number of the rig as rig files do, "accumulator" and
	// "volume". Field "seep" is the size of the seep of the Faults at that part,
	// m³/s. Without a part the Fields are "altitude" (m) and "water" (its
	// temperature, K).
	Part, Field string
	Values      []float64 // SI units
}

// Fields of an [Axis] that no rig file has.
const (
	Seep     = "seep"
	Altitude = "altitude"
	Water    = "water"
)

// Ensemble simulates a cycle of each of many rigs that could be the real one:
// the unknowns drawn each evenly over its range (Latin hypercube: McKay, Beckman
// and Conover, Technometrics 21 (1979) 239). The table has a column for each
// unknown. A rig that cannot be and one without a cycle have a row that says why.
// When ctx ends it, the rows that are done are returned with the error.
func (s Study) Ensemble(ctx context.Context, d Draws) (*Table, error) {
	if s.Rig == nil {
		return nil, errNoRig
	}
	if d.Count < 0 {
		return nil, fmt.Errorf("whatif: %d rigs are none; draw one at least", d.Count)
	}
	if d.Count == 0 {
		d.Count = 256
	}
	if d.Unknowns == nil {
		d.Unknowns = tolerance.InCycle(s.Rig)
	}
	t := s.table("ensemble", d.Count)
	t.Seed = d.Seed
	for _, u := range d.Unknowns {
		t.Columns = append(t.Columns, Column{u.Part, u.Field})
	}
	scores := normalScores(d.Count, len(d.Unknowns), d.Seed)
	return t, s.fill(ctx, t, func(i int) (Row, error) {
		row := Row{Index: i, Values: make([]float64, len(d.Unknowns))}
		z := make([]float64, len(d.Unknowns))
		for k, u := range d.Unknowns {
			z[k] = scores.At(i, k)
			row.Values[k] = u.At(z[k])
		}
		rig, err := tolerance.Draw(s.Rig, d.Unknowns, z)
		if err != nil {
			row.Why = impossible + err.Error()
			return row, nil
		}
		return s.row(row, rig, s.Faults, s.Sim)
	})
}

const impossible = "this rig cannot be: "

// normalScores are standard normal scores for n draws of so many unknowns, one row a
// draw, each column evenly spread over its range. They follow from n and the
// seed; further unknowns leave the columns of those before as they are.
func normalScores(n, unknowns int, seed uint64) mat.Matrix {
	if n < 1 || unknowns < 1 {
		return &mat.Dense{}
	}
	z := mat.NewDense(n, unknowns, nil)
	samplemv.LatinHypercube{Q: distmv.NewUnitUniform(unknowns, nil), Src: rand.NewPCG(seed, 0)}.Sample(z)
	z.Apply(func(_, _ int, p float64) float64 {
		return distuv.UnitNormal.Quantile(max(p, 1e-12)) // an even 0 would be minus infinity
	}, z)
	return z
}

// Sweep simulates a cycle at every value of one axis, or at every pair of values
// of two, the second running fastest. The table has a column for each axis.
// A value that the rig cannot have has a row that says why; an axis that the
// study does not have is an error.
func (s Study) Sweep(ctx context.Context, axes ...Axis) (*Table, error) {
	if s.Rig == nil {
		return nil, errNoRig
	}
	if len(axes) != 1 && len(axes) != 2 {
		return nil, fmt.Errorf("whatif: %d axes; sweep one or two", len(axes))
	}
	count := 1
	var errs []error
	for _, a := range axes {
		count *= len(a.Values)
		if len(a.Values) == 0 {
			errs = append(errs, fmt.Errorf("whatif: no values for %v; give some", a))
			continue
		}
		d, faults, opts := tolerance.NewDraft(s.Rig), s.Faults, s.Sim
		errs = append(errs, a.turn(d, &faults, &opts, a.Values[0]))
	}
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	t := s.table("sweep", count)
	for _, a := range axes {
		t.Columns = append(t.Columns, Column{a.Part, a.Field})
	}
	return t, s.fill(ctx, t, func(i int) (Row, error) {
		row := Row{Index: i, Values: make([]float64, len(axes))}
		d, faults, opts := tolerance.NewDraft(s.Rig), append(network.Faults(nil), s.Faults...), s.Sim
		for k, rest := len(axes)-1, i; k >= 0; k-- {
			n := len(axes[k].Values)
			row.Values[k] = axes[k].Values[rest%n]
			rest /= n
		}
		for k, a := range axes {
			if err := a.turn(d, &faults, &opts, row.Values[k]); err != nil {
				row.Why = impossible + err.Error()
				return row, nil
			}
		}
		rig, err := d.Rig()
		if err != nil {
			row.Why = impossible + err.Error()
			return row, nil
		}
		return s.row(row, rig, faults, opts)
	})
}

// turn sets the axis to a value.
func (a Axis) turn(d *tolerance.Draft, faults *network.Faults, opts *sim.Options, value float64) error {
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return fmt.Errorf("whatif: %v of %v is no number", a, value)
	}
	switch {
	case a.Part == "" && a.Field == Altitude:
		opts.Altitude = unit.Length(value)
		return nil
	case a.Part == "" && a.Field == Water:
		if !(value >= 273.15 && value <= 363.15) {
			return fmt.Errorf("whatif: water at %v is outside 0 to 90 °C", unit.Temperature(value))
		}
		opts.Water = hydraulics.WaterAt(unit.Temperature(value))
		return nil
	case a.Field == Seep:
		for i, f := range *faults {
			if f, ok := f.(network.Seep); ok && f.Part == a.Part {
				changed := append(network.Faults(nil), *faults...)
				f.Ref = unit.Flow(value)
				changed[i] = f
				*faults = changed
				return nil
			}
		}
		return fmt.Errorf("whatif: nothing seeps at %q in this study; add the seep to its faults", a.Part)
	}
	return d.Set(a.Part, a.Field, value)
}

// String returns the part and field, such as "accumulator: volume".
func (a Axis) String() string { return Column{a.Part, a.Field}.String() }

var errNoRig = errors.New("whatif: no rig to study")

func (s Study) table(what string, count int) *Table {
	t := &Table{What: what, Rig: s.Rig.Name(), Lineup: s.Lineup.String(), Count: count}
	for _, f := range s.Faults {
		t.Faults = append(t.Faults, f.String())
	}
	return t
}

// fill computes the shard's rows of a table.
func (s Study) fill(ctx context.Context, t *Table, row func(i int) (Row, error)) error {
	if err := errors.Join(s.Shard.check(), s.Rig.CheckLineup(s.Lineup), s.Rig.CheckFaults(s.Faults)); err != nil {
		return err
	}
	step := max(s.Shard.Count, 1)
	rows := make([]Row, s.Shard.pieces(t.Count))
	done := make([]bool, len(rows))
	err := s.Each(ctx, t.Count, func(i int) error {
		r, err := row(i)
		if err != nil {
			return fmt.Errorf("whatif: row %d: %w", i, err)
		}
		k := (i - s.Shard.Index) / step
		rows[k], done[k] = r, true
		return nil
	})
	for k, r := range rows {
		if done[k] {
			t.Rows = append(t.Rows, r)
		}
	}
	return err
}

// row simulates a cycle and writes it into the row. Only options that no rig
// could be simulated with are an error.
func (s Study) row(row Row, rig *network.Rig, faults network.Faults, opts sim.Options) (Row, error) {
	model, err := sim.Compile(rig)
	if err != nil {
		return row, err
	}
	longest := s.Rest
	if longest == 0 {
		longest = 24 * time.Hour
	}
	c, err := cycle.First(model, s.Lineup, faults, opts, longest)
	switch {
	case c.Record == nil: // it could not begin, and no other rig could
		return row, err
	case err != nil:
		row.Why = err.Error()
	default:
		row.Rest, row.Run, row.Stored, row.Pumped = c.Rest, c.Run, c.Stored, c.Pumped
	}
	return row, nil
}
