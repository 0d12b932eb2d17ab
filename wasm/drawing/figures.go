package drawing

import (
	"math"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/chart"
)

// numbers writes the figures into the room kept for them, and the names that water
// would run over.
func (m *mover) numbers() {
	for i := range m.pic.words.names {
		if n := &m.pic.words.names[i]; n.over {
			m.d.Add(n.text)
		}
	}
	if m.v.Sample == nil {
		return
	}
	for i := range m.pic.words.numbers {
		s := &m.pic.words.numbers[i]
		if s.free {
			continue
		}
		text, ink := "", chart.Body
		switch s.what {
		case pressureOf:
			pump := m.p.g.parts[m.p.g.nodes[m.p.gauge].part].(network.Pump)
			if p, ok := m.v.Sample.Pressure(pump.Sense); ok {
				text = m.told(p, s.wide)
			}
		case waterOf:
			if w, ok := m.v.Sample.Water(m.p.g.parts[s.of].ID()); ok {
				text = m.told(w, s.wide)
			}
		case flowOf:
			if q, ok := m.v.Sample.Flow(m.p.g.parts[s.of].ID()); ok {
				text = m.told(q, s.wide)
			}
		case seepOf:
			seep, ok := m.v.Faults[s.of].(network.Seep)
			if !ok {
				continue
			}
			ink = chart.Seep
			q := math.Abs(m.seeping(seep))
			switch x := m.p.motion.times; {
			case m.drift(q) == 0:
			case m.l.Calm:
				text = m.told(unit.Flow(q), s.wide)
			case x > 1 && honest(q) < slowest:
				text = times(x)
			}
		}
		if text != "" {
			m.d.Add(chart.Label{At: s.at, Text: text, Ink: ink, Size: m.pic.text, Side: s.side, Bold: true, Halo: true})
		}
	}
}

// told is a quantity in as many digits as there is room for, two at most; empty
// where there is none.
func (m *mover) told(q unit.Any, wide float64) string {
	for digits := 2; digits > 0; digits-- {
		if text := m.l.Units.Format(q, digits); chart.Wide(text, m.pic.text, true) <= wide {
			return text
		}
	}
	return ""
}
