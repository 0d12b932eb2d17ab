package kernel

import "math"

// Emission is a change of a device's state worth telling.
type Emission struct {
	T      float64
	Device int32
	Is     Emit
}

// A device that changes again shortly after, faster than water that has mass could
// follow, is uneasy; after some changes it is held, at first for a restless time, at
// most for the longest hold, s. What a hold misses can take fifty times as long to come
// back, where two devices take turns, so one is at ease again only after a hundred of its
// holds, or four of the longest.
const (
	shortly     = 1e-3
	atEase      = 100
	patience    = 10
	restless    = 1e-8
	longestHold = 0.05
)

// muteAfter is how often a silent device may flip at one instant before it has
// to stand still for a step: at a threshold met to round-off it has no side.
const muteAfter = 4

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
	if w.t-w.flippedAt[d] > math.Max(shortly, math.Min(atEase*hold, 4*longestHold)) {
		w.uneasy[d] = 0
	}
	w.flippedAt[d] = w.t
	if w.uneasy[d]++; w.uneasy[d] > patience {
		w.heldTo[d] = w.t + math.Min(2*hold, longestHold)
		w.uneasy[d] = min(w.uneasy[d], patience+40)
	}
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

// returns reports whether a value that stands beyond its threshold by round-off is on
// its way back: of a store by what it gains, of a flow as turnsBack has found.
func (w *Work) returns(wt *watch) bool {
	switch wt.Value {
	case Stored:
		return wt.Sign*w.gain[0][wt.S] <= 0
	case Flow:
		return w.backAt[wt.device] == w.t
	}
	return false
}

// recently is how long after a device's change a flow that has it change again is
// looked at twice, s.
const recently = 0.1

// turnsBack reports whether a flow that has just reached its threshold, in a device
// that has changed recently, is about to turn back from it. What dies away with the
// root of what is left meets a trickle that stays at a corner, and a step that passes
// over the corner ends at no flow though none of its errors is large: water that wells
// up in a dry tank's port, out of a few drops of air, would open and shut the port
// hundreds of times a second. The side is that to which the flow goes from here, by a
// short way of length h along what the stores gain, and no farther than to half of what
// gas is left in any. Where stores held still do not have that flow at its threshold (a
// stand-in's does not last) nothing is said, nor twice at an instant.
func (w *Work) turnsBack(wt *watch, h float64) bool {
	if wt.Value != Flow || w.t-w.flippedAt[wt.device] > recently || w.t-w.backAt[wt.device] < instant {
		return false
	}
	moves := func(s int32) bool { return !w.sys.Stores[s].Ghost && !w.plan.full[s] }
	for _, s := range w.active {
		st := &w.sys.Stores[s]
		if gas := max(st.V0-w.vol[s], 0); moves(s) && st.Kind == Gas && h*w.gain[0][s] > gas/2 {
			h = gas / 2 / w.gain[0][s]
		}
	}
	w.base = append(w.base[:0], w.vol...)
	for _, s := range w.active {
		if moves(s) {
			w.vol[s] += h * w.gain[0][s]
		}
	}
	value := func() float64 { return wt.value(w.plan, w.x, w.q, w.vol, w.gain[0]) }
	err := w.here(false)
	ahead := value()
	copy(w.vol, w.base)
	if w.here(false) != nil || err != nil {
		return false
	}
	if now := value(); math.Abs(now) > wt.slight() || ahead >= math.Min(now, 0)-wt.band() {
		return false
	}
	w.backAt[wt.device] = w.t
	return true
}

// borne is what a watch's value may be beyond its threshold now: nothing, unless
// its device is held.
func (w *Work) borne(wt *watch) float64 {
	if w.t >= w.heldTo[wt.device] || wt.Switch {
		return 0
	}
	return wt.bearable()
}
