package waves

import (
	"context"
	"errors"
	"fmt"
	"math"

	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/internal/kernel"
)

// A Run is waves under way: for one goroutine, and for callers who bring it on in
// slices of their own, as a page in a browser must.
type Run struct {
	opts   Options
	model  *sim.Model
	form   *sim.Form
	names  []string // of the joints
	steps  int
	n      int     // steps taken
	t      float64 // s
	grid   Grid
	pulses []pulse
	field  field
	nodes  []node
	at     []int32 // node that each of the kernel's stands for
	paths  []path
	laws   [][]*kernel.Law // by path, by state
	then   [][]*kernel.Law // by path: once its opening has come to its end
	mechs  []device
	ways   [][]int32 // by device: its paths
	hubs   []hub
	stale  []bool // by hub: has to be solved again
	again  bool
	pumps  []int32 // paths with a motor
	checks []int32 // paths with a flap
	fixed  []bool  // by path: a tube, or a tank's port; no move changes it

	vessels []vessel
	moves   []turn
	openers []int32 // paths whose opening changes
	events  []event
	bounds  []bound // by spot
	joints  []bound // by node
	vapour  []vapour
	watched []watched
	effort  int // rounds of Newton's iteration
	missed  int // solutions that were not met
	lost    bool
}

// An event is kept by device until it is told.
type event struct {
	at     float64
	device int32
	what   sim.What
}

// A bound is the most and the least of a head, and the step at which it was first.
type bound struct {
	hi, lo     float64
	hiAt, loAt int32
}

// take reports whether x is out of all bounds.
func (b *bound) take(x float64, n int) (wild bool) {
	if x > b.hi {
		b.hi, b.hiAt = x, int32(n)
		wild = x > wildHead
	}
	if x < b.lo {
		b.lo, b.loAt = x, int32(n)
		wild = wild || x < -wildHead
	}
	return wild
}

// wildHead is a head that no water has, Pa, and wildVoid more vapour than a tube holds, m³:
// where it comes to that the computation has left its bounds, and ends.
const (
	wildHead = 1e11
	wildVoid = 1e3
)

// A watched joint's pressure is kept at every step.
type watched struct {
	joint string
	node  int32
	p     []float64
}

// mostKept is how many steps a run takes at the most, and how many pressures it keeps.
const mostKept = 100_000_000

// mostEvents is how many events are kept: those of a pump that chatters all the while.
const mostEvents = 4096

// errLost marks a run whose pressures or flows have left all bounds, as they do where a tube so short
// or so soft that a wave takes far less or far more than a step to pass it loses much by
// friction.
var errLost = errors.New("pressures or flows have left all bounds")

// Simulate watches to the end. Besides what Begin refuses, it ends where ctx is done or where
// pressures have left all bounds, with what there is until then.
func Simulate(ctx context.Context, m *sim.Model, lineup network.Lineup, faults network.Faults, o Options) (*Result, error) {
	r, err := Begin(m, lineup, faults, o)
	if err != nil {
		return nil, err
	}
	for !r.Advance(256) {
		if err := ctx.Err(); err != nil {
			return r.Result(), fmt.Errorf("waves: ended at %.3g s: %w", r.t, err)
		}
	}
	if r.lost {
		return r.Result(), fmt.Errorf("waves: at %.3g s %w; look for a tube of an odd length, bore or compliance (%q is rounded most), or ask for a shorter step", r.t, errLost, r.grid.Tube)
	}
	return r.Result(), nil
}

