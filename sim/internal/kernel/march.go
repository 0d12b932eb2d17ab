package kernel

import (
	"errors"
	"fmt"
	"math"
)

// Errors of a march.
var (
	ErrNoConvergence = errors.New("no convergence")
	ErrChatter       = errors.New("chatter")
)

// leastStep is the shortest step, s: far within an instant.
const leastStep = 1e-13

// briefly is how many such steps on end may lead back to the states they came from.
const briefly = 20

// instant is the span within which events count as one, s.
const instant = 1e-9

// refusals is how often a step is cut by what its error asks for. The error of a stiff
// store that is off its section's head does not fall with the step until that is
// shorter than the moment in which it settles.
const refusals = 20

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
	w.forget()
}

// forget makes the present what was before it: no device has just changed and no mode has been gone through.
func (w *Work) forget() {
	w.trails = w.trails[:0]
	clear(w.flips)
	clear(w.uneasy)
	for d := range w.heldTo {
		w.flippedAt[d], w.backAt[d], w.heldTo[d] = math.Inf(-1), math.Inf(-1), 0
	}
	w.flipT, w.stood, w.brief, w.tight = w.t, 0, 0, false
}

// Retool goes on under another lineup of the same rig: the system's laws have
// changed and nothing else.
func (w *Work) Retool(sys *System) {
	w.leave()
	w.sys = sys
	w.let(0)
	w.trails = w.trails[:0]
	for d := range w.states {
		w.move(int32(d), w.states[d], 0, nil)
	}
}

// Turn goes on as if the mode had just been entered: what warms stores has a corner here,
// and a step that began long before it would pass over what follows in moments.
func (w *Work) Turn() { w.leave() }

// Enter settles the instant: plan, heads and flows of the mode, and every device
// that is due moved until none is. What moved is appended to out.
func (w *Work) Enter(out []Emission) ([]Emission, error) {
	if w.plan != nil {
		return out, nil
	}
	return w.settle(out, false)
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
	switch {
	case h > leastStep:
		w.stood, w.brief = 0, 0
	case h > 0:
		w.stood = 0
		w.brief++
	default:
		if w.stood++; w.stood > instantCap {
			return out, fmt.Errorf("%w at %.9g s", ErrChatter, w.t)
		}
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
		p, moved := w.plan, false
		unborne := w.brief > briefly && w.t < w.heldTo[p.watches[fired].device]
		for k := range p.watches {
			wt := &p.watches[k]
			least := wt.band()
			if wt.Switch { // another of the same setting
				least = 0
			}
			if k != fired && w.seen[k][stages-1] <= least || w.states[wt.device] != p.key[wt.device] {
				continue
			}
			if w.turnsBack(wt, h) {
				continue
			}
			w.muted(wt, 0)
			w.flip(wt)
			out = w.move(wt.device, wt.To, wt.Is, out)
			moved = true
		}
		if !moved {
			w.nextH, w.meets = math.Max(2*h, leastStep), false
			return out, nil
		}
		if unborne {
			w.from = append(w.from, p.key...)
		}
	}
	w.leave()
	out, err = w.Enter(out)
	w.from = w.from[:0]
	return out, err
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
