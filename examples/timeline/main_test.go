package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/examples/internal/ask"
	"quietpump/examples/internal/golden"
	"quietpump/sim"
)

const rigs = "../../testdata/rigs/"

// timeline runs the command.
func timeline(stdin string, args ...string) (exit int, stdout, stderr string) {
	var out, err bytes.Buffer
	exit = run(args, strings.NewReader(stdin), &out, &err)
	return exit, out.String(), err.String()
}

// What it prints for people, whole. The physics is checked in package sim; these hold the wording and the layout.
func TestGolden(t *testing.T) {
	tests := []struct {
		name string
		args []string
	}{
		{"default", nil},
		{"metric", []string{"-units", "metric", "-until", "20 min"}},
		{"hookup", []string{"-lineup", "hookup=on", "-until", "10m"}},
		{"twofaults", []string{"-until", "10m", "-fault", "pump: cut-in 25 psi, cut-out 40 psi", "-fault", "toilet valve: 20 mL/min at 45 psi"}},
		{"tight", []string{"-rig", rigs + "twopath.rig.toml", "-until", "30m"}},
		{"runson", []string{"-rig", rigs + "noaccumulator.rig.toml", "-until", "10m", "-lineup", "cold tap=5 %", "-fault", "pump: cut-out 58 psi"}},
		{"at", []string{"-until", "10m", "-at", "60s, 5 min", "-at", "0:30"}},
		{"help", []string{"-h"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			exit, out, errs := timeline("", tt.args...)
			require.Empty(t, errs)
			require.Equal(t, ask.Done, exit)
			if tt.name != "help" {
				require.Regexp(t, effort, out)
			}
			out = effort.ReplaceAllString(out, "Computed in N steps.")
			golden.Match(t, tt.name, out)
			for _, word := range []string{"error", "invalid", "please"} {
				assert.NotContains(t, strings.ToLower(out), word)
			}
		})
	}
}

// effort is what the computing took: the solver's matter, and not this command's.
var effort = regexp.MustCompile(`Computed in [1-9]\d* steps \(\d+ of them taken again\), [1-9]\d* Newton iterations, [1-9]\d* factorisations\.`)

// A pump that chatters is told of, also where the simulation ends at once.
func TestChatter(t *testing.T) {
	const small = `
tank = [{ name = "tank", ports = ["out", "top"] }]
pump = [{ name = "pump", from = "out", to = "line" }]
shutoff = [{ name = "fill valve", from = "line", to = "top", shut = true }]
`
	const line = `
tube = [{ name = "tap line", from = "line", to = "tap end" }]
fixture = [{ name = "tap", at = "tap end", rated = "1.5 gpm" }]
`
	exit, out, errs := timeline(small+line, "-rig", "-", "-lineup", "tap=half")
	require.Equal(t, ask.Done, exit, errs)
	assert.Contains(t, out, "The pump starts and stops")
	assert.Contains(t, out, "61 more; -csv lists them all")

	exit, out, errs = timeline(small, "-rig", "-", "-fault", "fill valve: 500 mL/min at 45 psi")
	require.Equal(t, ask.Done, exit, errs)
	assert.Contains(t, out, "The pump starts and stops")

	exit, out, errs = timeline(small+line, "-rig", "-", "-lineup", "tap=half", "-json")
	require.Equal(t, ask.Done, exit, errs)
	var x struct {
		Chatter *struct {
			Part    string
			Rate    float64 `json:"rate_hz"`
			Cause   string
			Stopped bool
		}
	}
	require.NoError(t, json.Unmarshal([]byte(out), &x))
	require.NotNil(t, x.Chatter)
	assert.Equal(t, "pump", x.Chatter.Part)
	assert.Greater(t, x.Chatter.Rate, 5.0)
	assert.NotEmpty(t, x.Chatter.Cause)
	assert.True(t, x.Chatter.Stopped)
}

