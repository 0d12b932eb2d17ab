package repair_test

import (
	"context"
	"encoding/csv"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/repair"
)

func sheet(tb testing.TB, j repair.Job) *repair.Worksheet {
	tb.Helper()
	w, err := j.Worksheet(context.Background())
	require.NoError(tb, err)
	return w
}

var allRigs = []string{"twopath", "camper", "noaccumulator", "bypass", "nosuction", "twopumps", "bench30"}

// Every suspect of every rig has a sheet that carries the cautions beside the
// steps they belong to, and its facts with sources that are in the published tables.
func TestWorksheets(t *testing.T) {
	sources := published(t)
	for _, name := range allRigs {
		rig := read(t, name)
		model := compile(t, rig)
		kinds := map[string]bool{}
		for _, p := range rig.Parts() {
			kinds[p.Kind()] = true
		}
		for _, s := range rig.Suspects(nil) {
			seep := s.Seep
			seep.Seep = seepAt("", 30*unit.MillilitrePerMinute, 1).Seep
			j := repair.Job{Model: model, Seep: seep}
			w := sheet(t, j)
			what := name + ", " + s.Name
			beside := func(step string, c repair.Caution) {
				i := slices.IndexFunc(w.Steps, func(s repair.Step) bool { return strings.Contains(s.Words, step) })
				if assert.GreaterOrEqual(t, i, 0, "%s: no step %q", what, step) {
					assert.Contains(t, w.Steps[i].Cautions, c, "%s, %s", what, step)
				}
			}
			assert.Contains(t, w.Steps[0].Cautions, repair.PullFuse, what)
			if kinds["heater"] {
				beside("Heater off, and wait", repair.HeaterOff)
				beside("Fill the heater", repair.HeaterOn)
			}
			if kinds["tank"] {
				beside("Sanitise", repair.Chlorine)
			}
			if s.Role == network.WornRelief {
				beside("Heater off, and wait", repair.NeverPlug)
			}
			beside("put the fuse in", repair.NotUnder)
			beside("Keep the old part", repair.LastWord)
			potable := 0
			for _, step := range w.Steps {
				if slices.Contains(step.Cautions, repair.PotableOnly) {
					potable++
				}
			}
			assert.Equal(t, 1, potable, "%s: said once, where the first connection is made", what)

			rings, last := 0, 0
			for _, c := range w.Connections {
				rings += c.Rings
				assert.LessOrEqual(t, c.Bench, c.Rings, what)
				if c.Last {
					last++
				}
			}
			assert.Equal(t, rings, w.Rings, what)
			assert.Equal(t, rings > 0, last == 1, what)
			for _, o := range w.Openings {
				assert.GreaterOrEqual(t, o.Water, unit.Volume(0), what)
			}
			notes := w.Notes
			list, err := j.Cures()
			require.NoError(t, err, what)
			for _, c := range list {
				notes = append(notes, c.Notes...)
			}
			waiting := wait(t, j)
			for _, n := range append(notes, waiting.Notes...) {
				switch n.Status {
				case repair.CommonPractice:
					assert.Equal(t, "common practice, no source", n.Source, n.Words)
				case repair.Published, repair.FromMemory:
					assert.Contains(t, sources[n.Status], n.Source, "%s: no published row has this source", n.Words)
				default:
					assert.Equal(t, repair.Computed, n.Status)
				}
			}
		}
	}
}

// published has the sources of the tables that notes are taken from, by status.
func published(t *testing.T) map[repair.Status][]string {
	sources := map[repair.Status][]string{}
	for _, name := range []string{"service", "pump_and_switch"} {
		f, err := os.Open("../../testdata/published/" + name + ".csv")
		require.NoError(t, err)
		lines, err := csv.NewReader(f).ReadAll()
		f.Close()
		require.NoError(t, err)
		for _, l := range lines[1:] {
			status := repair.Status(l[len(l)-1])
			sources[status] = append(sources[status], l[len(l)-2])
		}
	}
	return sources
}

// What comes out of the tap as the pressure goes is what the accumulator holds at cut-out: V0 − V0·P0/P.
func TestRelieveClosedForm(t *testing.T) {
	rig := trailer.rig(t, network.Fixture{Name: "tap", At: "line"}, network.Check{Name: "check", From: "line", To: "beyond"}, network.Fixture{Name: "far tap", At: "beyond"}, network.Joint{Name: "beyond"})
	w := sheet(t, repair.Job{Model: compile(t, rig), Seep: seepAt("pump", 15*unit.MillilitrePerMinute, 1)})
	require.Len(t, w.Relieve, 1)
	holds := trailer.V0 * (1 - (trailer.p0+air)/(trailer.cutOut+air))
	assert.InEpsilon(t, holds, float64(w.Relieve[0].Water), 1e-3)
}

