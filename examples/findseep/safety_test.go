package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/examples/internal/ask"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim/diagnose"
	"quietpump/sim/diagnose/jobcard"
	"quietpump/sim/report"
)

var every = flag.Bool("every", false, "hold the advice for every valve that could have been found turned against the refusals, not for each third")

// What programs read proposes no lineup that may never be set, on any rig of the
// house, however its valves were found; and it carries the cautions.
func TestJSONProposesNothingRefused(t *testing.T) {
	tests, refused := 0, 0
	for _, name := range []string{"twopath", "bypass", "twopumps", "noaccumulator", "nosuction"} {
		rig, err := rigfile.Read("../../testdata/rigs/" + name + ".rig.toml")
		require.NoError(t, err)
		found := []network.Lineup{nil}
		for _, p := range rig.Parts() {
			switch p := p.(type) {
			case network.Shutoff:
				found = append(found, network.Lineup{p.Name: network.Shut()}, network.Lineup{p.Name: network.Open(1)})
			case network.Hookup:
				found = append(found, network.Lineup{p.Name: network.On()})
			}
		}
		for i, l := range found {
			if i%3 > 0 && !*every {
				continue
			}
			c := diagnose.Case{Rig: rig, Readings: []diagnose.Reading{{Lineup: l, Rest: []diagnose.Time{{Value: 90 * time.Second}}, Run: []diagnose.Time{{Value: 3 * time.Second}}}}}
			path := filepath.Join(t.TempDir(), fmt.Sprintf("%s-%d.card.toml", name, i))
			require.NoError(t, jobcard.Write(path, &jobcard.Card{Case: c}))
			var out, problem strings.Builder
			if run([]string{"-card", path, "-json"}, os.Stdin, &out, &problem) != ask.Done {
				assert.NotEmpty(t, problem.String())
				assert.Empty(t, out.String(), "a card that cannot be judged proposes nothing")
				continue
			}
			var m machine
			require.NoError(t, json.Unmarshal([]byte(out.String()), &m))
			assert.Equal(t, words(report.Cautions()), m.Cautions)
			refused += len(m.Refused)
			if m.Next == nil {
				continue
			}
			for _, step := range append([]machineStep{*m.Next}, m.Next.OrElse...) {
				if step.Do != string(diagnose.DoTest) {
					continue
				}
				tests++
				set, err := rig.Lineup(step.Lineup)
				require.NoError(t, err)
				assert.Empty(t, c.Refuse(set), "%s, found with %s: %s", name, l, step.What)
				assert.NotEmpty(t, step.Cautions, step.What)
				for _, r := range m.Refused {
					if r.Rule == string(diagnose.SwitchScrew) {
						continue // of no lineup
					}
					assert.NotEqual(t, r.Lineup, step.Lineup, "%s: refused as %q", step.What, r.Rule)
				}
			}
			if m.Worksheet != nil {
				set, err := rig.Lineup(m.Worksheet.Lineup)
				require.NoError(t, err)
				for part, to := range set {
					if p, _ := rig.Part(part); p.Kind() == "pump" || p.Kind() == "hookup" {
						assert.NotEqual(t, network.On(), to, part)
					}
				}
			}
		}
	}
	assert.Greater(t, tests, 10)
	assert.Positive(t, refused)
}