// Every slip on the command line exits with 2, prints nothing to standard output, and says what to write.
func TestWrongUsage(t *testing.T) {
	tests := []struct {
		args []string
		says string
	}{
		{[]string{"-loud"}, "there is no option -loud; -h lists"},
		{[]string{"-rig"}, "-rig wants a value after it"},
		{[]string{"-json=often"}, "-json is either there or not"},
		{[]string{"coach.rig.toml"}, `"coach.rig.toml" stands without an option before it`},
		{[]string{"-json", "-csv"}, "choose one"},
		{[]string{"-until", "60"}, "-until"},
		{[]string{"-until", "0 s"}, "no time at all"},
		{[]string{"-at", "60s,soon"}, "such as 60s,600s"},
		{[]string{"-at", "2h"}, "make -until longer"},
		{[]string{"-units", "furlongs"}, "want us or metric"},
		{[]string{"-lineup", "fil valve=shut"}, `did you mean "fill valve"?`},
		{[]string{"-fault", "fill valve"}, "one colon"},
		{[]string{"-fault", "attic: 5 mL/min at 45 psi"}, "attic"},
	}
	for _, tt := range tests {
		exit, out, errs := timeline("", tt.args...)
		assert.Equal(t, ask.WrongUsage, exit, tt.args)
		assert.Empty(t, out, tt.args)
		assert.Contains(t, errs, tt.says, tt.args)
		for _, word := range []string{"error", "invalid", "please"} {
			assert.NotContains(t, strings.ToLower(errs), word, tt.args)
		}
	}
}

// A file that cannot be read or does not hold together exits with 1, and every problem has its place.
func TestFilesThatFail(t *testing.T) {
	exit, out, errs := timeline("", "-rig", "../../testdata/bad/swapped.rig.toml")
	assert.Equal(t, ask.Failed, exit)
	assert.Empty(t, out)
	assert.Regexp(t, `swapped\.rig\.toml:\d+:\d+: .*above cut-out`, errs)

	exit, _, errs = timeline("", "-rig", "nowhere.rig.toml")
	assert.Equal(t, ask.Failed, exit)
	assert.Contains(t, errs, "nowhere.rig.toml")

	exit, _, errs = timeline("[tube", "-rig", "-")
	assert.Equal(t, ask.Failed, exit)
	assert.Contains(t, errs, "standard input:1:")
}

// A water system piped in is the same as one named.
func TestStandardInput(t *testing.T) {
	text, err := os.ReadFile(rigs + "camper.rig.toml")
	require.NoError(t, err)
	_, named, _ := timeline("", "-rig", rigs+"camper.rig.toml", "-until", "5m")
	exit, piped, errs := timeline(string(text), "-rig", "-", "-until", "5m")
	require.Equal(t, ask.Done, exit, errs)
	require.Equal(t, named, piped)
}

// The JSON's fields are a promise to other programs, so the test reads them by name.
func TestJSON(t *testing.T) {
	exit, out, errs := timeline("", "-json", "-at", "60s,600s")
	require.Equal(t, ask.Done, exit, errs)
	var x map[string]any
	require.NoError(t, json.Unmarshal([]byte(out), &x))
	assert.Equal(t, 3600.0, x["until_s"])

	events := x["events"].([]any)
	require.NotEmpty(t, events)
	first := events[0].(map[string]any)
	assert.Equal(t, "pump", first["part"])
	assert.Equal(t, "pump starts", first["what"])
	assert.Positive(t, first["at_s"])

	samples := x["samples"].([]any)
	require.Len(t, samples, 2)
	s := samples[1].(map[string]any)
	assert.Equal(t, 600.0, s["at_s"])
	pressure := s["pressure_pa"].(map[string]any)
	assert.InDelta(t, 2.6e5, pressure["manifold"], 0.6e5) // between starts-at and stops-at
	assert.Contains(t, pressure, "regulated")
	assert.Positive(t, s["flow_m3s"].(map[string]any)["fill valve"])

	ledger := x["ledger"].(map[string]any)
	for _, field := range []string{"parts_m3", "stored_m3", "moved_m3", "shift_m3", "closure_m3"} {
		assert.Contains(t, ledger, field)
	}
	assert.InDelta(t, 0, ledger["closure_m3"], 1e-12)
	for _, field := range []string{"steps", "refused", "glides", "leapt", "newton", "restarts", "factorisations", "events", "modes"} {
		assert.Contains(t, x["effort"], field)
	}
	assumed := x["assumed"].([]any)
	require.NotEmpty(t, assumed)
	assert.Equal(t, "pump", assumed[0].(map[string]any)["part"])
	for _, field := range []string{"field", "value", "source"} {
		assert.NotEmpty(t, assumed[0].(map[string]any)[field])
	}
	assert.Equal(t, []any{}, x["warnings"])
	assert.Contains(t, x, "chatter")
	assert.Nil(t, x["chatter"])
}

