package sim

import (
	"fmt"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/internal/kernel"
)

// A Still is the steady answer: storage takes no flow, tanks hold their levels.
// Its embedded Sample has the pressures and flows; a pressure that nothing
// decides is not there.
type Still struct {
	Sample
	// Running says of each pump whether it was held running.
	Running map[string]bool
	// Cycles is set where a pump's switch would flip: there is no steady answer
	// but a cycle around this one.
	Cycles bool
	// CutOff lists the joints of sections that no tank, no hookup and no open end
	// reaches: they keep the pressure they started with.
	CutOff   []string
	Warnings []Warning
	Effort   Effort
}

// Steady returns the steady answer under a lineup with its faults. Pumps run as
// Options.Start says, else as their switch decides once from the start pressures.
func (m *Model) Steady(lineup network.Lineup, faults network.Faults, opts Options) (*Still, error) {
	if err := m.checkOptions(lineup, faults, &opts); err != nil {
		return nil, err
	}
	low := m.lower(lineup, faults, &opts, nil, nil)
	still := &Still{Running: map[string]bool{}}
	for _, p := range low.pumps {
		pump := m.parts[p.part].(network.Pump)
		d := &low.sys.Devices[p.device]
		run, told := opts.Start.Pumps[pump.Name]
		if !told {
			at := m.jointAt[pump.Sense]
			p := low.sys.Nodes[at].Start - low.sys.Nodes[at].GZ
			on := pump.CutIn
			if pump.Hold != nil {
				on = pump.Hold.Start
			}
			run = p <= float64(on)
		}
		if lineup.Of(pump).Word() != "on" {
			run = false
		}
		if run {
			d.Start = 3*pumpRuns + sideOpen
		}
		still.Running[pump.Name] = run
	}
	for i := range low.sys.Stores {
		low.sys.Stores[i].Pour = kernel.Pour{} // levels are held, so a pump at a dry outlet passes nothing on
	}
	w := works.Get().(*kernel.Work)
	defer works.Put(w)
	tol := kernel.Default
	if opts.Tolerance == Fine {
		tol = kernel.Fine
	}
	w.Begin(low.sys, tol, 0, low.heads)
	if err := w.Steady(); err != nil {
		return nil, fmt.Errorf("sim: rig %q: steady: %w", m.rig.Name(), err)
	}
	still.Sample = m.sample(low, w)
	for i, held := range w.Held() {
		if i < len(m.joints) && !held {
			still.CutOff = append(still.CutOff, m.joints[i].Name)
		}
	}
	for _, p := range low.pumps {
		still.Cycles = still.Cycles || w.Pending(p.device)
	}
	e := w.Effort
	still.Effort = Effort{e.Steps, e.Refused, e.Glides, 0, e.Newton, e.Restarts, e.Factorisations, e.Events, e.Plans}
	return still, nil
}

// Pressures lists every joint's pressure, in order of joint, with whether
// anything decides it.
func (s *Sample) Pressures(each func(joint string, p unit.Pressure, ok bool)) {
	for _, j := range s.model.joints {
		p, ok := s.Pressure(j.Name)
		each(j.Name, p, ok)
	}
}
