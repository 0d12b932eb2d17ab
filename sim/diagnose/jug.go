package diagnose

import (
	"fmt"
	"math"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// jug is the time to fill a vessel at a full tap: it measures the pump.
func (s *Session) jug(i, v int, j Jug) evidence {
	read := j.Time.Value.Seconds()
	sd := j.Time.SD.Seconds()
	if sd == 0 {
		sd = math.Sqrt2 * Press
	}
	sd = math.Hypot(sd, cupSD*read)
	flow := math.NaN()
	if lineup, ok := s.tapOpen(j.Tap, s.lineups[v]); ok {
		pumps := map[string]bool{}
		if p, err := cyclingPump(s.c.Rig, lineup); err == nil {
			pumps[p.Name] = true
		}
		o := s.opts.Sim
		o.Start.Pumps = pumps
		if still, err := s.rigs[0].model.Steady(lineup, nil, o); err == nil {
			for name := range pumps {
				if q, ok := still.Flow(name); ok {
					flow = float64(q)
				}
			}
		}
	}
	pump, _ := cyclingPump(s.c.Rig, s.base)
	return evidence{reading: i, view: v, what: fmt.Sprintf("%s in %s at a full tap", unit.US.Format(j.Volume, 2), short(read)),
		likely: func(w *world, t *theory, c *unitCycle, f *forecast) float64 {
			if !(flow > 0) {
				return 1
			}
			scale := 1.0
			if x, ok := w.pumps[pump.Name]; ok {
				scale = x.scale
			}
			if t.twist.slow {
				scale *= 0.3 + 0.4*w.severity
			}
			return blend(density(read, float64(j.Volume)/(flow*scale), sd), wideOf(read, sd))
		}}
}

// tapOpen is a lineup with a tap open.
func (s *Session) tapOpen(tap string, l network.Lineup) (network.Lineup, bool) {
	out := network.Lineup{}
	for k, x := range l {
		out[k] = x
	}
	for _, p := range s.c.Rig.Parts() {
		if p.Kind() == "fixture" && (tap == "" || p.ID() == tap) {
			out[p.ID()] = network.Open(1)
			return out, true
		}
	}
	return nil, false
}