// Begin makes a run ready, at rest or in steady flow.
func Begin(m *sim.Model, lineup network.Lineup, faults network.Faults, o Options) (*Run, error) {
	o, err := o.filled()
	if err != nil {
		return nil, err
	}
	if o.From == nil {
		still, err := m.Steady(lineup, faults, o.Rig)
		if err != nil {
			return nil, fmt.Errorf("waves: no steady flow to start from: %w", err)
		}
		o.From = &still.Sample
	} else if _, err := m.Form(lineup, faults, o.Rig); err != nil {
		return nil, fmt.Errorf("waves: %w", err)
	}
	r := &Run{opts: o, model: m}
	for _, j := range m.Rig().Joints() {
		r.names = append(r.names, j.Name)
	}
	r.pulses = pulses(m.Rig(), o.Walls, o.Rig.Water)
	var reaches []int
	if r.grid, reaches, err = grid(r.pulses, o.Step.Seconds()); err != nil {
		return nil, err
	}
	r.steps = int(math.Ceil(o.Until.Seconds()/r.grid.Step - 1e-9))
	if kept := r.steps * max(1, len(o.Watch)); kept > mostKept {
		return nil, fmt.Errorf("waves: %v in steps of %.3g s are %d pressures to keep, more than %d; watch for less long, fewer joints, or in longer steps", o.Until, r.grid.Step, kept, mostKept)
	}
	r.grid.Steps = r.steps
	if err := r.turns(lineup, faults); err != nil {
		return nil, err
	}
	r.layOut(o.From.State(), reaches)
	for _, joint := range o.Watch {
		i, known := r.form.Joints[joint]
		if !known {
			return nil, fmt.Errorf("waves: to watch %q: the rig has no such joint", joint)
		}
		r.watched = append(r.watched, watched{joint, r.at[i], make([]float64, 0, r.steps+1)})
	}
	r.keep()
	return r, nil
}

// Time is how far it has come, s.
func (r *Run) Time() float64 { return r.t }

// Advance takes up to so many steps and reports whether the end is reached, or pressures
// have left all bounds, of which a Result's warnings tell. A step allocates nothing.
func (r *Run) Advance(steps int) (done bool) {
	for ; steps > 0 && r.n < r.steps && !r.lost; steps-- {
		r.stride()
	}
	return r.n >= r.steps || r.lost
}

// stride takes one step.
func (r *Run) stride() {
	r.n++
	r.t = float64(r.n) * r.field.dt
	r.hands()
	r.flaps()
	f := &r.field
	f.torn = false
	for i := range f.reaches {
		f.send(&f.reaches[i])
	}
	for i := range r.nodes {
		r.nodes[i].c = 0
	}
	for i := range f.reaches {
		w := &f.reaches[i]
		r.nodes[w.from].c += f.aft[w.first+1] / w.b
		r.nodes[w.to].c += f.fore[w.last-1] / w.b
		f.inside(w)
	}
	for i := range r.hubs {
		r.solve(&r.hubs[i])
	}
	clear(r.stale)
	r.again = false
	r.devices()
	r.settle()
	r.keep()
}

// settle brings what hangs on the nodes to the end of the step.
func (r *Run) settle() {
	f := &r.field
	for i := range r.hubs {
		h := &r.hubs[i]
		if h.missed {
			r.missed++
		}
		for k, j := range h.nodes {
			if n := &r.nodes[j]; n.boils || n.cavity > 0 {
				n.cavity = math.Max(0, r.left(h, k))
			}
		}
		for _, k := range h.vessels {
			v := &r.vessels[k]
			v.held, _ = v.water(r.nodes[v.node].x)
		}
	}
	for i := range f.reaches {
		w := &f.reaches[i]
		a, b := &f.spots[w.first], &f.spots[w.last]
		c, d := f.aft[w.first+1], f.fore[w.last-1]
		a.was, b.was = a.out, b.out
		a.x, b.x = r.nodes[w.from].x, r.nodes[w.to].x
		a.out, b.in = (a.x-c)/w.b, (d-b.x)/w.b
		a.in, b.out = a.out, b.in
	}
}

// keep notes the highest and lowest of each place, and what is watched.
func (r *Run) keep() {
	f := &r.field
	for i := range f.spots {
		if r.bounds[i].take(f.spots[i].x, r.n) {
			r.lost = true
		}
	}
	for i := range r.nodes {
		x := r.nodes[i].x
		if r.joints[i].take(x, r.n) || x != x {
			r.lost = true
		}
	}
	r.keepVapour()
	for i := range r.watched {
		w := &r.watched[i]
		w.p = append(w.p, r.nodes[w.node].x-r.nodes[w.node].gz)
	}
}
