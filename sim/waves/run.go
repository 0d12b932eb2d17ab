package waves

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
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
}

// An event is kept by device until it is told.
type event struct {
	at     float64
	device int32
	what   sim.What
}

// A turn is a move, made ready.
type turn struct {
	at, over float64
	form     *sim.Form
}

// A bound is the most and the least of a head, and the step at which it was first.
type bound struct {
	hi, lo     float64
	hiAt, loAt int32
}

func (b *bound) take(x float64, n int) {
	if x > b.hi {
		b.hi, b.hiAt = x, int32(n)
	}
	if x < b.lo {
		b.lo, b.loAt = x, int32(n)
	}
}

// A watched joint's pressure is kept at every step.
type watched struct {
	joint string
	node  int32
	p     []float64
}

// mostEvents is how many events are kept: those of a pump that chatters all the while.
const mostEvents = 4096

// Simulate watches to the end.
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

// turns makes the moves ready, in order of time.
func (r *Run) turns(lineup network.Lineup, faults network.Faults) error {
	moves := slices.Clone(r.opts.Moves)
	slices.SortStableFunc(moves, func(a, b Move) int { return cmp.Compare(a.At, b.At) })
	now := network.Lineup{}
	for part, set := range lineup {
		now[part] = set
	}
	for _, m := range moves {
		for part, set := range m.Lineup {
			now[part] = set
		}
		form, err := r.model.Form(now, faults, r.opts.Rig)
		if err != nil {
			return fmt.Errorf("waves: the move at %v: %w", m.At, err)
		}
		r.moves = append(r.moves, turn{m.At.Seconds(), m.Over.Seconds(), form})
	}
	return nil
}

// layOut lays the run out from a state of the rig.
func (r *Run) layOut(s sim.State, reaches []int) {
	r.form = s.Form
	sys := s.System
	r.field.dt = r.grid.Step
	atm := hydraulics.AirPressure(r.opts.Rig.Altitude)
	r.field.vapour = float64(hydraulics.WaterAt(r.opts.Walls).VapourPressure.Gauge(atm))

	r.nodes = make([]node, len(sys.Nodes))
	r.at = make([]int32, len(sys.Nodes))
	for i := range r.nodes {
		r.at[i] = int32(i)
		r.nodes[i] = node{x: s.Heads[i], gz: sys.Nodes[i].GZ, hub: -1}
	}
	for i := range sys.Stores {
		if st := &sys.Stores[i]; st.Tank && st.Node >= 0 {
			r.nodes[st.Node].held = true
		}
	}
	tube := map[int32]int{}
	for i, p := range r.pulses {
		if k, ok := s.Path(p.tube.Name); ok {
			tube[k] = i
		}
	}
	r.mechs = make([]device, len(sys.Devices))
	r.ways = make([][]int32, len(sys.Devices))
	for i := range r.mechs {
		r.mechs[i] = device{is: &sys.Devices[i], state: s.Mode[i], flap: -1}
		r.mechs[i].due = sys.Devices[i].States[s.Mode[i]].Timer
	}
	// A tank's port under water is one with the tank.
	for i := range sys.Paths {
		p := &sys.Paths[i]
		if l := law(p.Laws, p.Device, s.Mode); l != nil && l.Form == kernel.Joined {
			r.at[p.A] = p.B
		}
	}
	r.paths = make([]path, len(sys.Paths))
	r.laws = make([][]*kernel.Law, len(sys.Paths))
	r.then = make([][]*kernel.Law, len(sys.Paths))
	r.fixed = make([]bool, len(sys.Paths))
	none := []*kernel.Law{nil}
	for i := range sys.Paths {
		p := &sys.Paths[i]
		w := path{a: r.at[p.A], b: -1, xb: p.XB, device: p.Device, q: s.Flows[i], by: 1}
		if p.B >= 0 {
			w.b = r.at[p.B]
		}
		r.laws[i] = p.Laws
		_, isTube := tube[int32(i)]
		if isTube || p.Laws[0] != nil && p.Laws[0].Form == kernel.Joined {
			w.device, r.laws[i], r.fixed[i] = -1, none, true
		} else if p.Device >= 0 {
			r.ways[p.Device] = append(r.ways[p.Device], int32(i))
		}
		r.paths[i] = w
	}
	r.joinHubs()
	r.fill(s, reaches)
	for k := range sys.Stores {
		st := &sys.Stores[k]
		if st.Tank || st.Node < 0 || s.Stretch(int32(k)) {
			continue
		}
		v := vesselOf(st, s.Heads[st.Node], r.opts.Exponent)
		v.node = r.at[st.Node]
		if h := r.nodes[v.node].hub; h >= 0 {
			r.hubs[h].vessels = append(r.hubs[h].vessels, int32(len(r.vessels)))
			r.vessels = append(r.vessels, v)
		}
	}
	r.parts(s)
	for i := range r.hubs {
		h := &r.hubs[i]
		n := len(h.nodes)
		h.a, h.f = make([]float64, n*n), make([]float64, n)
		h.plain = n == 1 && len(h.paths) == 0 && len(h.vessels) == 0 && r.nodes[h.nodes[0]].g > 0
	}
	r.events = make([]event, 0, mostEvents)
	for i := range r.paths {
		r.renew(int32(i))
	}
	r.again = false
	clear(r.stale)
}

