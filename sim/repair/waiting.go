package repair

import (
	"cmp"
	"context"
	"maps"
	"math"
	"slices"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// Waiting is what it costs to leave the seep as it is, each a 95 % interval from
// that of the seep's size.
type Waiting struct {
	Water  Range[unit.Volume] // that gets by the seep in a day
	Starts Range[float64]     // of the pump in a day: as often as it was seen to, where it was
	// Charge in a day is the pump's, its current integrated over each run between
	// cut-in and cut-out. HasCurrent is false where its curve tells none.
	Charge     Range[unit.Charge]
	HasCurrent bool
	Tanks      []TankWait // those whose level moves, the first to be empty or to spill first
	// Weight is what the vehicle gains in a day, until a tank is full: water from
	// the hose that stays aboard, in a tank or in the belly pan.
	Weight Range[unit.Mass]
	// Pools says that the water may gather in the vehicle and not leave it.
	Pools bool
	// SwitchDays is how long the starts would take to reach the rated life of one
	// industrial switch: an illustration and no forecast. Zero: the pump does not start.
	SwitchDays float64
	Notes      []Note
}

// A TankWait is a tank whose level moves.
type TankWait struct {
	Tank  string
	Kind  string                // "tank" or "waste tank"
	Empty bool                  // it runs empty; else it fills and spills
	In    Range[time.Duration]  // until then; Low is the soonest
	Left  unit.Volume           // to run out or to fill
	Rate  Range[unit.Flow]      // at which its level moves, without sign
	Into  []network.Destination // where the seep's water goes
}

const (
	day     = 24 * time.Hour
	longest = 30 * day // simulated for a pump that does not stop twice
)

// Waiting simulates the rig with the seep at each end of its interval and
// between, from one pump stop to the next, and takes what happens in it through a
// day; where the pump does not stop twice, what happens in a month or until a tank
// is full or empty. A larger size and a larger drawdown are taken to go together,
// for the one was read from the other and the rest.
func (j Job) Waiting(ctx context.Context) (*Waiting, error) {
	rig, err := j.rig()
	if err != nil {
		return nil, err
	}
	sizes := j.sizes()
	at := [3]spell{}
	for i, q := range []unit.Flow{sizes.Low, sizes.Mid, sizes.High} {
		if i > 0 && (q == sizes.Low || i == 2 && q == sizes.Mid) {
			at[i] = at[i-1]
			continue
		}
		if at[i], err = j.spell(ctx, q); err != nil {
			return nil, err
		}
	}
	perDay := func(of func(s spell) float64) [3]float64 {
		var x [3]float64
		for i, s := range at {
			x[i] = of(s) / s.span * day.Seconds()
		}
		return x
	}
	w := &Waiting{HasCurrent: at[1].hasCurrent}
	w.Water = ranged[unit.Volume](perDay(func(s spell) float64 { return s.seeped }))
	starts := perDay(func(s spell) float64 { return float64(s.starts) })
	middle := unit.Volume(math.Sqrt(float64(j.LowDrawdown * j.HighDrawdown)))
	for i, told := range []unit.Volume{j.LowDrawdown, middle, j.HighDrawdown} {
		if told > 0 && at[i].starts > 0 {
			starts[i] *= at[i].seeped / float64(at[i].starts) / float64(told)
		}
	}
	w.Starts = ranged[float64](starts)
	if e := j.Every; e.Low > 0 && w.Starts.Mid > 0 { // what was seen needs no model
		often := func(d time.Duration) float64 { return day.Seconds() / d.Seconds() }
		w.Starts = Range[float64]{often(e.High), often(e.Mid), often(e.Low)}
	}
	w.Charge = ranged[unit.Charge](perDay(func(s spell) float64 { return s.charge }))
	for _, e := range j.ends() {
		w.Pools = w.Pools || e == network.ToBellyPan
	}
	rho := float64(at[1].density)
	w.Weight = ranged[unit.Mass](perDay(func(s spell) float64 {
		if w.Pools {
			return rho * s.in
		}
		return rho * (s.in - s.out)
	}))
	for _, p := range rig.Parts() {
		if t, ok := j.tankWait(rig, p, at); ok {
			w.Tanks = append(w.Tanks, t)
		}
	}
	slices.SortStableFunc(w.Tanks, func(a, b TankWait) int { return cmp.Compare(a.In.Mid, b.In.Mid) })
	if w.Starts.Mid > 0 {
		w.SwitchDays = switchLife / w.Starts.Mid
		w.Notes = append(w.Notes, noteSwitchLife)
		if w.HasCurrent {
			w.Notes = append(w.Notes, noteBattery)
		}
		for _, a := range rig.Assumed() {
			if p, ok := rig.Part(a.Part); ok && p.Kind() == "pump" && a.Field == "curve" {
				w.Notes = append(w.Notes, noteCurve)
				break
			}
		}
	}
	if w.Weight.High > 0 {
		w.Notes = append(w.Notes, noteWeight)
	}
	return w, nil
}

// switchLife is the operations of noteSwitchLife.
const switchLife = 5e4

// still is the flow below which a tank's level counts as standing.
const still = 1e-4 * unit.MillilitrePerMinute

// tankWait says when a tank is empty or spills; false where it stands still.
func (j Job) tankWait(rig *network.Rig, p network.Part, at [3]spell) (TankWait, bool) {
	t := TankWait{Tank: p.ID(), Kind: p.Kind(), Into: j.ends()}
	rate := func(s spell) float64 { return s.tanks[p.ID()] / s.span }
	mid := rate(at[1])
	holds := at[1].holds[p.ID()]
	if math.Abs(mid) < float64(still) {
		return t, false
	}
	t.Empty = mid < 0
	switch p := p.(type) {
	case network.Tank:
		t.Left = p.Capacity - holds
		if t.Empty {
			outlet, _ := rig.Joint(p.Ports[0])
			t.Left = holds - p.Capacity*unit.Volume(max(0, (outlet.Z-p.Floor)/p.Height))
		}
	case network.WasteTank:
		t.Left = p.Capacity - holds
		if t.Empty {
			return t, false
		}
	default:
		return t, false
	}
	t.Left = max(t.Left, 0)
	var rates [3]float64
	for i, s := range at {
		rates[i] = math.Abs(rate(s))
	}
	t.Rate = ranged[unit.Flow](rates)
	in := func(q unit.Flow) time.Duration { return lasting(float64(t.Left) / float64(q)) }
	t.In = Range[time.Duration]{in(t.Rate.High), in(t.Rate.Mid), in(t.Rate.Low)}
	return t, true
}

// lasting is a span of s seconds, at most what a time.Duration holds.
func lasting(s float64) time.Duration {
	if !(s < float64(math.MaxInt64)/1e9) {
		return math.MaxInt64
	}
	return time.Duration(s * 1e9)
}

// ranged orders the ends around the middle.
func ranged[Q ~float64](x [3]float64) Range[Q] {
	return Range[Q]{Q(min(x[0], x[1], x[2])), Q(x[1]), Q(max(x[0], x[1], x[2]))}
}

// A spell is what happens in one span of a simulation.
type spell struct {
	span       float64 // s
	starts     int
	seeped     float64            // by the seep, m³
	charge     float64            // of the pumps, A·s
	hasCurrent bool               // every pump's curve tells its current
	in, out    float64            // from hookups, and to places outside, m³
	tanks      map[string]float64 // what they gain, m³
	holds      map[string]unit.Volume
	density    unit.Density
}

// spell simulates from one stop of a pump to its next, or where there is none for
// a month or until a tank is full or empty.
func (j Job) spell(ctx context.Context, q unit.Flow) (spell, error) {
	opts := j.Sim
	opts.Until, opts.Samples = longest, []time.Duration{0}
	run, err := j.Model.Begin(j.Lineup, j.seeping(q), opts)
	if err != nil {
		return spell{}, err
	}
	defer run.Close()
	rec := run.Record()
	rig := j.Model.Rig()

	var first sim.Ledger // at the span's beginning
	from, until, starts := 0.0, 0.0, 0
	pump := ""                    // whose stops end the span
	forward := 0.0                // what a pump that seeps itself delivered in the span
	since := map[string]float64{} // what it had delivered when it started
	running := map[string]bool{}
	for seen, done := 0, false; !done && until == 0; {
		if done, err = run.Advance(1); err != nil {
			return spell{}, err
		}
		for ; seen < len(rec.Events) && until == 0; seen++ {
			e := rec.Events[seen]
			if (e.What == sim.TankFull || e.What == sim.TankEmpty) && e.At > 0 {
				done = true // what follows is another story
				break
			}
			if e.What != sim.PumpStarts && e.What != sim.PumpStops {
				continue
			}
			now := run.Record().Ledger
			if e.What == sim.PumpStarts {
				starts++
				since[e.Part], running[e.Part] = now.Parts[e.Part], true
				continue
			}
			running[e.Part] = false
			forward += now.Parts[e.Part] - since[e.Part]
			switch pump {
			case "":
				pump, first, from, starts, forward = e.Part, now, e.At, 0, 0
			case e.Part:
				until = e.At
			}
		}
		if err := ctx.Err(); err != nil {
			return spell{}, err
		}
	}
	last := run.Record().Ledger
	if until == 0 { // no second stop: all of it
		first, from, until = sim.Ledger{}, 0, rec.Until
		for p, on := range running {
			if on {
				forward += last.Parts[p] - since[p]
			}
		}
		starts = len(rec.Starts(""))
	}
	s := spell{span: until - from, starts: starts, in: last.In - first.In, out: last.Out - first.Out,
		tanks: map[string]float64{}, holds: map[string]unit.Volume{}, density: waterOf(j.Sim)}
	s.seeped = s.in
	for _, p := range rig.Parts() { // in order, so that the sum is the same to the last bit
		name := p.ID()
		switch p.Kind() {
		case "pump", "hand pump":
			if name == j.Seep.Part {
				s.seeped += forward
			} else {
				s.seeped += last.Parts[name] - first.Parts[name]
			}
		case "tank", "waste tank":
			s.tanks[name] = last.Stored[name] - first.Stored[name]
		}
	}
	for _, name := range slices.Sorted(maps.Keys(last.Stored)) {
		if _, tank := s.tanks[name]; !tank {
			s.seeped -= last.Stored[name] - first.Stored[name]
		}
	}
	if len(rec.Samples) > 0 {
		for name := range s.tanks {
			s.holds[name], _ = rec.Samples[0].Water(name)
		}
	}
	s.charge, s.hasCurrent, err = j.charge(rec, from, until)
	return s, err
}
