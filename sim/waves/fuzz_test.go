package waves

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/internal/rigs"
)

// Small rigs of all kinds of part with odd values in them, hands that move some of it,
// and odd options: a run is refused with an error that says something, or goes to its
// end with numbers alone, and no water comes from nowhere on the way.
func FuzzWaves(f *testing.F) {
	for seed := range uint64(48) { // from nothing odd to much of it
		f.Add(seed, uint8(seed), uint8(seed/12*8), uint8(seed/12*8))
	}
	f.Fuzz(func(t *testing.T, seed uint64, joints, ofRig, ofOptions uint8) {
		c, err := rigs.Random(seed, 5+int(joints)%8)
		if err != nil {
			t.Skip(err)
		}
		s := rigs.Spoiler{Rand: rand.New(rand.NewPCG(seed, uint64(ofOptions)+2000)), Share: float64(ofOptions) / 500}
		c, err = c.Spoiled(rigs.Spoiler{Rand: rand.New(rand.NewPCG(seed, uint64(ofRig))), Share: float64(ofRig) / 1000}, s)
		if err != nil {
			says(t, err)
			return
		}
		m, err := sim.Compile(c.Rig)
		if err != nil {
			says(t, err)
			return
		}
		r, err := Begin(m, c.Lineup, c.Faults, oddWaves(c, s))
		if err != nil {
			says(t, err)
			return
		}
		const work = 300_000 // of a spot, a step
		for range max(3, min(2000, work/len(r.field.spots))) {
			before := r.tally()
			if r.n == r.steps {
				break
			}
			missed := r.missed
			r.Advance(1)
			if r.lost { // and says so
				return
			}
			r.conserves(t, before, r.missed > missed)
			if t.Failed() {
				return
			}
		}
		allNumbers(t, r)
	})
}

// oddWaves are options for the case: what moves are a tap or two, a valve, a pump's power.
func oddWaves(c *rigs.Case, s rigs.Spoiler) Options {
	o := Options{
		Rig: c.Options, Until: s.Time(50 * time.Millisecond),
		Walls: unit.Temperature(s.Float(293)), Exponent: s.Float(1.3), Spin: s.Time(30 * time.Millisecond),
		QuasiSteady: s.IntN(2) == 0, IdealChecks: s.IntN(2) == 0,
	}
	switch s.IntN(4) {
	case 0:
		o.Step = s.Time(300 * time.Microsecond)
	case 1:
		o.Watch = []string{c.Rig.Joints()[0].Name}
	}
	var movable []string
	for _, p := range c.Rig.Parts() {
		switch p.(type) {
		case network.Fixture, network.Shutoff, network.Drain:
			movable = append(movable, p.ID())
		}
	}
	for range s.IntN(3) {
		if len(movable) == 0 {
			break
		}
		set := network.Shut()
		if s.IntN(2) == 0 {
			set = network.Open(s.Float(s.Float64()))
		}
		o.Moves = append(o.Moves, Move{At: s.Time(5 * time.Millisecond), Over: s.Time(10 * time.Millisecond),
			Lineup: network.Lineup{movable[s.IntN(len(movable))]: set}})
	}
	return o
}

// A tally is the water in the tubes, vessels and cavities at an instant, and what the
// step from there loses at the feet of its characteristics.
type tally struct {
	stored float64
	spots  []spot
	nodes  []node
}

// tally counts. A tube's water is that of the waves on their way in it, Σ(fore + aft)·Δt/2B
// before friction.
func (r *Run) tally() tally {
	f := &r.field
	sum := 0.0
	for k := range f.reaches {
		w := &f.reaches[k]
		for i := w.first; i <= w.last; i++ {
			p := &f.spots[i]
			if i < w.last {
				sum += (p.x/w.b + p.out) * f.dt / 2
			}
			if i > w.first {
				sum += (p.x/w.b - p.in) * f.dt / 2
				if i < w.last {
					sum -= p.cavity
				}
			}
		}
	}
	for i := range r.nodes {
		sum -= r.nodes[i].cavity
	}
	for i := range r.vessels {
		sum += r.vessels[i].held
	}
	return tally{sum, slices.Clone(f.spots), slices.Clone(r.nodes)}
}

