package diagnose

import (
	"fmt"
	"math"
	"slices"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// levels are what a tank gained between the first and the last level read.
func levels(i, v int, r Reading, rig *network.Rig, area func(string) float64) []evidence {
	var list []evidence
	names := map[string]bool{}
	for _, l := range r.Level {
		if names[l.Tank] {
			continue
		}
		names[l.Tank] = true
		var rule, lamp []Level
		for _, o := range r.Level {
			if o.Tank != l.Tank {
				continue
			}
			switch {
			case o.By == ByRule:
				rule = append(rule, o)
			case o.By == ByLamp:
				lamp = append(lamp, o)
			case o.By == BySpill && o.Spilt.Value > 0:
				list = append(list, gain(i, v, "spilt "+unit.US.Format(o.Spilt.Value, 2), float64(o.Spilt.Value), math.Hypot(o.Spilt.SD, cupSD*float64(o.Spilt.Value)), o.At))
			case o.By == BySpill && o.Spilling != Unsaid:
				yes := o.Spilling == Yes
				list = append(list, evidence{reading: i, view: v, what: "tank spilling: " + string(o.Spilling), likely: func(w *world, t *theory, c *unitCycle, f *forecast) float64 {
					p := 0.01
					if c.tank > 0 {
						p = 0.9
					}
					if !yes {
						return 1 - p*0.3 // it need not be full yet
					}
					return blend(p, 0.1)
				}})
			}
		}
		byTime := func(a, b Level) int { return int(a.At - b.At) }
		slices.SortStableFunc(rule, byTime)
		slices.SortStableFunc(lamp, byTime)
		a := area(l.Tank)
		if n := len(rule); n >= 2 && a > 0 {
			sd := math.Sqrt2 * float64(levelSD)
			if rule[0].Height.SD > 0 {
				sd = math.Hypot(rule[0].Height.SD, rule[n-1].Height.SD)
			}
			d := float64(rule[n-1].Height.Value - rule[0].Height.Value)
			list = append(list, gain(i, v, fmt.Sprintf("tank level by %.1f mm in %s", d*1e3, short((rule[n-1].At-rule[0].At).Seconds())), d*a, sd*a, rule[n-1].At-rule[0].At))
		}
		if n := len(lamp); n >= 2 && a > 0 {
			if p, ok := rig.Part(l.Tank); ok {
				if tank, ok := p.(network.Tank); ok {
					// A lamp is a level within a third of the tank.
					d := (lamp[n-1].Lamp - lamp[0].Lamp) * float64(tank.Capacity)
					list = append(list, gain(i, v, "tank lamps", d, float64(tank.Capacity)/3/math.Sqrt(6)*math.Sqrt2, lamp[n-1].At-lamp[0].At))
				}
			}
		}
	}
	return list
}

// loses says whether a theory takes water out of the tank: on the pump all that
// does not come back to it.
func (t *theory) loses(c *unitCycle) bool {
	return c.starts && !slices.Contains(t.ends, network.ToFreshTank) && len(t.ends) > 0
}

// gain is the water that a tank gained in a time.
func gain(i, v int, what string, d, sd float64, over time.Duration) evidence {
	T := over.Seconds()
	return evidence{
		reading: i, view: v, what: what,
		likely: func(_ *world, t *theory, c *unitCycle, f *forecast) float64 {
			rate := 0.0
			switch {
			case c.tank > 0: // on the hose
				rate = f.flow * c.tank / c.held
			case t.loses(c):
				rate = -f.flow
			}
			wide := 1 / (20 * max(sd, math.Abs(d)/3))
			return blend(density(d, rate*T, math.Hypot(sd, 0.05*rate*T)), wide)
		},
		size: func(_ *world, c *unitCycle) (float64, float64) {
			if T <= 0 || math.Abs(d) < 2*sd {
				return 0, 0
			}
			if c.tank > 0 {
				return math.Abs(d) / T / c.tank, max(sd/math.Abs(d), 0.05)
			}
			if c.starts {
				return math.Abs(d) / T * c.perSize / c.drawdown, max(sd/math.Abs(d), 0.05)
			}
			return 0, 0
		},
	}
}
