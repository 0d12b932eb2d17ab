package main

import (
	"bytes"
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/examples/internal/ask"
	"quietpump/examples/internal/golden"
	"quietpump/sim/whatif"
)

const rigs = "../../testdata/rigs/"

// command runs whatif.
func command(stdin string, args ...string) (exit int, stdout, stderr string) {
	var out, err bytes.Buffer
	exit = run(args, strings.NewReader(stdin), &out, &err)
	return exit, out.String(), err.String()
}

// What it prints for people, whole. The numbers are checked in package whatif; these hold the wording and the layout.
func TestGolden(t *testing.T) {
	tests := []struct {
		name string
		args []string
	}{
		{"default", nil},
		{"few", []string{"-n", "40", "-seed", "3", "-units", "metric"}},
		{"sweep", []string{"-sweep", "accumulator: volume = 0.35 L .. 4 L / 6"}},
		{"grid", []string{"-sweep", "pump: cut in = 20 psi, 25 psi, 50 psi", "-sweep", "fill valve: seep = 20 mL/min .. 80 mL/min / 3", "-units", "metric"}},
		{"weather", []string{"-sweep", "altitude = 0 ft, 9000 ft", "-rig", rigs + "nosuction.rig.toml", "-fault", "pump: 30 mL/min at 42 psi, film"}},
		{"tight", []string{"-n", "3", "-rig", rigs + "twopath.rig.toml"}},
		{"help", []string{"-h"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			exit, out, errs := command("", tt.args...)
			require.Empty(t, errs, "quiet where nobody watches")
			require.Equal(t, ask.Done, exit)
			golden.Match(t, tt.name, out)
			for _, word := range []string{"error", "invalid", "please", "NaN"} {
				assert.NotContains(t, out, word)
			}
		})
	}
}

// Shards written to files merge into what one command writes, as JSON and as CSV.
func TestMerge(t *testing.T) {
	dir := t.TempDir()
	args := []string{"-n", "20", "-seed", "5"}
	var files []string
	for _, shard := range []string{"0/3", "1/3", "2/3"} {
		exit, out, errs := command("", append(args, "-shard", shard, "-json")...)
		require.Equal(t, ask.Done, exit, errs)
		name := filepath.Join(dir, strings.ReplaceAll(shard, "/", "of")+".jsonl")
		require.NoError(t, os.WriteFile(name, []byte(out), 0o600))
		files = append(files, name)
	}
	for _, format := range []string{"-json", "-csv"} {
		_, whole, _ := command("", append(args, format)...)
		exit, merged, errs := command("", append([]string{format, "-merge"}, files...)...)
		require.Equal(t, ask.Done, exit, errs)
		assert.Equal(t, whole, merged, format)
	}
	exit, out, errs := command("", append([]string{"-merge"}, files...)...)
	require.Equal(t, ask.Done, exit, errs)
	assert.Contains(t, out, "In 20 versions of it")

	exit, _, errs = command("", "-merge", files[0])
	assert.Equal(t, ask.Failed, exit)
	assert.Contains(t, errs, "row 1 is missing")
	exit, _, errs = command("", "-merge", files[0], filepath.Join(dir, "none"))
	assert.Equal(t, ask.Failed, exit)
	assert.Contains(t, errs, "none")
}

func TestForPrograms(t *testing.T) {
	args := []string{"-sweep", "accumulator: volume = 0.5 L, 1 L"}
	exit, out, errs := command("", append(args, "-csv")...)
	require.Equal(t, ask.Done, exit, errs)
	lines, err := csv.NewReader(strings.NewReader(out)).ReadAll()
	require.NoError(t, err)
	require.Len(t, lines, 3)
	assert.Equal(t, []string{"index", "accumulator: volume", "rest_s", "run_s", "drawdown_m3", "pumped_m3", "why"}, lines[0])
	assert.Equal(t, "0.0005", lines[1][1])

	exit, out, errs = command("", append(args, "-json")...)
	require.Equal(t, ask.Done, exit, errs)
	table, err := whatif.ReadJSON(strings.NewReader(out))
	require.NoError(t, err)
	assert.Equal(t, "sweep", table.What)
	require.Len(t, table.Rows, 2)
	assert.InEpsilon(t, 2, table.Rows[1].Stored/table.Rows[0].Stored, 0.1)
}

// What is asked in a way it does not understand ends with 2, what cannot be used with 1, and each says where.
func TestRefusals(t *testing.T) {
	tests := []struct {
		exit int
		says string
		args []string
	}{
		{ask.WrongUsage, "there is no option", []string{"-count", "3"}},
		{ask.WrongUsage, "one rig at least", []string{"-n", "0"}},
		{ask.WrongUsage, "-cores", []string{"-cores", "-1"}},
		{ask.WrongUsage, "choose one", []string{"-json", "-csv"}},
		{ask.WrongUsage, "3/16", []string{"-shard", "4/4", "-json"}},
		{ask.WrongUsage, "put together", []string{"-shard", "1/4"}},
		{ask.WrongUsage, "name the files", []string{"-merge"}},
		{ask.WrongUsage, "without an option", []string{"coach"}},
		{ask.WrongUsage, "want a part", []string{"-sweep", "volume"}},
		{ask.WrongUsage, "missing unit", []string{"-sweep", "pump: cut_in = 30"}},
		{ask.WrongUsage, "after ..", []string{"-sweep", "pump: cut_in = 30 psi .. 40 psi"}},
		{ask.WrongUsage, "is no number", []string{"-sweep", "regulator: k = much"}},
		{ask.WrongUsage, "two quantities", []string{"-sweep", "a", "-sweep", "b", "-sweep", "c"}},
		{ask.WrongUsage, "-fault", []string{"-fault", "nothing: 3 mL/min at 45 psi"}},
		{ask.WrongUsage, "-lineup", []string{"-lineup", "nothing=shut"}},
		{ask.WrongUsage, "units", []string{"-units", "furlongs"}},
		{ask.Failed, "no-such-file", []string{"-rig", "no-such-file.toml"}},
		{ask.Failed, "has no number", []string{"-sweep", "pump: size = 3"}},
		{ask.Failed, "nothing seeps", []string{"-sweep", "galley tap: seep = 3 mL/min"}},
	}
	for _, tt := range tests {
		exit, out, errs := command("", tt.args...)
		assert.Equal(t, tt.exit, exit, tt.args)
		assert.Empty(t, out, tt.args)
		assert.Contains(t, errs, tt.says, tt.args)
	}
}

func TestRigFromStandardInput(t *testing.T) {
	text, err := os.ReadFile(rigs + "twopath.rig.toml")
	require.NoError(t, err)
	exit, out, errs := command(string(text), "-rig", "-", "-n", "2")
	require.Equal(t, ask.Done, exit, errs)
	assert.Contains(t, out, "Two-path coach")
}
