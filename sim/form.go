package sim

import (
	"quietpump/network"
	"quietpump/sim/internal/kernel"
)

// A Form is a rig under one lineup with its faults, as laws of paths, stores and
// devices: how the packages within sim that compute a rig by other means than this
// one come by the same physics. What it is made of is not for use elsewhere. It is
// shared and never changed.
type Form struct {
	System *kernel.System
	// Joints is the node of each joint by name.
	Joints map[string]int32
	low    *lowered
	model  *Model
}

// Form returns the rig as it stands under a lineup with its faults. The forms of
// one rig with the same faults differ in the laws of their paths and the states of
// their devices, and in nothing else.
func (m *Model) Form(lineup network.Lineup, faults network.Faults, opts Options) (*Form, error) {
	if err := m.checkOptions(lineup, faults, &opts); err != nil {
		return nil, err
	}
	return m.form(m.lower(lineup, faults, &opts, nil, nil)), nil
}

func (m *Model) form(low *lowered) *Form {
	return &Form{System: low.sys, Joints: low.joints, low: low, model: m}
}

// Path is the first path of a part.
func (f *Form) Path(part string) (path int32, ok bool) {
	i, known := f.model.partAt[part]
	if !known || len(f.low.ports[i]) == 0 || len(f.low.ports[i][0].paths) == 0 {
		return 0, false
	}
	return f.low.ports[i][0].paths[0].path, true
}

// Stretch reports whether a store is the stretch of tubes, or a stand-in for none.
func (f *Form) Stretch(store int32) bool {
	return f.low.stores[store].part < 0 && f.System.Stores[store].Kind == kernel.Linear
}

// Runs reports whether a pump's motor turns in a state of its device, and Full is
// the law of its path while it does.
func (f *Form) Runs(mode uint8) bool { return runs(mode) }

// Full is the law of a pump's path while it runs.
func (f *Form) Full(path int32) *kernel.Law { return f.System.Paths[path].Laws[3*pumpRuns+sideOpen] }

// Told is the event that a device's change makes known; empty for a silent one.
func (f *Form) Told(is kernel.Emit) What {
	if int(is) >= len(emitted) {
		return ""
	}
	return emitted[is]
}

// A State is the state of a rig in the terms of its [Form].
type State struct {
	*Form
	Heads   []float64 // by node, Pa
	Flows   []float64 // by path, m³/s
	Volumes []float64 // by store, m³
	Mode    []uint8   // by device
}

// State returns the sample in the terms of its form; its slices are the sample's.
func (s *Sample) State() State {
	return State{Form: s.model.form(s.low), Heads: s.x, Flows: s.q, Volumes: s.vol, Mode: s.mode}
}
