package diagnose

import (
	"math"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// Drawdown without a gas store: from 2 L of full tube to what one trailer gave,
// 26-fold (owner page: 59 mL; 2.3 mL computed from the wall of 2 L of PEX tube).
const (
	leastDrawdown = 2.3 * unit.Millilitre
	mostDrawdown  = 59 * unit.Millilitre
)

// A hiddenAir is the air that may be trapped at a joint where nothing tells of a
// gas store: enough that the drawdown lies within what vehicles have. The zero
// hiddenAir is none.
type hiddenAir struct {
	joint   string
	tight   unit.Volume // what the rig gives up without it, between cut-out and cut-in
	mid, sd float64     // of the drawdown's logarithm
	perAir  float64     // drawdown of a volume of air, Boyle
}

func hiddenAirAt(joint string, tight unit.Volume, in, out unit.Pressure) hiddenAir {
	const air = float64(unit.Atmosphere)
	low := math.Max(float64(tight), float64(leastDrawdown))
	high := math.Max(float64(mostDrawdown), 2*low)
	return hiddenAir{
		joint: joint, tight: tight, mid: math.Log(low*high) / 2, sd: math.Log(high/low) / 4,
		perAir: air/(float64(in)+air) - air/(float64(out)+air),
	}
}

// volume is the air that a standard normal score stands for.
func (a hiddenAir) volume(z float64) unit.Volume {
	if more := math.Exp(a.mid+z*a.sd) - float64(a.tight); a.joint != "" && more > 0 && a.perAir > 0 {
		return unit.Volume(more / a.perAir)
	}
	return 0
}

// storesGas reports whether a store with gas in it stands open to a pump that
// could be the one that starts.
func storesGas(rig *network.Rig, lineup network.Lineup) bool {
	for _, s := range rig.Sections(lineup) {
		if len(s.Pumps) == 0 {
			continue
		}
		for _, name := range s.Gas {
			if p, _ := rig.Part(name); p != nil && p.Kind() != "filter" {
				return true
			}
		}
	}
	return false
}
