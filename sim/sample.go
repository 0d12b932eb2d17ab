package sim

import (
	"math"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/internal/kernel"
)

// A Sample is the state of a rig at one time: pressure at every joint, flow
// through every part, water in every store.
type Sample struct {
	At    float64 // s since the start
	model *Model
	low   *lowered
	p     []float64 // gauge pressure by joint, Pa; NaN where nothing decides it
	x     []float64 // head by node, Pa
	q     []float64 // flow by path, m³/s
	gain  []float64 // net inflow by store, m³/s
	vol   []float64 // water by store, m³
	mode  []uint8   // state by device
}

// Pressure returns the gauge pressure at a joint; ok is false where the joint is
// unknown or nothing decides its pressure.
func (s *Sample) Pressure(joint string) (p unit.Pressure, ok bool) {
	i, known := s.model.jointAt[joint]
	if !known || math.IsNaN(s.p[i]) {
		return 0, false
	}
	return unit.Pressure(s.p[i]), true
}

// Flow returns the flow through a part: from its first joint to its second, or
// for a part at a joint, out of the joint and into the part. ok is false for an
// unknown part and for one without ports.
func (s *Sample) Flow(part string) (q unit.Flow, ok bool) {
	i, known := s.model.partAt[part]
	if !known || len(s.low.ports[i]) == 0 {
		return 0, false
	}
	return unit.Flow(s.flow(&s.low.ports[i][0])), true
}

// FlowAt returns the flow into a part at one of its joints, positive out of the
// joint.
func (s *Sample) FlowAt(part, joint string) (q unit.Flow, ok bool) {
	i, known := s.model.partAt[part]
	if !known {
		return 0, false
	}
	for k := range s.low.ports[i] {
		if pf := &s.low.ports[i][k]; pf.joint == joint {
			return unit.Flow(s.flow(pf)), true
		}
	}
	return 0, false
}

func (s *Sample) flow(pf *portFlow) float64 {
	if pf.store >= 0 {
		return s.gain[pf.store]
	}
	sum := 0.0
	for _, p := range pf.paths {
		sum += p.sign * s.q[p.path]
	}
	return sum
}

// Water returns the water in a tank, waste tank, accumulator, heater or other
// store: a tank's contents, an accumulator's above empty, of the others what they
// hold beyond unpressurised.
func (s *Sample) Water(part string) (v unit.Volume, ok bool) {
	i, known := s.model.partAt[part]
	if !known {
		return 0, false
	}
	for k, st := range s.low.stores {
		if st.part == i {
			return unit.Volume(s.vol[k]), true
		}
	}
	return 0, false
}

// Level returns the height of a tank's water above its floor.
func (s *Sample) Level(tank string) (h unit.Length, ok bool) {
	i, known := s.model.partAt[tank]
	if !known {
		return 0, false
	}
	t, isTank := s.model.parts[i].(network.Tank)
	if !isTank {
		return 0, false
	}
	v, ok := s.Water(tank)
	return unit.Length(float64(v) / float64(t.Capacity) * float64(t.Height)), ok
}

// sample reads the workspace.
func (m *Model) sample(low *lowered, w *kernel.Work) Sample {
	s := Sample{At: w.T(), model: m, low: low,
		p: make([]float64, len(m.joints)), x: make([]float64, len(low.sys.Nodes)), q: make([]float64, len(low.sys.Paths)),
		gain: append([]float64(nil), w.Gains()...), vol: append([]float64(nil), w.Volumes()...), mode: append([]uint8(nil), w.States()...),
	}
	w.Heads(s.x)
	for i := range m.joints {
		s.p[i] = s.x[i] - low.sys.Nodes[i].GZ
		if !w.Defined(int32(i)) {
			s.p[i] = math.NaN()
		}
	}
	for i := range s.q {
		s.q[i] = w.PathFlow(int32(i))
	}
	return s
}
