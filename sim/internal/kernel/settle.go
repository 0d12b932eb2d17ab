package kernel

import (
	"fmt"
	"math"
	"slices"
)

// instantCap bounds the changes of mode at one instant; more is chatter.
const instantCap = 1000

// plainRounds is how many rounds of an instant move every device that is due,
// wherever that leads; what has not come to rest by then is approached slowly.
const plainRounds = 12

// settle finds the mode of this instant: it moves every device that is due until
// none is. Switches come last: they feel a pressure once valves and gas have taken
// it up.
func (w *Work) settle(out []Emission, steady bool) ([]Emission, error) {
	for round := 0; ; round++ {
		if round == instantCap {
			return out, fmt.Errorf("%w at %.9g s", ErrChatter, w.t)
		}
		var err error
		if out, err = w.comeToRest(out, steady); err != nil || steady {
			return out, err
		}
		if w.dueNow(steady, true) == 0 {
			return out, nil
		}
		out = w.round(out)
	}
}

// comeToRest moves the devices that are due, switches apart, until none is.
func (w *Work) comeToRest(out []Emission, steady bool) ([]Emission, error) {
	told := len(out)
	for round := range plainRounds {
		w.use()
		err := w.here(steady)
		n := w.dueNow(steady, false)
		if err == nil && n == 0 && !w.unmet && !(round > 0 && slices.Equal(w.states, w.from)) {
			if round > 0 {
				w.unsettled(w.before.states)
			}
			return out, nil
		}
		if round == 0 {
			w.before.keep(w)
		}
		if err != nil || n == 0 {
			break
		}
		out = w.round(out)
	}
	w.before.restore(w)
	return w.approach(out[:told], steady)
}

// round moves every device that is due, each once.
func (w *Work) round(out []Emission) []Emission {
	for k := range w.plan.watches {
		wt := &w.plan.watches[k]
		if !w.isDue[k] || w.states[wt.device] != w.plan.key[wt.device] {
			continue // or moved already in this round
		}
		w.flips[wt.device]++
		out = w.move(wt.device, wt.To, wt.Is, out)
	}
	w.leave()
	return out
}

// unsettled counts the devices that have changed at this instant from the states
// they had.
func (w *Work) unsettled(had []uint8) {
	for d, s := range had {
		if w.states[d] != s {
			w.unsettle(int32(d))
		}
	}
}

// Bounds of a slow approach: how closely every node first clings to the head it
// has, as a conductance, m³/(s·Pa); how much less after a move that went well and
// more after one that did not; how many rounds a move may take; from where on
// nothing need cling; and how closely nothing could want to.
const (
	firstCling  = 1e-8
	lessCling   = 1.0 / 16
	moreCling   = 6
	clingRounds = 6
	leastCling  = 1e-22
	mostCling   = 1e4
)

// approach finds the mode of an instant where moving all that is due at once has
// not led there: regulators that starve each other, for one, ask for heads that no
// coach has and open and shut what hangs on them. Here every node clings to the
// head it has, as if a store stood there and a moment of time passed, so that
// heads and devices change by little; then it clings less, until it does not.
// Flows that rise with the head they come from and fall with the one they go to
// make −(what flows out of each node) a contraction in the sum of what nodes hold
// (Crandall & Tartar, Proc. AMS 78, 1980), so this way has one end and no circles
// (pseudo-transient continuation: Kelley & Keyes, SIAM J. Numer. Anal. 35, 1998).
func (w *Work) approach(out []Emission, steady bool) ([]Emission, error) {
	w.nears = true
	defer func() { w.cling, w.nears = 0, false }()
	first := slices.Clone(w.states)
	last := make([]Emission, len(w.states)) // what each device's last change makes known
	cling := firstCling
	for tries := 0; tries < instantCap; tries++ {
		if cling < leastCling {
			cling = 0
		}
		w.before.keep(w)
		ok := w.nearer(cling, last, steady)
		switch {
		case ok && cling == 0:
			w.unsettled(first)
			for d, e := range last {
				if w.states[d] != first[d] && e.Is != 0 {
					w.Effort.Events++
					out = append(out, e)
				}
			}
			return out, nil
		case ok:
			w.leave()
			cling *= lessCling
		case cling > mostCling:
			return out, fmt.Errorf("%w at %.9g s", ErrNoConvergence, w.t)
		default:
			w.before.restore(w)
			cling = math.Max(cling, leastCling) * moreCling
		}
	}
	return out, fmt.Errorf("%w at %.9g s", ErrChatter, w.t)
}

// nearer moves every node as far as it clings to the head it has, and the devices
// with it.
func (w *Work) nearer(cling float64, last []Emission, steady bool) bool {
	w.cling = cling
	clear(w.flips)
	for range clingRounds {
		w.use()
		w.clingTo()
		if w.here(steady) != nil {
			return false
		}
		if w.dueNow(steady, false) == 0 {
			return !w.unmet
		}
		for _, e := range w.round(nil) {
			last[e.Device] = e
		}
	}
	return false
}

// clingTo notes the heads that the unknowns cling to.
func (w *Work) clingTo() {
	w.near = append(w.near[:0], w.x[:w.plan.unknowns]...)
	for i := range w.plan.nodes {
		if r := &w.plan.nodes[i]; r.at >= 0 && r.off == 0 {
			w.near[r.at] = w.before.x0[i]
		}
	}
}

// A moment is what an instant began with, to go back to.
type moment struct {
	x0, pathQ, due, vol []float64
	states              []uint8
}

func (m *moment) keep(w *Work) {
	m.x0 = append(m.x0[:0], w.x0...)
	m.pathQ = append(m.pathQ[:0], w.pathQ...)
	m.due = append(m.due[:0], w.due...)
	m.vol = append(m.vol[:0], w.vol...)
	m.states = append(m.states[:0], w.states...)
}

func (m *moment) restore(w *Work) {
	w.leave()
	copy(w.x0, m.x0)
	copy(w.pathQ, m.pathQ)
	copy(w.due, m.due)
	copy(w.vol, m.vol)
	copy(w.states, m.states)
}

// dueNow marks the watches that are due, those of switches or the others, and
// returns how many are.
func (w *Work) dueNow(steady, switches bool) int {
	n := 0
	for k := range w.plan.watches {
		wt := &w.plan.watches[k]
		w.isDue[k] = false
		if wt.Switch != switches || steady && wt.Value == Gain { // levels are held
			continue
		}
		v := wt.value(w.plan, w.x, w.q, w.vol, w.gain[0]) - w.borne(wt)
		w.seen[k][0] = v
		if v <= wt.band() || w.muted(wt, v) || !steady && w.returns(wt) {
			continue
		}
		w.isDue[k] = true
		n++
	}
	return n
}
