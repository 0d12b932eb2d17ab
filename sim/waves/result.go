package waves

import (
	"fmt"
	"math"

	"quietpump/hydraulics/unit"
	"quietpump/sim"
)

// A Result is what was seen.
type Result struct {
	Until    float64 // s
	Highest  Peak    // of all
	Lowest   Peak
	Joints   []Joint // in order of name
	Tubes    []Tube  // in order of name
	Traces   []Trace // of what was watched, in the order it was asked for
	Events   []sim.Event
	Cavities []Cavity
	Warnings []sim.Warning
	Grid     Grid
}

// A Peak is a pressure, where it was and when. It is in a tube or at a joint.
type Peak struct {
	Pressure    unit.Pressure
	Tube, Joint string
	X           unit.Length // from the tube's first end
	At          float64     // s
}

// A Joint is what the pressure did at a joint.
type Joint struct {
	Name                   string
	Start, Highest, Lowest unit.Pressure
	HighestAt, LowestAt    float64 // s
}

// A Tube is what the pressure did along a tube.
type Tube struct {
	Name     string
	Speed    unit.Speed    // of a wave in it …
	Speeds   [2]unit.Speed // … and the least and most of it with walls as soft and as stiff as are met
	X        []unit.Length // from its first end, one for each of the below
	Start    []unit.Pressure
	Highest  []unit.Pressure
	Lowest   []unit.Pressure
	Rounding float64   // by which its travel time is off, as a share
	Flow     unit.Flow // at the start, from its first end
}

// A Trace is a joint's pressure at every step.
type Trace struct {
	Joint    string
	At       []float64 // s
	Pressure []unit.Pressure
}

// A Place is the water at one place of a tube.
type Place struct {
	X        unit.Length // from the tube's first end
	Pressure unit.Pressure
	Speed    unit.Speed // of the water, towards its other end
	Vapour   unit.Volume
}

// Look appends to dst the water along a tube as it stands now, from its first end to
// its other; nothing for what is no tube of the rig.
func (r *Run) Look(tube string, dst []Place) []Place {
	for k := range r.field.reaches {
		if r.pulses[k].tube.Name != tube {
			continue
		}
		w := &r.field.reaches[k]
		n := float64(w.last - w.first)
		for i := w.first; i <= w.last; i++ {
			s, j := &r.field.spots[i], float64(i-w.first)
			dst = append(dst, Place{
				X:        unit.Length(float64(r.pulses[k].tube.Length) * j / n),
				Pressure: unit.Pressure(s.x - w.gz - w.rise*j),
				Speed:    unit.Speed((s.in + s.out) / (2 * w.area)),
				Vapour:   unit.Volume(s.cavity),
			})
		}
	}
	return dst
}

// Pressure is that at a joint now.
func (r *Run) Pressure(joint string) (p unit.Pressure, ok bool) {
	i, ok := r.form.Joints[joint]
	if !ok {
		return 0, false
	}
	return unit.Pressure(r.nodes[r.at[i]].x - r.nodes[i].gz), true
}

// Flow is that through a part now: its first path's, of a tube that at its first end.
func (r *Run) Flow(part string) (q unit.Flow, ok bool) {
	i, ok := r.form.Path(part)
	if !ok {
		return 0, false
	}
	for k := range r.field.reaches {
		if r.pulses[k].tube.Name == part {
			return unit.Flow(r.field.spots[r.field.reaches[k].first].out), true
		}
	}
	return unit.Flow(r.paths[i].q), true
}

// Peaks are the highest and the lowest pressure so far.
func (r *Run) Peaks() (highest, lowest Peak) {
	dt := r.field.dt
	highest.Pressure, lowest.Pressure = unit.Pressure(math.Inf(-1)), unit.Pressure(math.Inf(1))
	take := func(b *bound, gz float64, where Peak) {
		if p := unit.Pressure(b.hi - gz); p > highest.Pressure {
			highest = Peak{p, where.Tube, where.Joint, where.X, float64(b.hiAt) * dt}
		}
		if p := unit.Pressure(b.lo - gz); p < lowest.Pressure {
			lowest = Peak{p, where.Tube, where.Joint, where.X, float64(b.loAt) * dt}
		}
	}
	for _, name := range r.names {
		k := r.form.Joints[name]
		take(&r.joints[r.at[k]], r.nodes[k].gz, Peak{Joint: name})
	}
	for k := range r.field.reaches {
		w, t := &r.field.reaches[k], r.pulses[k].tube
		for i := w.first + 1; i < w.last; i++ {
			j := float64(i - w.first)
			take(&r.bounds[i], w.gz+w.rise*j, Peak{Tube: t.Name, X: t.Length * unit.Length(j) / unit.Length(w.last-w.first)})
		}
	}
	return highest, lowest
}

