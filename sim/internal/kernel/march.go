package kernel

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Errors of a march.
var (
	ErrNoConvergence = errors.New("no convergence")
	ErrChatter       = errors.New("chatter")
)

// leastStep is the shortest step, s: far within an instant.
const leastStep = 1e-13

// instant is the span within which events count as one, s.
const instant = 1e-9

// A device that changes again shortly after, faster than water that has mass could
// follow, is uneasy; after some changes it is held, at first for a restless time, at
// most for the longest hold, s.
const (
	shortly     = 1e-3
	patience    = 10
	restless    = 1e-8
	longestHold = 0.05
)

// muteAfter is how often a silent device may flip at one instant before it has
// to stand still for a step: at a threshold met to round-off it has no side.
const muteAfter = 4

// wildFlow is a flow that no coach has, m³/s: a mode that asked for it is left at
// once, and its flows are nothing to start from.
const wildFlow = 0.05

// wildDrop is a drop that no coach has, Pa: the flow a path had before under another
// law is nothing to start from where this one would lose so much by it.
const wildDrop = 1e7

// wildHead is a head that no coach has, Pa: no start for another mode.
const wildHead = 1e9

// refusals is how often a step is cut by what its error asks for. The error of a stiff
// store that is off its section's head does not fall with the step until that is
// shorter than the moment in which it settles.
const refusals = 20

// Emission is a change of a device's state worth telling.
type Emission struct {
	T      float64
	Device int32
	Is     Emit
}

// T is the time reached, s.
func (w *Work) T() float64 { return w.t }

// Volumes are the stores' volumes, m³, valid until the next step.
func (w *Work) Volumes() []float64 { return w.vol }

// Strains are the creep terms' volumes, m³, valid until the next step.
func (w *Work) Strains() []float64 { return w.strain }

// States are the devices' states, valid until the next step.
func (w *Work) States() []uint8 { return w.states }

// Restore puts the workspace where a state was kept.
func (w *Work) Restore(sys *System, t float64, vol, strain []float64, states []uint8) {
	w.sys, w.t = sys, t
	copy(w.vol, vol)
	copy(w.strain, strain)
	copy(w.states, states)
	for d := range w.due {
		w.due[d] = math.Inf(1)
	}
	w.leave()
}

// Retool goes on under another lineup of the same rig: the system's laws have
// changed and nothing else.
func (w *Work) Retool(sys *System) {
	w.leave()
	w.sys = sys
	w.plans = w.plans[:0]
	w.trails = w.trails[:0]
	for d := range w.states {
		w.move(int32(d), w.states[d], 0, nil)
	}
}

// Enter settles the instant: plan, heads and flows of the mode, and every device
// that is due moved until none is. What moved is appended to out.
func (w *Work) Enter(out []Emission) ([]Emission, error) {
	if w.plan != nil {
		return out, nil
	}
	return w.settle(out, false)
}

// returns reports whether a store that stands beyond a threshold by round-off is
// on its way back to it.
func (w *Work) returns(wt *watch) bool {
	return wt.Value == Stored && wt.Sign*w.gain[0][wt.S] <= 0
}

// muted reports whether a device has no side at this instant, its watch being due
// by no more than rounding explains: a silent one that has flipped too often, and
// one that is told of as soon as it has changed, for it would be told that an
// accumulator that has just run empty fills again.
func (w *Work) muted(wt *watch, v float64) bool {
	if w.t-w.flipT > instant {
		w.flipT = w.t
		clear(w.flips)
	}
	most := muteAfter
	if wt.Is != 0 {
		most = 1
	}
	return w.flips[wt.device] >= most && v < wt.slight()
}

// borne is what a watch's value may be beyond its threshold now: nothing, unless
// its device is held.
func (w *Work) borne(wt *watch) float64 {
	if w.t >= w.heldTo[wt.device] || wt.Switch {
		return 0
	}
	return wt.bearable()
}

// flip counts a change of a device that a watch asked for. A device that comes to
// rest on its threshold, as a check does where the flow through it dies, has no
// side to be on: whatever rounding leaves moves it to and fro, in ever shorter
// steps. One that keeps changing shortly after is held where it is, for twice as
// long each time, as long as what it misses can be borne.
func (w *Work) flip(wt *watch) {
	w.flips[wt.device]++
	if !wt.Switch {
		w.unsettle(wt.device)
	}
}

