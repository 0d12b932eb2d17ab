package kernel

import (
	"fmt"
	"math"
	"slices"
)

// wildFlow is a flow that no coach has, m³/s: a mode that asked for it is left at
// once, and its flows are nothing to start from.
const wildFlow = 0.05

// wildDrop is a drop that no coach has, Pa: the flow a path had before under another
// law is nothing to start from where this one would lose so much by it.
const wildDrop = 1e7

// wildHead is a head that no coach has, Pa: no start for another mode.
const wildHead = 1e9

// use takes the plan of the present mode, from those kept or anew, and fits the
// workspace to it.
func (w *Work) use() {
	w.Effort.Plans++
	at := -1
	for i, p := range w.plans {
		if p.whole == (w.cling > 0) && string(p.key) == string(w.states) {
			at = i
			break
		}
	}
	var p *plan
	if at >= 0 {
		p = w.plans[at]
		copy(w.plans[1:at+1], w.plans[:at])
		w.plans[0] = p
	} else {
		if len(w.plans) == plansKept {
			w.let(plansKept - 1)
		}
		p = w.room()
		w.reduction.plan(p, w.sys, w.states, w.cling > 0)
		w.plans = append(w.plans, nil)
		copy(w.plans[1:], w.plans)
		w.plans[0] = p
	}
	w.plan = p
	m, nb := p.unknowns, len(p.branches)
	for _, s := range []*[]float64{&w.x, &w.rhs, &w.dx, &w.strayX} {
		*s = grown(*s, m+1) // the last stands for the ends and stays zero
		(*s)[m] = 0
	}
	for _, s := range []*[]float64{&w.q, &w.d, &w.s, &w.g, &w.r, &w.dq, &w.branchMoved, &w.strayQ} {
		*s = grown(*s, nb)
	}
	if !w.still {
		w.now.fit(m+1, nb)
		w.tried.fit(m+1, nb)
	}
	w.now.t, w.now.h, w.tried.h = 0, 0, 0
	clear(w.branchMoved)
	if cap(w.seen) < len(p.watches) {
		w.seen = make([][stages]float64, len(p.watches))
	}
	w.seen = w.seen[:len(p.watches)]
	w.isDue = slices.Grow(w.isDue[:0], len(p.watches))[:len(p.watches)]
	w.active, w.gases = w.active[:0], w.gases[:0]
	for s, k := range p.stores {
		if k < 0 {
			continue
		}
		w.active = append(w.active, int32(s))
		if w.sys.Stores[s].Kind == Gas && !p.full[s] {
			w.gases = append(w.gases, int32(s))
		}
	}
	for i := range p.nodes {
		if r := &p.nodes[i]; r.at >= 0 && r.off == 0 {
			w.x[r.at] = w.x0[i]
		}
	}
	copy(w.q, p.begin)
	for i, c := range p.paths {
		if q := math.Abs(w.pathQ[i]); c.branch >= 0 && q > 1e-12 && q < wildFlow && p.branches[c.branch].tame(q) {
			w.q[c.branch] = c.sign * w.pathQ[i]
		}
	}
	w.trail = w.trailOf(p)
	w.trail.enter()
	if w.Without&Following == 0 { // as it began the time before
		copy(w.x, w.trail.x)
		copy(w.q, w.trail.q)
	}
	for _, s := range w.active {
		w.head[s] = w.sys.Stores[s].headAt(w.vol[s], w.offset(s))
		w.x[p.stores[s]] = w.head[s]
	}
	w.nextH = 1e-3
	w.heed()
}

// let gives up the plans from the given one on, for others to be made in their room.
func (w *Work) let(from int) {
	for _, p := range w.plans[from:] {
		for i := range w.trails {
			if w.trails[i].plan == p {
				w.trails[i].plan = nil
			}
		}
	}
	w.spare = append(w.spare, w.plans[from:]...)
	w.plans = w.plans[:from]
}

// room is a plan to be made anew.
func (w *Work) room() *plan {
	n := len(w.spare)
	if n == 0 {
		return &plan{}
	}
	p := w.spare[n-1]
	w.spare = w.spare[:n-1]
	return p
}

// leave puts the mode's heads, flows and carried water back by node and path.
func (w *Work) leave() {
	p := w.plan
	if p == nil {
		return
	}
	for i := range w.sys.Nodes {
		if p.defined(int32(i)) {
			if x := p.node(int32(i), w.x, w.q); math.Abs(x) < wildHead {
				w.x0[i] = x
			}
		}
	}
	for i, c := range p.paths {
		w.pathQ[i] = c.flow(w.q)
		w.PathMoved[i] += c.flow(w.branchMoved)
	}
	clear(w.branchMoved)
	for s := range w.sys.Stores { // a ghost wakes where its section stands
		if st := &w.sys.Stores[s]; st.Ghost && p.stores[s] < 0 {
			w.vol[s], _ = st.levelOf(w.x0[st.Node], 0)
		}
	}
	w.plan = nil
}

// here solves heads and flows at the present instant: stores stand at their
// volumes, or in a steady answer take no flow.
func (w *Work) here(steady bool) error {
	w.holdAll = !steady
	if steady && !w.plan.isAnchored {
		w.plan.anchor(w.sys)
	}
	for _, s := range w.active {
		w.off[s], w.extra[s] = w.offset(s), 0
		w.head[s] = w.sys.Stores[s].headAt(w.vol[s], w.off[s])
	}
	w.told = false
	if !w.solve(0, 0) {
		if w.cling > 0 { // it will be tried again, nearer
			return ErrNoConvergence
		}
		w.Effort.Restarts++
		for k := range w.x { // once more from the common start
			w.x[k] = 0
		}
		for _, s := range w.active {
			w.x[w.plan.stores[s]] = w.head[s]
		}
		copy(w.q, w.plan.begin)
		if !w.solve(0, 0) {
			return fmt.Errorf("%w at %.9g s", ErrNoConvergence, w.t)
		}
	}
	w.trail.x, w.trail.q = append(w.trail.x[:0], w.x...), append(w.trail.q[:0], w.q...)
	w.gains(0)
	if !w.still {
		copy(w.now.x[0], w.x)
		copy(w.now.q[0], w.q)
	}
	if w.slow {
		w.slowGains(0)
	}
	return nil
}

// offset is the volume of store s that its present head does not decide.
func (w *Work) offset(s int32) float64 {
	st := &w.sys.Stores[s]
	off := st.Warm.At(w.t)
	for m := range st.Creep {
		off += w.strain[w.creepAt[s]+m]
	}
	return off
}

// wake puts the ghosts where their sections stand.
func (w *Work) wake() {
	for _, s := range w.active {
		if st := &w.sys.Stores[s]; st.Ghost {
			w.vol[s], _ = st.levelOf(w.x[w.plan.stores[s]], 0)
		}
	}
}