// After the taps are opened next to nothing is left at the part, by a steady answer that knows nothing of the sheet's.
func TestRelieveLeavesNothing(t *testing.T) {
	for _, name := range allRigs {
		rig := read(t, name)
		model := compile(t, rig)
		for _, s := range rig.Suspects(nil) {
			seep := s.Seep
			seep.Seep = seepAt("", 30*unit.MillilitrePerMinute, 1).Seep
			w := sheet(t, repair.Job{Model: model, Seep: seep})
			if len(w.Relieve) == 0 {
				continue
			}
			lineup := network.Lineup{}
			for _, p := range rig.Parts() {
				if k := p.Kind(); k == "pump" || k == "hookup" {
					lineup[p.ID()] = network.Off()
				}
			}
			for _, r := range w.Relieve {
				lineup[r.Open] = network.Open(1)
			}
			rec, err := model.Simulate(context.Background(), lineup, nil, sim.Options{Until: 5 * time.Minute, Samples: []time.Duration{5 * time.Minute}})
			require.NoError(t, err)
			part, _ := rig.Part(w.Part)
			for _, joint := range part.Joints() {
				if p, ok := rec.Samples[0].Pressure(joint); ok {
					assert.Less(t, p, 3*unit.PSI, "%s, %s at %s", name, s.Name, joint)
				}
			}
		}
	}
}

// Sources before valves, the hot tap first; the last ring goes where the reach is least.
func TestWorksheetOrder(t *testing.T) {
	j := job(t, "twopath", "fill valve", 30*unit.MillilitrePerMinute)
	w := sheet(t, j)
	assert.Equal(t, "hookup", w.Closing[0])
	assert.Equal(t, "suction shutoff", w.Closing[len(w.Closing)-1])
	assert.True(t, w.Relieve[0].Hot)
	assert.False(t, w.Parted, "nothing stands between it and the tank's top")
	assert.True(t, slices.ContainsFunc(w.Steps, func(s repair.Step) bool { return strings.Contains(s.Words, "Draw the tank down first") }))
	fill := slices.IndexFunc(w.Steps, func(s repair.Step) bool { return strings.Contains(s.Words, "must not run dry") })
	require.GreaterOrEqual(t, fill, 0)
	assert.Less(t, strings.Index(w.Steps[fill].Words, "Fill the tank"), strings.Index(w.Steps[fill].Words, "put the fuse in"))
	at := func() string {
		i := slices.IndexFunc(w.Connections, func(c repair.Connection) bool { return c.Last })
		return w.Connections[i].Joint
	}
	j.Reach = map[string]time.Duration{"fill tee": 20 * time.Minute, "fill line": time.Minute}
	w = sheet(t, j)
	assert.Equal(t, "fill line", at())
	j.Reach = map[string]time.Duration{"bay line": time.Minute, "fill tube": 20 * time.Minute}
	w = sheet(t, j)
	assert.Equal(t, "fill tee", at())
}

// A tube with slack of 1/8 in a foot gives the inch that a new ring takes from 8 ft on (slack: testdata/published/service.csv,
// "length change"); a shorter one gets a piece and a coupling, a very short one is cut new.
func TestConnectionsByTube(t *testing.T) {
	for _, tt := range []struct {
		length unit.Length
		rings  int
		bench  int
		cut    unit.Length // new tube
	}{
		{10 * unit.Foot, 1, 0, 0}, {8 * unit.Foot, 1, 0, 0}, {7.9 * unit.Foot, 3, 2, 5.875 * unit.Inch}, {1 * unit.Foot, 2, 1, 1 * unit.Foot},
	} {
		rig := trailer.rig(t, network.Tube{Name: "tube", From: "line", To: "end", Length: tt.length}, network.Fixture{Name: "tap", At: "end"})
		w := sheet(t, repair.Job{Model: compile(t, rig), Seep: seepAt("tap", 15*unit.MillilitrePerMinute, 1)})
		require.Len(t, w.Connections, 1)
		assert.Equal(t, tt.rings, w.Rings, tt.length)
		assert.Equal(t, tt.bench, w.Connections[0].Bench, tt.length)
		assert.Equal(t, "1/2 in", w.Connections[0].Size)
		if tt.cut == 0 {
			assert.Empty(t, w.Tube, tt.length)
		} else {
			require.Len(t, w.Tube, 1)
			assert.InDelta(t, float64(tt.cut), float64(w.Tube[0].Length), 1e-9)
		}
	}
}

// A weeping connection has a tube at it taken out; a tank has no sheet.
func TestWorksheetOfAConnection(t *testing.T) {
	w := sheet(t, job(t, "twopath", "cold trunk", 30*unit.MillilitrePerMinute))
	assert.NotEqual(t, "cold trunk", w.Part)
	assert.Equal(t, 2, w.Rings, "both ends of it")
}

func TestTape(t *testing.T) {
	for _, c := range []struct {
		in   float64 // inches
		want string
	}{{5.866, "5 7/8 in"}, {6, "6 in"}, {6.0624, "6 in"}, {6.0626, "6 1/8 in"}, {0.5, "1/2 in"}, {0.26, "1/4 in"}, {11.99, "12 in"}, {40.75, "40 3/4 in"}, {48, "4 ft"}} {
		assert.Equal(t, c.want, repair.Tape(unit.US, unit.Length(c.in)*unit.Inch))
	}
	assert.Equal(t, "149 mm", repair.Tape(unit.Metric, 5.866*unit.Inch))
}
