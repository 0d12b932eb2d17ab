package diagnose

import (
	"fmt"
	"math"
	"slices"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// cyclingPump is the pump that starts first as pressure falls: of those with
// power the one with the highest cut-in.
func cyclingPump(rig *network.Rig, lineup network.Lineup) (network.Pump, error) {
	var found, powered *network.Pump
	for _, p := range rig.Parts() {
		if p, ok := p.(network.Pump); ok {
			in, _ := band(p)
			if found == nil {
				found = &p
			}
			if lineup.Of(p) == network.On() {
				if powered == nil {
					powered = &p
				} else if other, _ := band(*powered); in > other {
					powered = &p
				}
			}
		}
	}
	switch {
	case found == nil:
		return network.Pump{}, fmt.Errorf("rig %q has no pump that starts by itself, so nothing can be told from its starts; add a [[pump]]", rig.Name())
	case powered == nil:
		return network.Pump{}, fmt.Errorf("pump %q has no power as the valves stand, so it could not start; say %s=on in the lineup", found.Name, found.Name)
	}
	return *powered, nil
}

// band is the pressures between which a pump keeps its line.
func band(p network.Pump) (in, out unit.Pressure) {
	if p.Hold != nil {
		return p.Hold.Start, p.Hold.Set
	}
	return p.CutIn, p.CutOut
}

// weepAt is a seep out of the pressurised section at a joint, to stand for any.
func weepAt(rig *network.Rig, lineup network.Lineup, joint string) network.Seep {
	list := rig.Suspects(lineup)
	best := network.Seep{Part: joint}
	for i, s := range list {
		if s.Role == network.WeepConnections && (i == 0 || slices.Contains(s.At, joint)) {
			best = s.Seep
		}
	}
	return best
}

func short(seconds float64) string {
	return time.Duration(math.Round(seconds*10) / 10 * float64(time.Second)).String()
}

func seepKey(s network.Seep) string { return s.Part + "\x00" + s.Pair[0] + "\x00" + s.Pair[1] }