// Torn reports whether the water has torn apart somewhere so far.
func (r *Run) Torn() bool {
	for i := range r.vapour {
		if r.vapour[i].from > 0 {
			return true
		}
	}
	return false
}

// Result is what has been seen so far.
func (r *Run) Result() *Result {
	res := &Result{Until: r.t, Grid: r.grid, Cavities: r.cavities()}
	res.Grid.Steps = r.n
	dt := r.field.dt
	res.Highest, res.Lowest = r.Peaks()
	for _, name := range r.names {
		k := r.form.Joints[name]
		b, gz := &r.joints[r.at[k]], r.nodes[k].gz
		x := Joint{Name: name, Start: unit.Pressure(r.opts.From.State().Heads[k] - gz), Highest: unit.Pressure(b.hi - gz), Lowest: unit.Pressure(b.lo - gz),
			HighestAt: float64(b.hiAt) * dt, LowestAt: float64(b.loAt) * dt}
		res.Joints = append(res.Joints, x)
	}
	for k := range r.field.reaches {
		w, u := &r.field.reaches[k], &r.pulses[k]
		n := int(w.last - w.first)
		t := Tube{Name: u.tube.Name, Speed: unit.Speed(u.speed), Speeds: [2]unit.Speed{unit.Speed(u.least), unit.Speed(u.most)},
			Rounding: float64(n)*dt/u.travel - 1}
		from := r.opts.From.State()
		if i, ok := r.form.Path(t.Name); ok {
			t.Flow = unit.Flow(from.Flows[i])
			xa, xb := from.Heads[from.System.Paths[i].A], from.Heads[from.System.Paths[i].B]
			for j := 0; j <= n; j++ {
				gz := w.gz + w.rise*float64(j)
				b := &r.bounds[int(w.first)+j]
				x := u.tube.Length * unit.Length(j) / unit.Length(n)
				t.X = append(t.X, x)
				t.Start = append(t.Start, unit.Pressure(xa+(xb-xa)*float64(j)/float64(n)-gz))
				t.Highest = append(t.Highest, unit.Pressure(b.hi-gz))
				t.Lowest = append(t.Lowest, unit.Pressure(b.lo-gz))
			}
		}
		res.Tubes = append(res.Tubes, t)
	}
	for i := range r.watched {
		w := &r.watched[i]
		tr := Trace{Joint: w.joint, At: make([]float64, len(w.p)), Pressure: make([]unit.Pressure, len(w.p))}
		for k, p := range w.p {
			tr.At[k], tr.Pressure[k] = float64(k)*dt, unit.Pressure(p)
		}
		res.Traces = append(res.Traces, tr)
	}
	for _, e := range r.events {
		res.Events = append(res.Events, sim.Event{At: e.at, Part: r.mechs[e.device].is.Name, What: e.what})
	}
	res.Warnings = r.warnings(res)
	return res
}

// warnings are what a person should know of a result.
func (r *Run) warnings(res *Result) []sim.Warning {
	var out []sim.Warning
	warn := func(at float64, part, format string, args ...any) {
		out = append(out, sim.Warning{At: at, Part: part, What: fmt.Sprintf(format, args...)})
	}
	if g := res.Grid; g.coarse {
		warn(0, g.Tube, "its travel time is taken %.0f %% off, to fit the step; ask for a shorter step", 100*g.Rounding)
	}
	for _, c := range res.Cavities {
		part := c.Tube + c.Joint
		warn(c.From, part, "the water tears apart; from then on pressures here are a sketch")
		if c.Share > 0.1 {
			warn(c.From, part, "the vapour takes up %.0f %% of a reach, more than the tenth for which the model is made", 100*c.Share)
		}
	}
	if r.lost {
		warn(r.t, "", "%v; nothing of this is to be believed", errLost)
	}
	if r.missed > 0 {
		warn(r.t, "", "%d of its solutions were not met closely; do not trust the last digits", r.missed)
	}
	if len(r.events) == mostEvents {
		warn(r.t, "", "only the first %d events were kept", mostEvents)
	}
	return out
}
