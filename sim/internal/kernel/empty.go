package kernel

import "math"

// empty carries an emptying tank over the last of its depth. Through an orifice
// the level falls as the square of the time left and meets the port with no
// slope, so the watch stands a millionth of the depth above it, and the rest is
// taken in closed form: with outflow ∝ Vᵉ and V left at flow q the time left is
// V/(q·(1 − e)). e is found by asking for the flow at a quarter of V. A tank that
// would take for ever (e near 1, laminar) keeps its millionth, as does one that
// something else is due before or that other stores do not stand still for.
func (w *Work) empty(fired int, limit float64) {
	wt := &w.plan.watches[fired]
	if !wt.Closing {
		return
	}
	s := wt.S
	port := wt.Ref - wt.Lam
	left, out := w.vol[s]-port, -w.gain[0][s]
	if left <= 0 || out <= 0 {
		return
	}
	kept := w.vol[s]
	w.vol[s] = port + left/4
	if w.here(false) != nil {
		w.vol[s] = kept
		return
	}
	e := math.Log(-w.gain[0][s]/out) / math.Log(0.25)
	w.vol[s] = kept
	if err := w.here(false); err != nil || !(e < 0.9) {
		return
	}
	span := left / out // water moves as at flow q for this long
	took := span / (1 - math.Max(e, 0))
	if w.t+took > limit {
		return
	}
	for _, k := range w.active { // the others' pressures may not move by it
		st := &w.sys.Stores[k]
		if st.Tank || st.Ghost || w.plan.full[k] {
			continue
		}
		off := w.offset(k)
		if math.Abs(st.headAt(w.vol[k]+span*w.gain[0][k], off)-st.headAt(w.vol[k], off)) > w.tolP {
			return
		}
	}
	for k := range w.vol {
		if moved := span * w.gain[0][k]; w.plan.full[k] {
			w.Spilled[k] += moved
		} else {
			w.vol[k] += moved
		}
	}
	for j, q := range w.q {
		w.branchMoved[j] += span * q
	}
	w.t += took
}
