package sim

import "math"

// A Ledger is the account of where the water went over a whole simulation, all in
// m³ at the one density of the simulation's water.
type Ledger struct {
	// Parts is the water each part passed: from its first joint to its second, or
	// out of its joint into it.
	Parts map[string]float64 `json:"parts_m3"`
	// Stored is what each store holds more than at the start; the stretch of tubes
	// stands under the empty name.
	Stored  map[string]float64 `json:"stored_m3"`
	In      float64            `json:"in_m3"`      // from hookups
	Out     float64            `json:"out_m3"`     // to the ground and other places outside, what tanks spilled included
	Spilled map[string]float64 `json:"spilled_m3"` // over the lip of each tank
	Moved   float64            `json:"moved_m3"`   // through pumps, hookups and fixtures
	// Shift is the water by which locating events moved a store; none is moved,
	// since the step's length is what is adjusted.
	Shift float64 `json:"shift_m3"`
	// Closure is in − out − stored: what the arithmetic lost.
	Closure float64 `json:"closure_m3"`
}

// close draws up the ledger at the end of a run.
func (r *Run) close() Ledger {
	w := r.work
	w.Flush()
	l := Ledger{Parts: make(map[string]float64, len(r.model.parts)), Stored: make(map[string]float64, len(r.low.stores)), Spilled: map[string]float64{}}
	low := r.low
	vol := w.Volumes()
	stored := 0.0
	for i, st := range low.stores {
		if st.ghost {
			continue
		}
		d := vol[i] - r.first[i]
		stored += d
		name := ""
		if st.part >= 0 {
			name = r.model.parts[st.part].ID()
		}
		l.Stored[name] += d
		if w.Spilled[i] != 0 {
			l.Spilled[name] += w.Spilled[i]
			l.Out += w.Spilled[i]
		}
	}
	for _, e := range low.ends {
		v := w.PathMoved[e.path]
		if low.sys.Paths[e.path].Source {
			l.In -= v
			continue
		}
		l.Out += v
	}
	for i, p := range r.model.parts {
		if len(low.ports[i]) == 0 {
			continue
		}
		v := r.moved(int32(i))
		l.Parts[p.ID()] = v
		switch p.Kind() {
		case "pump", "hand pump", "hookup", "fixture", "appliance":
			l.Moved += math.Abs(v)
		}
	}
	l.Closure = l.In - l.Out - stored
	return l
}

// moved is the water that part i has passed.
func (r *Run) moved(i int32) float64 {
	pf := &r.low.ports[i][0]
	if pf.store >= 0 {
		return r.work.Volumes()[pf.store] - r.first[pf.store]
	}
	v := 0.0
	for _, s := range pf.paths {
		v += s.sign * r.work.PathMoved[s.path]
	}
	return v
}
