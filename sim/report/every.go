package report

import (
	"math"
	"time"

	"quietpump/sim/diagnose"
	"quietpump/sim/repair"
)

// seenEvery is the time from start to start as it was seen with the valves as the
// rig is used, 95 %; zero where no two starts were.
func seenEvery(c diagnose.Case) repair.Range[time.Duration] {
	var seen, weights []float64
	see := func(t, sd float64) {
		seen, weights = append(seen, t), append(weights, 1/(sd*sd))
	}
	spread := func(t diagnose.Time) float64 {
		if t.SD > 0 {
			return t.SD.Seconds()
		}
		return math.Sqrt2 * diagnose.Press
	}
	used := asUsed(c)
	for _, r := range c.Readings {
		if r.Lineup.String() != used.String() {
			continue
		}
		for i, t := range r.Rest { // a rest and the run after it
			if i < len(r.Run) {
				see((t.Value + r.Run[i].Value).Seconds(), math.Hypot(spread(t), spread(r.Run[i])))
			}
		}
		for _, t := range r.Every {
			see(t.Value.Seconds(), spread(t))
		}
		for _, n := range r.Count { // somewhere between two starts it began and ended
			if n.Starts > 0 {
				every := n.Within.Seconds() / float64(n.Starts)
				see(every, every/float64(n.Starts)/math.Sqrt(6))
			}
		}
	}
	if len(seen) == 0 {
		return repair.Range[time.Duration]{}
	}
	mean, sum, plain := 0.0, 0.0, 0.0
	for i, w := range weights {
		mean, sum, plain = mean+w*seen[i], sum+w, plain+seen[i]/float64(len(seen))
	}
	mean /= sum
	half := 1.96 / math.Sqrt(sum)
	if len(seen) > 1 { // the pump itself is not a clock
		squares := 0.0
		for _, x := range seen {
			squares += (x - plain) * (x - plain)
		}
		n := float64(len(seen))
		half = max(half, 1.96*math.Sqrt(squares/(n-1)/n))
	}
	s := func(x float64) time.Duration { return time.Duration(max(x, 0.1) * float64(time.Second)) }
	return repair.Range[time.Duration]{Low: s(mean - half), Mid: s(mean), High: s(mean + half)}
}