// conserves compares what is stored after a step with what was before, what came in over
// the edge of the rig meanwhile, and the difference of what friction takes at the two ends of a
// tube, by which the scheme is known to be off (send).
func (r *Run) conserves(t *testing.T, before tally, missed bool) {
	t.Helper()
	f := &r.field
	now := r.tally()
	in, size := 0.0, 0.0
	add := func(v float64) { in += v; size = math.Max(size, math.Abs(v)) }
	for k := range f.reaches {
		w := &f.reaches[k]
		if r.nodes[w.from].held {
			add(f.dt * f.spots[w.first].out)
		}
		if r.nodes[w.to].held {
			add(-f.dt * f.spots[w.last].in)
		}
		for i := w.first; i <= w.last; i++ {
			p := &before.spots[i]
			if i < w.last {
				add((f.fore[i] - p.x - w.b*p.out) * f.dt / (2 * w.b))
			}
			if i > w.first {
				add((f.aft[i] - p.x + w.b*p.in) * f.dt / (2 * w.b))
			}
			size = math.Max(size, math.Abs(p.x)*f.dt/w.b)
			size = math.Max(size, (math.Abs(p.in)+math.Abs(p.out))*f.dt)
		}
	}
	for i := range r.vessels {
		size = math.Max(size, math.Max(r.vessels[i].most, math.Abs(r.vessels[i].held)))
	}
	bears := 0.0 // what solutions may leave
	for i := range r.paths {
		p := &r.paths[i]
		if p.law == nil || r.fixed[i] {
			continue
		}
		outside := func(n int32) bool { return n < 0 || r.nodes[n].held }
		if a, b := outside(p.a), outside(p.b); a && !b {
			add(f.dt * p.q)
		} else if b && !a {
			add(-f.dt * p.q)
		}
		size = math.Max(size, f.dt*math.Abs(p.q))
		_, slope := p.drop(p.q)
		bears += f.dt * slip / slope
	}
	for i := range r.nodes {
		n := &r.nodes[i]
		bears += f.dt * (drip + slip*n.g)
		if n.boils || n.cavity > 0 {
			bears += f.dt * trickle
		}
	}
	for i := range r.vessels {
		_, slope := r.vessels[i].water(r.nodes[r.vessels[i].node].x)
		bears += slip * slope
	}
	for i := range r.hubs { // where only tubes meet it is exact
		h := &r.hubs[i]
		if !h.plain {
			continue
		}
		at := h.nodes[0]
		n := &r.nodes[at]
		sum, most := (n.cavity-before.nodes[at].cavity)/f.dt, n.cavity/f.dt+n.g*(math.Abs(n.x)+1e4)
		for k := range f.reaches {
			w := &f.reaches[k]
			if w.from == at {
				sum -= f.spots[w.first].out
			}
			if w.to == at {
				sum += f.spots[w.last].in
			}
		}
		if !(math.Abs(sum) <= 1e-12*most) {
			t.Errorf("step %d: %g m³/s come from nowhere where tubes meet, of %g", r.n, sum, most)
		}
	}
	if off := now.stored - before.stored - in; !missed && !(math.Abs(off) <= 10*bears+1e-12*size*float64(len(f.spots)+len(r.paths))) {
		t.Errorf("step %d of %g s: %g m³ came from nowhere, %g borne, largest %g", r.n, f.dt, off, bears, size)
	}
}

// allNumbers fails the test where a result holds what is none.
func allNumbers(t *testing.T, r *Run) {
	t.Helper()
	known := func(what string, x float64) {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			t.Fatalf("%s is %g", what, x)
		}
	}
	res := r.Result()
	known("the highest pressure", float64(res.Highest.Pressure))
	known("the lowest pressure", float64(res.Lowest.Pressure))
	for _, j := range res.Joints {
		known(j.Name, float64(j.Highest-j.Lowest))
	}
	for _, c := range res.Cavities {
		known("a cavity", float64(c.Volume)+c.Share)
	}
	for _, u := range res.Tubes {
		known(u.Name, float64(u.Speed+u.Speeds[0]+u.Speeds[1])+u.Rounding)
		for _, p := range r.Look(u.Name, nil) {
			known("the pressure in "+u.Name, float64(p.Pressure))
			known("the speed in "+u.Name, float64(p.Speed))
		}
	}
	for _, tr := range res.Traces {
		for _, p := range tr.Pressure {
			known("a trace of "+tr.Joint, float64(p))
		}
	}
	for _, e := range res.Events {
		known("an event of "+e.Part, e.At)
	}
}

// says fails the test on an error that tells nothing.
func says(t *testing.T, err error) {
	t.Helper()
	if err := rigs.Says(err); err != nil {
		t.Fatal(err)
	}
}
