package waves

import (
	"math"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/internal/kernel"
)

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