// What nothing decides is null, and lists that hold nothing are lists.
func TestJSONOfNothing(t *testing.T) {
	exit, out, errs := timeline("", "-json", "-until", "1 min", "-at", "30s", "-rig", rigs+"twopumps.rig.toml")
	require.Equal(t, ask.Done, exit, errs)
	var x struct {
		Events  []any
		Samples []struct {
			Pressure map[string]*float64 `json:"pressure_pa"`
		}
	}
	require.NoError(t, json.Unmarshal([]byte(out), &x))
	assert.NotNil(t, x.Events)
	require.Len(t, x.Samples, 1)
	require.Contains(t, x.Samples[0].Pressure, "tank fill") // above the water, behind a panel that is set elsewhere
	require.Nil(t, x.Samples[0].Pressure["tank fill"])
	require.NotNil(t, x.Samples[0].Pressure["house"])
}

func TestCSV(t *testing.T) {
	exit, out, errs := timeline("", "-csv")
	require.Equal(t, ask.Done, exit, errs)
	rows, err := csv.NewReader(strings.NewReader(out)).ReadAll()
	require.NoError(t, err)
	assert.Equal(t, []string{"at_s", "part", "what"}, rows[0])
	assert.Equal(t, []string{"pump", "pump starts"}, rows[1][1:])

	exit, out, errs = timeline("", "-csv", "-at", "60s")
	require.Equal(t, ask.Done, exit, errs)
	rows, err = csv.NewReader(strings.NewReader(out)).ReadAll()
	require.NoError(t, err)
	assert.Equal(t, []string{"at_s", "name", "quantity", "value"}, rows[0])
	quantities := map[string]int{}
	for _, r := range rows[1:] {
		assert.Equal(t, "60", r[0])
		quantities[r[2]]++
	}
	assert.Greater(t, quantities["pressure_pa"], 5)
	assert.Greater(t, quantities["flow_m3s"], 5)
}

// The README shows what the command prints, up to and including the picture.
func TestReadmeShowsThisPicture(t *testing.T) {
	const readme = "../../README.md"
	_, out, _ := timeline("")
	picture, _, ok := strings.Cut(out, "\nat, h:min:s")
	require.True(t, ok)

	page, err := os.ReadFile(readme)
	require.NoError(t, err)
	before, rest, ok := strings.Cut(string(page), "<!-- timeline -->\n```\n")
	require.True(t, ok, "README.md has no block that opens with <!-- timeline --> and ```")
	shown, after, ok := strings.Cut(rest, "```\n<!-- /timeline -->")
	require.True(t, ok, "README.md has no block that ends with ``` and <!-- /timeline -->")
	if *golden.Update {
		text := before + "<!-- timeline -->\n```\n" + picture + "```\n<!-- /timeline -->" + after
		require.NoError(t, os.WriteFile(readme, []byte(text), 0o644))
		return
	}
	require.Equal(t, picture, shown, "run go test ./examples/timeline -update")
}

// The van without an accumulator teaches what the comment on top of its file says: healthy it keeps quiet on its pump, a
// seep starts it every few seconds for a blink, and on the hose its tank fills though nothing is wrong.
func TestVanWithoutAccumulator(t *testing.T) {
	look := func(args ...string) (starts int, gained float64) {
		exit, out, errs := timeline("", append([]string{"-rig", rigs + "noaccumulator.rig.toml", "-until", "10m", "-json"}, args...)...)
		require.Equal(t, ask.Done, exit, errs)
		var x output
		require.NoError(t, json.Unmarshal([]byte(out), &x))
		for _, e := range x.Events {
			if e.What == sim.PumpStarts {
				starts++
			}
		}
		return starts, x.Ledger.Stored["fresh tank"]
	}
	starts, gained := look("-lineup", "hookup=off")
	assert.Zero(t, starts)
	assert.InDelta(t, 0, gained, 1e-9)
	starts, _ = look("-lineup", "hookup=off", "-fault", "cold tap: 200 mL/min at 45 psi")
	assert.Greater(t, starts, 40)
	_, gained = look("-lineup", "hookup=on, pump=off")
	assert.Greater(t, gained, 1e-3, "hose pressure opens the pump's bypass")
}
