package sim_test

import (
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/sim"
)

// At Fine every event of every SciPy record is met within 10 microseconds, or what
// the record's own second solutions differ by where that is more.
func TestFineAgainstReferenceRecords(t *testing.T) {
	files, err := filepath.Glob("../testdata/reference/*.record.json")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".record.json"), func(t *testing.T) {
			var want struct {
				Events []sim.Event `json:"events"`
				Spread []struct {
					Event float64 `json:"event_s"`
				} `json:"spread"`
			}
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			require.NoError(t, json.Unmarshal(text, &want))
			var sc scenario
			text, err = os.ReadFile(strings.TrimSuffix(file, ".record.json") + ".scenario.toml")
			require.NoError(t, err)
			require.NoError(t, toml.Unmarshal(text, &sc))
			m, lineup, faults, opts := sc.model(t)
			opts.Tolerance = sim.Fine
			rec, err := m.Simulate(context.Background(), lineup, faults, opts)
			require.NoError(t, err)
			bar := 10e-6
			for _, s := range want.Spread {
				bar = math.Max(bar, s.Event)
			}
			worst, n := 0.0, 0
			got := rec.Events
			for _, w := range want.Events {
				if w.What == sim.Scheduled { // an input
					continue
				}
				for len(got) > 0 && got[0].What == sim.Scheduled {
					got = got[1:]
				}
				require.NotEmpty(t, got, "%v has no counterpart", w)
				assert.Equal(t, w.What, got[0].What)
				assert.Equal(t, w.Part, got[0].Part)
				worst = math.Max(worst, math.Abs(got[0].At-w.At))
				got = got[1:]
				n++
			}
			assert.LessOrEqual(t, worst, bar)
			t.Logf("%d events, worst %.2g s of %.2g s; %d steps", n, worst, bar, rec.Effort.Steps)
		})
	}
}
