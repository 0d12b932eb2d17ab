package kernel

import "math"

// Take puts a workspace that has begun where another stands: the water of its
// stores, the stretch of creep, its devices' states and what is left of their
// timers. stores and devices say which of the other's is each of this one's, -1
// for none: that one stands as it began. A store whose law is not the other's
// stands as it began too, and so does the device that goes with it.
func (w *Work) Take(from *Work, stores, devices []int32) {
	own := make([]bool, len(w.sys.Devices)) // devices that stand as they began
	for s, k := range stores {
		a := &w.sys.Stores[s]
		if k < 0 || !a.alike(&from.sys.Stores[k]) {
			if a.Device >= 0 {
				own[a.Device] = true
			}
			continue
		}
		b := &from.sys.Stores[k]
		w.vol[s] = from.vol[k] - b.Warm.At(from.t) + a.Warm.At(w.t)
		for i := range a.Creep {
			w.strain[w.creepAt[s]+i] = from.strain[from.creepAt[k]+i]
		}
	}
	for d, k := range devices {
		if k < 0 || own[d] || len(w.sys.Devices[d].States) != len(from.sys.Devices[k].States) {
			continue
		}
		w.states[d] = from.states[k]
		w.flippedAt[d], w.uneasy[d] = from.flippedAt[k]-from.t+w.t, from.uneasy[k]
		if from.heldTo[k] > from.t {
			w.heldTo[d] = from.heldTo[k] - from.t + w.t
		}
		w.due[d] = math.Inf(1)
		if timer := w.sys.Devices[d].States[w.states[d]].Timer; timer > 0 {
			w.due[d] = w.t + math.Min(timer, from.due[k]-from.t)
		}
	}
}

// alike reports whether two stores hold the same water at the same head, warmth
// and creep apart.
func (a *Store) alike(b *Store) bool {
	return a.Kind == b.Kind && a.GZ == b.GZ && a.C == b.C && a.V0 == b.V0 && a.K == b.K && a.InvN == b.InvN &&
		a.Ghost == b.Ghost && (a.Node == Out) == (b.Node == Out) && len(a.Creep) == len(b.Creep)
}
