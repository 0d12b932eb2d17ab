package waves

import (
	"math"

	"quietpump/sim/internal/kernel"
)

// A device is the kernel's, in one of its states. While an opening narrows it stays
// that of the lineup before.
type device struct {
	is    *kernel.Device
	then  *kernel.Device // once its part has been set
	state uint8
	due   float64 // when its timer ends, s
	flap  int32   // path with a flap that it belongs to, -1: none
	moved int     // times in this step
}

// A device that has moved so often in a step is left until the next.
const mostMoves = 4

// How far beyond its threshold a watch's value has to be: rounding does not reach it.
const (
	bandHead = 1e-3  // Pa
	bandFlow = 1e-12 // m³/s
)

// devices moves every device that is due, solves again what hangs on them, and goes
// on until none is.
func (r *Run) devices() {
	for i := range r.mechs {
		d := &r.mechs[i]
		d.moved = 0
		if st := &d.is.States[d.state]; st.Timer > 0 && r.t >= d.due {
			r.move(int32(i), st.Then, st.ThenIs)
		}
	}
	r.motors()
	for {
		if !r.again {
			for i := range r.mechs {
				r.watch(int32(i))
			}
			r.valves()
		}
		if !r.again {
			return
		}
		r.again = false
		for i := range r.hubs {
			if r.stale[i] {
				r.stale[i] = false
				r.solve(&r.hubs[i])
			}
		}
	}
}

// watch moves a device that is due.
func (r *Run) watch(i int32) {
	d := &r.mechs[i]
	if d.moved >= mostMoves {
		return
	}
	st := &d.is.States[d.state]
	for k := range st.Watches {
		w := &st.Watches[k]
		if d.flap >= 0 && w.Value == kernel.Flow && r.paths[d.flap].flap.lift > ajar {
			continue // its flap says when
		}
		v, band := r.value(w)
		if w.Sign*v > band {
			r.move(i, w.To, w.Is)
			return
		}
	}
}

// value is what a watch sees, and how far beyond zero it has to be.
func (r *Run) value(w *kernel.Watch) (v, band float64) {
	head := func(i int32) float64 { return r.nodes[r.at[i]].x }
	switch w.Value {
	case kernel.Head:
		return head(w.I) - w.Ref, bandHead
	case kernel.Drop:
		return head(w.I) - head(w.J) - w.Ref, bandHead
	case kernel.Flow:
		return r.paths[w.P].q - w.Ref, bandFlow
	case kernel.Slack:
		d, _ := w.Law.Drop(r.paths[w.P].q)
		return d - (head(w.I) - head(w.J)), bandHead
	case kernel.Lifted:
		return head(w.J) + w.Lam*r.paths[w.P].q - w.Ref, bandHead
	case kernel.Wants:
		return math.Min(w.Ref, head(w.I)) - head(w.J), bandHead
	case kernel.Always:
		return 1, 0
	}
	return 0, 0 // levels stand still, and vessels follow their law in all states
}

// move puts a device into a state.
func (r *Run) move(i int32, to uint8, is kernel.Emit) {
	d := &r.mechs[i]
	from := &d.is.States[d.state]
	into := &d.is.States[to]
	if into.Timer > 0 && !(into.Carry && from.Timer == into.Timer) {
		d.due = r.t + into.Timer
	}
	d.state = to
	d.moved++
	if d.flap >= 0 {
		f := r.paths[d.flap].flap
		f.lift, f.pace = ajar, 0
	}
	if what := r.form.Told(is); what != "" && len(r.events) < cap(r.events) {
		r.events = append(r.events, event{r.t, i, what})
	}
	for _, p := range r.ways[i] {
		r.renew(p)
	}
}

// renew finds a path's law anew, and has its hub solved again.
func (r *Run) renew(i int32) {
	p := &r.paths[i]
	state := uint8(0)
	if p.device >= 0 {
		state = r.mechs[p.device].state
	}
	p.law, p.by, p.speed = inState(r.laws[i], state), 1, 0
	if o := p.opening; o != nil && p.law == o.wide {
		if share := o.at(r.t); share > least {
			p.by = 1 / (share * share)
		} else {
			p.law = nil
		}
	}
	if p.flap != nil && p.law != nil && p.law == r.laws[i][1] {
		p.by /= p.flap.lift * p.flap.lift
	}
	if m := p.motor; m != nil {
		// From the switch's move on it turns as its motor does, until that has followed.
		const creeps = 1e-3
		switch runs := r.form.Runs(state); {
		case runs && m.speed < 1:
			p.law, p.speed = m.full, math.Max(m.speed, creeps)
		case !runs && m.speed > 0:
			p.law, p.speed = m.full, m.speed
		default:
			m.shut = false
		}
		if m.shut {
			p.law = nil
		}
	}
	for _, n := range []int32{p.a, p.b} {
		if n >= 0 && r.nodes[n].hub >= 0 {
			r.stale[r.nodes[n].hub] = true
			r.again = true
		}
	}
}

// motors bring pumps to speed or to rest.
func (r *Run) motors() {
	for _, i := range r.pumps {
		p := &r.paths[i]
		m := p.motor
		to := 0.0
		if r.form.Runs(r.mechs[p.device].state) {
			to = 1
		}
		if m.speed == to {
			continue
		}
		if to > m.speed {
			m.speed = math.Min(to, m.speed+m.rate*r.field.dt)
		} else {
			m.speed = math.Max(to, m.speed-m.rate*r.field.dt)
		}
		r.renew(i)
	}
}

// valves shut the head valves of a pump between rest and full speed, and open them.
func (r *Run) valves() {
	for _, i := range r.pumps {
		p := &r.paths[i]
		m := p.motor
		if p.speed == 0 || r.mechs[p.device].moved >= mostMoves {
			continue
		}
		zero, _ := m.full.Drop(0)
		xb := p.xb
		if p.b >= 0 {
			xb = r.nodes[p.b].x
		}
		lifts := r.nodes[p.a].x - xb - p.speed*zero
		if !m.shut && p.q < -bandFlow || m.shut && lifts > bandHead {
			m.shut = !m.shut
			r.mechs[p.device].moved++
			r.renew(i)
		}
	}
}

// flaps bring the flaps of checks on by a step.
func (r *Run) flaps() {
	for _, i := range r.checks {
		p := &r.paths[i]
		d := &r.mechs[p.device]
		if p.law == nil || p.law != r.laws[i][1] {
			continue
		}
		was := p.flap.lift
		xb := p.xb
		if p.b >= 0 {
			xb = r.nodes[p.b].x
		}
		if p.flap.moves(r.nodes[p.a].x-xb-p.law.Off, r.field.dt) {
			for _, w := range d.is.States[d.state].Watches {
				if w.Value == kernel.Flow {
					r.move(p.device, w.To, w.Is)
					break
				}
			}
		} else if p.flap.lift != was {
			r.renew(i)
		}
	}
}
