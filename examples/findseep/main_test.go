package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the golden files")

const rigs = "../../testdata/rigs/"

func findseep(stdin string, args ...string) (exit int, stdout, stderr string) {
	var out, err bytes.Buffer
	exit = run(args, strings.NewReader(stdin), &out, &err)
	return exit, out.String(), err.String()
}

// What it prints, whole. The sizes are checked in package diagnose; these hold the wording and the layout.
func TestGolden(t *testing.T) {
	tests := []struct {
		name string
		args []string
	}{
		{"default", nil},
		{"metric", []string{"-units", "metric"}},
		{"every", []string{"-rig", rigs + "twopath.rig.toml", "-every", "20m"}},
		{"cup", []string{"-rig", rigs + "camper.rig.toml", "-rest", "95s ± 2s", "-cup", "1 fl oz"}},
		{"help", []string{"-h"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			exit, out, errs := findseep("", tt.args...)
			require.Empty(t, errs)
			require.Equal(t, done, exit)
			golden := filepath.Join("testdata", tt.name+".txt")
			if *update {
				require.NoError(t, os.MkdirAll("testdata", 0o755))
				require.NoError(t, os.WriteFile(golden, []byte(out), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			require.Equal(t, string(want), out, "run go test ./examples/findseep -update")
			for _, word := range []string{"error", "invalid", "please"} {
				assert.NotContains(t, strings.ToLower(out), word)
			}
		})
	}
}

// The fields that programs rely on are there, and hang together.
func TestJSON(t *testing.T) {
	exit, out, errs := findseep("", "-json")
	require.Empty(t, errs)
	require.Equal(t, done, exit)
	var fields map[string]json.RawMessage
	require.NoError(t, json.Unmarshal([]byte(out), &fields))
	for _, f := range []string{"seen", "seep", "drawdown", "paths", "suspects", "findings", "assumed", "cautions"} {
		assert.Contains(t, fields, f)
	}
	var m machine
	require.NoError(t, json.Unmarshal([]byte(out), &m))
	assert.Equal(t, []float64{95, 97}, m.Seen.Rest)
	assert.Less(t, m.Seep.Low, m.Seep.Mid)
	assert.Less(t, m.Seep.Mid, m.Seep.High)
	assert.Len(t, m.Seep.Ways, 3)
	assert.NotEmpty(t, m.Paths)
	assert.Equal(t, cautions, m.Cautions)
	for _, s := range m.Suspects {
		if s.Unfit == "" {
			assert.InDelta(t, 96, s.Rest, 3, s.Name)
			assert.Positive(t, s.Seep, s.Name)
		}
	}
}

// What is asked in a way it does not understand ends with 2, what cannot be used with 1, and each says where.
func TestRefusals(t *testing.T) {
	tests := []struct {
		exit int
		says string
		args []string
	}{
		{wrongUsage, "there is no option", []string{"-leak", "3"}},
		{wrongUsage, "-rest", []string{"-rest", "95"}},
		{wrongUsage, "-run", []string{"-run", "soon"}},
		{wrongUsage, "-every", []string{"-every", "-3 min"}},
		{wrongUsage, "-cup", []string{"-rest", "95s", "-cup", "2"}},
		{wrongUsage, "-lineup", []string{"-lineup", "no such valve=shut"}},
		{wrongUsage, "units", []string{"-units", "furlongs"}},
		{wrongUsage, "without an option", []string{"-json", "coach"}},
		{failed, "no-such-file", []string{"-rig", "no-such-file.toml", "-rest", "95s"}},
		{failed, "how often", []string{"-run", "2s"}},
	}
	for _, tt := range tests {
		exit, out, errs := findseep("", tt.args...)
		assert.Equal(t, tt.exit, exit, tt.args)
		assert.Empty(t, out, tt.args)
		assert.Contains(t, errs, tt.says, tt.args)
	}
}

// A rig may come by standard input, and the lineup counts.
func TestRigFromStandardInput(t *testing.T) {
	text, err := os.ReadFile(rigs + "twopath.rig.toml")
	require.NoError(t, err)
	exit, out, errs := findseep(string(text), "-rig", "-", "-rest", "95 s", "-lineup", "fill valve=shut")
	require.Empty(t, errs)
	require.Equal(t, done, exit)
	assert.Contains(t, out, "Two-path coach")
	assert.Contains(t, out, "fill valve=shut")

	// With the suction shut a pump that has started does not stop.
	exit, _, errs = findseep(string(text), "-rig", "-", "-rest", "95 s", "-lineup", "suction shutoff=shut")
	assert.Equal(t, failed, exit)
	assert.Contains(t, errs, "would not stop")
}