// law is the law of a path in a mode.
func law(laws []*kernel.Law, device int32, mode []uint8) *kernel.Law {
	if device < 0 {
		return laws[0]
	}
	return inState(laws, mode[device])
}

// inState is a path's law in a state of its device; nil past the last.
func inState(laws []*kernel.Law, state uint8) *kernel.Law {
	if int(state) >= len(laws) {
		return nil
	}
	return laws[state]
}

// joinHubs finds the sets of nodes that paths connect.
func (r *Run) joinHubs() {
	group := make([]int32, len(r.nodes))
	for i := range group {
		group[i] = int32(i)
	}
	find := func(i int32) int32 {
		for group[i] != i {
			group[i] = group[group[i]]
			i = group[i]
		}
		return i
	}
	free := func(i int32) bool { return i >= 0 && !r.nodes[i].held }
	for i := range r.paths {
		if !r.fixed[i] && free(r.paths[i].a) && free(r.paths[i].b) {
			group[find(r.paths[i].a)] = find(r.paths[i].b)
		}
	}
	number := map[int32]int32{}
	for i := range r.nodes {
		n := &r.nodes[i]
		if n.held || r.at[i] != int32(i) {
			continue
		}
		root := find(int32(i))
		h, ok := number[root]
		if !ok {
			h = int32(len(r.hubs))
			number[root] = h
			r.hubs = append(r.hubs, hub{})
		}
		n.hub, n.row = h, int32(len(r.hubs[h].nodes))
		r.hubs[h].nodes = append(r.hubs[h].nodes, int32(i))
	}
	for i := range r.paths {
		p := &r.paths[i]
		if r.fixed[i] {
			continue
		}
		switch {
		case free(p.a):
			h := &r.hubs[r.nodes[p.a].hub]
			h.paths = append(h.paths, int32(i))
		case free(p.b):
			h := &r.hubs[r.nodes[p.b].hub]
			h.paths = append(h.paths, int32(i))
		}
	}
	r.stale = make([]bool, len(r.hubs))
}

// fill fills the tubes as the state says.
func (r *Run) fill(s sim.State, reaches []int) {
	rho := float64(r.opts.Rig.Water.Density)
	nu := float64(r.opts.Rig.Water.Viscosity) / rho
	for i, u := range r.pulses {
		k, _ := s.Path(u.tube.Name) // every tube has one
		p := &s.System.Paths[k]
		bore := float64(u.tube.Bore)
		area := math.Pi / 4 * bore * bore
		n := reaches[i]
		w := reach{
			first: int32(len(r.field.spots)), from: r.at[p.A], to: r.at[p.B],
			b: rho * u.speed / area, share: 1 / float64(n), law: p.Laws[0], area: area, long: float64(u.tube.Length),
			gz: s.System.Nodes[p.A].GZ, rise: (s.System.Nodes[p.B].GZ - s.System.Nodes[p.A].GZ) / float64(n),
		}
		w.last = w.first + int32(n)
		q := s.Flows[k]
		if !r.opts.QuasiSteady {
			w.lag = w.b * brunone(math.Abs(q)/area*bore/nu) / 2
		}
		xa, xb := s.Heads[p.A], s.Heads[p.B]
		for j := 0; j <= n; j++ {
			r.field.spots = append(r.field.spots, spot{x: xa + (xb-xa)*float64(j)/float64(n), in: q, out: q, was: q})
		}
		r.nodes[w.from].g += 1 / w.b
		r.nodes[w.to].g += 1 / w.b
		r.field.reaches = append(r.field.reaches, w)
	}
	n := len(r.field.spots)
	r.field.fore, r.field.aft = make([]float64, n), make([]float64, n)
	r.bounds = make([]bound, n)
	for i := range r.bounds {
		x := r.field.spots[i].x
		r.bounds[i] = bound{hi: x, lo: x}
	}
	r.joints = make([]bound, len(r.nodes))
	for i := range r.joints {
		r.joints[i] = bound{hi: r.nodes[i].x, lo: r.nodes[i].x}
	}
	r.vapour = make([]vapour, len(r.field.reaches)+len(r.nodes))
}

