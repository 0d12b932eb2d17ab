package report

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"quietpump/network"
	"quietpump/sim/diagnose"
	"quietpump/sim/repair"
)

// Starts a day are those that were seen, and of the valves as they were when the
// pump was first watched.
func TestSeenEvery(t *testing.T) {
	times := func(s ...float64) (out []diagnose.Time) {
		for _, s := range s {
			out = append(out, diagnose.Time{Value: time.Duration(s * float64(time.Second))})
		}
		return out
	}
	shut := network.Lineup{"fill valve": network.Shut()}
	for _, c := range []struct {
		name           string
		readings       []diagnose.Reading
		mid, low, high float64
	}{
		{"nothing", nil, 0, 0, 0},
		{"a rest without a run", []diagnose.Reading{{Rest: times(95)}}, 0, 0, 0},
		{"one cycle: four presses of 0.3 s", []diagnose.Reading{{Rest: times(95), Run: times(5)}}, 100, 100 - 1.96*0.6, 100 + 1.96*0.6},
		{"cycles that differ", []diagnose.Reading{{Every: times(90, 100, 110)}}, 100, 100 - 1.96*10/1.7320508, 100 + 1.96*10/1.7320508},
		{"another lineup", []diagnose.Reading{{Every: times(100)}, {Lineup: shut, Every: times(900)}}, 100, 100 - 1.96*0.42426, 100 + 1.96*0.42426},
		{"a night", []diagnose.Reading{{Count: []diagnose.Count{{Starts: 6, Within: 9 * time.Hour}}}}, 5400, 5400 * (1 - 1.96/6*0.40825), 5400 * (1 + 1.96/6*0.40825)},
	} {
		got := seenEvery(diagnose.Case{Readings: c.readings})
		want := repair.Range[time.Duration]{}
		if c.mid > 0 {
			assert.InDelta(t, c.mid, got.Mid.Seconds(), 1e-3, c.name)
			assert.InDelta(t, c.low, got.Low.Seconds(), 1e-3*c.mid, c.name)
			assert.InDelta(t, c.high, got.High.Seconds(), 1e-3*c.mid, c.name)
			continue
		}
		assert.Equal(t, want, got, c.name)
	}
}
