package sim

import (
	"errors"
	"sync"

	"quietpump/network"
	"quietpump/sim/internal/kernel"
)

// A Model is a rig made ready to be computed, once. It may be used by many
// goroutines at a time; each simulation has a workspace of its own.
type Model struct {
	rig       *network.Rig
	parts     []network.Part
	partAt    map[string]int32
	joints    []network.Joint
	jointAt   map[string]int32
	drawsFrom map[string]string // tank of each pump that draws from one
	regions   *regions

	mu      sync.Mutex
	tables  map[float64]*kernel.Table
	last    asked    // what a run last began with …
	lastLow *lowered // … and how it was lowered
}

// works are workspaces at rest, of any model: one that is drawn and simulated once, as in
// a study of a thousand rigs, brings none of its own.
var works = sync.Pool{New: func() any { return kernel.NewWork() }}

// Compile makes a rig ready. A rig from [network.New] always compiles.
func Compile(rig *network.Rig) (*Model, error) {
	if rig == nil {
		return nil, errors.New("sim: no rig to compile")
	}
	m := &Model{
		rig: rig, parts: rig.Parts(), joints: rig.Joints(),
		partAt: map[string]int32{}, jointAt: map[string]int32{},
		tables: map[float64]*kernel.Table{},
	}
	for i, p := range m.parts {
		m.partAt[p.ID()] = int32(i)
	}
	for i, j := range m.joints {
		m.jointAt[j.Name] = int32(i)
	}
	m.regions = newRegions(m)
	m.drawsFrom = m.suctions()
	return m, nil
}

// Rig returns the rig of the model.
func (m *Model) Rig() *network.Rig { return m.rig }

// table returns the friction table of a relative roughness, made once.
func (m *Model) table(rough float64) *kernel.Table {
	m.mu.Lock()
	defer m.mu.Unlock()
	t := m.tables[rough]
	if t == nil {
		t = kernel.NewTable(rough)
		m.tables[rough] = t
	}
	return t
}

// suctions finds, for each pump, the tank whose outlet its suction leads to.
func (m *Model) suctions() map[string]string {
	outlet := map[int32]string{}
	next := make([][]int32, len(m.joints))
	for _, p := range m.parts {
		switch p.(type) {
		case network.Tank:
			if j := p.Joints(); len(j) > 0 {
				outlet[m.jointAt[j[0]]] = p.ID()
			}
		case network.Tube, network.Strainer, network.Filter, network.Shutoff, network.Selector:
			j := p.Joints()
			for _, a := range j {
				for _, b := range j {
					if a != b {
						next[m.jointAt[a]] = append(next[m.jointAt[a]], m.jointAt[b])
					}
				}
			}
		}
	}
	out := map[string]string{}
	for _, p := range m.parts {
		pump, ok := p.(network.Pump)
		if !ok {
			continue
		}
		seen := map[int32]bool{m.jointAt[pump.From]: true, m.jointAt[pump.To]: true}
		queue := []int32{m.jointAt[pump.From]}
		for len(queue) > 0 {
			j := queue[0]
			queue = queue[1:]
			if t, found := outlet[j]; found {
				out[pump.Name] = t
				break
			}
			for _, k := range next[j] {
				if !seen[k] {
					seen[k] = true
					queue = append(queue, k)
				}
			}
		}
	}
	return out
}