// parts gives pumps their motors and checks their flaps.
func (r *Run) parts(s sim.State) {
	for _, p := range r.model.Rig().Parts() {
		i, ok := s.Path(p.ID())
		if !ok {
			continue
		}
		w := &r.paths[i]
		switch p := p.(type) {
		case network.Pump:
			m := &motor{full: s.Full(i), rate: 1 / r.opts.Spin.Seconds()}
			for k := range r.moves { // a pump without power has no curve
				if f := r.moves[k].form.Full(i); !lifts(m.full) && lifts(f) {
					m.full = f
				}
			}
			if s.Runs(s.Mode[w.device]) {
				m.speed = 1
			}
			if lifts(m.full) {
				w.motor = m
				r.pumps = append(r.pumps, i)
			}
		case network.Check:
			if r.opts.IdealChecks || w.device < 0 || len(r.laws[i]) < 2 {
				continue
			}
			bore := p.Bore
			if bore == 0 {
				bore = 12 * unit.Millimetre
			}
			f := flapOf(float64(bore))
			if w.q > bandFlow {
				f.lift = 1
			} else if r.mechs[w.device].state == 1 {
				r.mechs[w.device].state = 0 // at rest it lies on its seat
			}
			w.flap = &f
			r.mechs[w.device].flap = i
			r.checks = append(r.checks, i)
		}
	}
}

// lifts reports whether a law is that of a pump that turns.
func lifts(l *kernel.Law) bool { return l != nil && (l.Off < 0 || l.Curve != nil) }

// Time is how far it has come, s.
func (r *Run) Time() float64 { return r.t }

// Advance takes up to so many steps and reports whether the end is reached. A step
// allocates nothing.
func (r *Run) Advance(steps int) (done bool) {
	for ; steps > 0 && r.n < r.steps; steps-- {
		r.stride()
	}
	return r.n >= r.steps
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

// hands begin moves that are due, and bring openings on.
func (r *Run) hands() {
	for len(r.moves) > 0 && r.moves[0].at < r.t-1e-12 {
		r.turn(&r.moves[0])
		r.moves = r.moves[1:]
	}
	for k := 0; k < len(r.openers); k++ {
		i := r.openers[k]
		p := &r.paths[i]
		if r.t >= p.opening.ends-1e-12 {
			r.laws[i] = r.then[i]
			p.opening = nil
			r.openers = slices.Delete(r.openers, k, k+1)
			k--
			if d := p.device; d >= 0 && r.mechs[d].then != nil && !r.narrowing(d) {
				r.mechs[d].is, r.mechs[d].then = r.mechs[d].then, nil
			}
		}
		r.renew(i)
	}
}

// narrowing reports whether some path of a device still narrows.
func (r *Run) narrowing(d int32) bool {
	for _, i := range r.ways[d] {
		if o := r.paths[i].opening; o != nil && o.narrows {
			return true
		}
	}
	return false
}

// turn begins a move.
func (r *Run) turn(m *turn) {
	sys := m.form.System
	for i := range sys.Paths {
		p := &r.paths[i]
		if r.fixed[i] {
			continue
		}
		next := sys.Paths[i].Laws
		was, wide := widest(r.laws[i])
		if p.opening != nil {
			was *= p.opening.at(r.t)
		}
		will, wideThen := widest(next)
		r.then[i] = next
		if p.opening != nil {
			p.opening = nil
			r.openers = slices.DeleteFunc(r.openers, func(k int32) bool { return k == int32(i) })
		}
		if was == will || m.over <= 0 {
			r.laws[i] = next
			r.renew(int32(i))
			continue
		}
		o := &opening{begins: m.at, ends: m.at + m.over, wide: wideThen}
		most, _ := widest(next)
		if was > will {
			o.wide, o.narrows = wide, true
			most, _ = widest(r.laws[i])
		} else {
			r.laws[i] = next
		}
		o.from, o.to = was/most, will/most
		p.opening = o
		r.openers = append(r.openers, int32(i))
		r.renew(int32(i))
	}
	for d := range r.mechs {
		if r.narrowing(int32(d)) {
			r.mechs[d].then = &sys.Devices[d]
		} else {
			r.mechs[d].is, r.mechs[d].then = &sys.Devices[d], nil
		}
	}
}

// widest is the law of a path that lets most water through, by its opening.
func widest(laws []*kernel.Law) (open float64, wide *kernel.Law) {
	for _, l := range laws {
		if o := opens(l); o > open {
			open, wide = o, l
		}
	}
	return open, wide
}

// keep notes the highest and lowest of each place, and what is watched.
func (r *Run) keep() {
	f := &r.field
	for i := range f.spots {
		r.bounds[i].take(f.spots[i].x, r.n)
	}
	for i := range r.nodes {
		r.joints[i].take(r.nodes[i].x, r.n)
	}
	r.keepVapour()
	for i := range r.watched {
		w := &r.watched[i]
		w.p = append(w.p, r.nodes[w.node].x-r.nodes[w.node].gz)
	}
}
