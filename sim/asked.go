package sim

import (
	"maps"
	"reflect"
	"slices"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// asked is all that a rig's lowered form is made from, a schedule apart.
type asked struct {
	lineup    network.Lineup
	faults    network.Faults
	start     Start
	water     hydraulics.Water
	altitude  unit.Length
	creep     bool
	tolerance Tolerance
}

// begun returns the lowered form that a run begins with: the one made last where the
// same is asked for again, with which its workspace has kept its plans.
func (m *Model) begun(r *Run) *lowered {
	if len(r.heat) > 0 {
		return r.lowered(nil)
	}
	o := &r.opts
	a := asked{r.lineup, r.faults, o.Start, o.Water, o.Altitude, o.Creep, o.Tolerance}
	m.mu.Lock()
	last, low := m.last, m.lastLow
	m.mu.Unlock()
	if low != nil && reflect.DeepEqual(a, last) {
		r.cache[r.lineup.String()] = low
		return low
	}
	low = r.lowered(nil)
	a.lineup, a.faults = maps.Clone(a.lineup), slices.Clone(a.faults) // their owner may change them
	a.start = Start{maps.Clone(o.Start.Tanks), maps.Clone(o.Start.Pressures), maps.Clone(o.Start.Pumps), maps.Clone(o.Start.Temperatures)}
	m.mu.Lock()
	m.last, m.lastLow = a, low
	m.mu.Unlock()
	return low
}