// unsettle counts that device d has changed at this instant.
func (w *Work) unsettle(d int32) {
	hold := restless * math.Pow(2, float64(w.uneasy[d]-patience))
	if w.t-w.flippedAt[d] > math.Max(shortly, 4*hold) {
		w.uneasy[d] = 0
	}
	w.flippedAt[d] = w.t
	if w.uneasy[d]++; w.uneasy[d] > patience {
		w.heldTo[d] = w.t + math.Min(2*hold, longestHold)
		w.uneasy[d] = min(w.uneasy[d], patience+40)
	}
}

// move puts a device into a state.
func (w *Work) move(d int32, to uint8, is Emit, out []Emission) []Emission {
	dev := &w.sys.Devices[d]
	was := &dev.States[w.states[d]]
	w.states[d] = to
	now := &dev.States[to]
	switch {
	case now.Timer <= 0:
		w.due[d] = math.Inf(1)
	case now.Carry && was.Timer > 0 && !math.IsInf(w.due[d], 1):
	default:
		w.due[d] = w.t + now.Timer
	}
	if is != 0 {
		w.Effort.Events++
		out = append(out, Emission{w.t, d, is})
	}
	return out
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

// Flush brings PathMoved up to the present.
func (w *Work) Flush() {
	if w.plan == nil {
		return
	}
	for i, c := range w.plan.paths {
		w.PathMoved[i] += c.flow(w.branchMoved)
	}
	clear(w.branchMoved)
}

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
	var p *Plan
	if at >= 0 {
		p = w.plans[at]
		copy(w.plans[1:at+1], w.plans[:at])
		w.plans[0] = p
	} else {
		p = newPlan(w.sys, w.states, w.cling > 0)
		if len(w.plans) == plansKept {
			w.plans = w.plans[:plansKept-1]
		}
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
	w.now.fit(m+1, nb)
	w.tried.fit(m+1, nb)
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

// offset is the volume of store s that its present head does not decide.
func (w *Work) offset(s int32) float64 {
	st := &w.sys.Stores[s]
	off := st.Warm.At(w.t)
	for m := range st.Creep {
		off += w.strain[w.creepAt[s]+m]
	}
	return off
}

// here solves heads and flows at the present instant: stores stand at their
// volumes, or in a steady answer take no flow.
func (w *Work) here(steady bool) error {
	w.holdAll = !steady
	if steady && w.plan.anchored == nil {
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
	copy(w.now.x[0], w.x)
	copy(w.now.q[0], w.q)
	if w.slow {
		w.slowGains(0)
	}
	return nil
}

// Advance takes one accepted step, to limit at the most, and moves the devices
// that fall due at its end. What moved is appended to out.
func (w *Work) Advance(limit float64, out []Emission) ([]Emission, error) {
	out, err := w.Enter(out)
	if err != nil {
		return out, err
	}
	held := false
	for d := range w.due {
		limit = math.Min(limit, w.due[d])
		if w.heldTo[d] > w.t {
			held = true
			limit = math.Min(limit, w.heldTo[d])
		} else if w.heldTo[d] > 0 { // its hold is over
			w.heldTo[d] = 0
			w.review(int32(d))
		}
	}
	h := math.Min(w.nextH, limit-w.t)
	if rest := limit - w.t; h < rest && h > rest/2 {
		h = rest / 2
	}
	h = math.Max(h, 1e-15*w.t+leastStep) // or the clock would stand still
	if w.t+h < limit-instant && !held {
		if was := w.glides(h); was != nil {
			w.glide(was)
			w.stood = 0
			return out, nil
		}
	}
	e := 0.0
	for tries := 0; h > 0; tries++ {
		if tries == 60 {
			return out, fmt.Errorf("%w: the step at %.9g s shrank to nothing", ErrNoConvergence, w.t)
		}
		w.h = h
		var ok bool
		if e, ok = w.step(h); ok && e <= 1 {
			break
		}
		w.Effort.Refused++
		if ok {
			if h <= 1e-15*w.t+leastStep { // as short as steps go
				break
			}
			if tries < refusals {
				h *= math.Max(0.2, math.Min(0.8, 0.85*math.Pow(e, -0.25)))
				continue
			}
		}
		h /= 4
	}
	fired := -1
	if h > 0 {
		if fired, err = w.locate(&h); err != nil {
			return out, err
		}
		w.accept(h, e, fired)
	}
	if h > 0 {
		w.stood = 0
	} else if w.stood++; w.stood > instantCap {
		return out, fmt.Errorf("%w at %.9g s", ErrChatter, w.t)
	}
	for d := range w.due { // timers first: they were set by the clock
		if w.due[d] <= w.t+instant {
			st := &w.sys.Devices[d].States[w.states[d]]
			out = w.move(int32(d), st.Then, st.ThenIs, out)
			fired = -2
		}
	}
	if fired == -1 {
		return out, nil
	}
	if fired >= 0 {
		w.empty(fired, limit)
		p := w.plan
		for k := range p.watches {
			wt := &p.watches[k]
			least := wt.band()
			if wt.Switch { // another of the same setting
				least = 0
			}
			if k != fired && w.seen[k][stages-1] <= least || w.states[wt.device] != p.key[wt.device] {
				continue
			}
			w.muted(wt, 0)
			w.flip(wt)
			out = w.move(wt.device, wt.To, wt.Is, out)
		}
	}
	w.leave()
	return w.Enter(out)
}

// review sees the watches of a device anew at the step's start.
func (w *Work) review(d int32) {
	for k := range w.plan.watches {
		if wt := &w.plan.watches[k]; wt.device == d {
			w.seen[k][0] = wt.value(w.plan, w.x, w.q, w.vol, w.gain[0])
		}
	}
}

// retreat goes back to the step's start.
func (w *Work) retreat() {
	copy(w.x, w.now.x[0])
	copy(w.q, w.now.q[0])
}

// accept makes the end of the step just taken the present, where watch fired, if any,
// is due.
func (w *Work) accept(h, e float64, fired int) {
	w.t += h
	for s := range w.vol {
		if w.plan.full[s] {
			w.Spilled[s] += w.next[s] - w.vol[s]
			continue
		}
		w.vol[s] = w.next[s]
	}
	w.wake()
	if w.slow {
		for k := range w.strain {
			for i := 0; i < stages; i++ {
				w.strain[k] += h * tableA[stages-1][i] * w.strainRate[i][k]
			}
		}
		copy(w.strainRate[0], w.strainRate[stages-1])
	}
	if w.now.h = h; h > 0 {
		for i, b := range tableA[stages-1] {
			add1(w.branchMoved, w.now.q[i], h*b)
		}
		t := w.now.t + h
		w.now = w.trail.keep(w.now)
		w.now.t = t
		if fired >= 0 {
			w.trail.ends, w.trail.steep = t, w.steepness(fired, h)
		}
	}
	w.startHere()
	copy(w.gain[0], w.gain[stages-1])
	for k := range w.seen {
		w.seen[k][0] = w.seen[k][stages-1]
	}
	if fired < 0 {
		w.nextH = asked(h, e)
		w.heed()
	}
}

// startHere makes the present the start of the step to come.
func (w *Work) startHere() {
	w.now.fit(len(w.x), len(w.q))
	w.now.h, w.tried.h = 0, 0
	copy(w.now.x[0], w.x)
	copy(w.now.q[0], w.q)
}

// wake puts the ghosts where their sections stand.
func (w *Work) wake() {
	for _, s := range w.active {
		if st := &w.sys.Stores[s]; st.Ghost {
			w.vol[s], _ = st.levelOf(w.x[w.plan.stores[s]], 0)
		}
	}
}

// heed asks for the step that the time before has shown to be good from here, and
// no further than just beyond its end.
func (w *Work) heed() {
	w.meets = false
	if w.Without&Following != 0 {
		return
	}
	t := w.now.t
	if was := w.trail.before(t); was != nil {
		w.nextH = asked(was.h, was.e)
		if w.trail.again(was, t) {
			w.nextH = was.h
		}
	}
	if last := w.trail.last(); last != nil {
		w.nextH = min(w.nextH, mostGrowth*last.h)
	}
	if left := w.trail.ended - t; left > 0 && w.nextH > left*nearly {
		w.nextH, w.meets = w.trail.meets()-t, true
	}
}

// nearly is the share of the way to an event, by the time the one before it took,
// from which on a step goes all of it.
const nearly = 0.999
