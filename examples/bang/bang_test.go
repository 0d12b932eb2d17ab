package main

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/examples/internal/ask"
	"quietpump/examples/internal/golden"
)

const rigs = "../../testdata/rigs/"

func bang(stdin string, args ...string) (exit int, stdout, stderr string) {
	var out, err bytes.Buffer
	exit = run(args, strings.NewReader(stdin), &out, &err)
	return exit, out.String(), err.String()
}

// What it prints for people, whole. The physics is checked in package waves; these
// hold the wording and the layout.
func TestGolden(t *testing.T) {
	for _, tt := range []struct {
		name string
		args []string
	}{
		{"default", nil},
		{"atonce", []string{"-over", "0s", "-rating", "60 psi"}},
		{"metric", []string{"-units", "metric", "-walls", "50 °C", "-accumulator", "0.2 L"}},
		{"hose", []string{"-rig", rigs + "twopath.rig.toml", "-lineup", "hookup=on, pump=off", "-tap", "galley cold tap", "-over", "10ms"}},
		{"none", []string{"-rig", rigs + "noaccumulator.rig.toml", "-over", "20 ms"}},
		{"help", []string{"-h"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			exit, out, errs := bang("", tt.args...)
			require.Empty(t, errs)
			require.Equal(t, ask.Done, exit)
			golden.Match(t, tt.name, out)
			for _, word := range []string{"error", "invalid", "please"} {
				assert.NotContains(t, strings.ToLower(out), word)
			}
			if tt.name != "help" {
				assert.Contains(t, out, "Local codes and a licensed or certified technician have the last word.")
			}
		})
	}
}

// What README.md shows is what the command says first.
func TestREADME(t *testing.T) {
	page, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	_, rest, ok := strings.Cut(string(page), "<!-- bang -->\n```\n")
	require.True(t, ok)
	shown, _, ok := strings.Cut(rest, "```\n<!-- /bang -->")
	require.True(t, ok)
	_, out, _ := bang("")
	require.True(t, strings.HasPrefix(out, shown), "README.md shows\n%s\nbang says\n%s", shown, out)
	assert.Equal(t, 2, strings.Count(shown, "\n"))
}

// The JSON's fields are a promise to other programs, so the test reads them by name.
func TestJSON(t *testing.T) {
	exit, out, errs := bang("", "-json")
	require.Equal(t, ask.Done, exit, errs)
	var x map[string]any
	require.NoError(t, json.Unmarshal([]byte(out), &x))
	assert.Equal(t, "galley tap", x["tap"])
	assert.Equal(t, 0.05, x["over_s"])
	assert.InDelta(t, 689476, x["rating_pa"], 1)
	cases := x["cases"].([]any)
	require.Len(t, cases, 2)
	top := []float64{}
	for _, c := range cases {
		c := c.(map[string]any)
		for _, field := range []string{"name", "accumulator_m3", "lowest", "joints", "events", "cavities", "backflow_m3s", "warnings", "grid"} {
			assert.Contains(t, c, field)
		}
		top = append(top, c["highest"].(map[string]any)["pressure_pa"].(float64))
		tube := c["tubes"].([]any)[0].(map[string]any)
		for _, field := range []string{"tube", "speed_m_s", "speed_least_m_s", "speed_most_m_s", "rounding"} {
			assert.Contains(t, tube, field)
		}
		n := len(tube["x_m"].([]any))
		for _, field := range []string{"start_pa", "highest_pa", "lowest_pa"} {
			assert.Len(t, tube[field], n)
		}
		assert.Less(t, tube["speed_least_m_s"], tube["speed_m_s"])
	}
	assert.Greater(t, top[0], top[1], "an accumulator takes it down")
	assert.Equal(t, 0.0, cases[0].(map[string]any)["accumulator_m3"])
	assert.Len(t, x["sizes"], len(sizes))
	assert.NotEmpty(t, x["assumed"])
}

func TestSVG(t *testing.T) {
	path := filepath.Join(t.TempDir(), "bang.svg")
	exit, words, errs := bang("", "-svg", path)
	require.Equal(t, ask.Done, exit, errs)
	assert.Contains(t, words, "Without an accumulator")
	file, err := os.ReadFile(path)
	require.NoError(t, err)
	exit, piped, errs := bang("", "-svg", "-")
	require.Equal(t, ask.Done, exit, errs)
	assert.Equal(t, string(file), piped)
	dec := xml.NewDecoder(strings.NewReader(piped))
	for {
		if _, err := dec.Token(); err == io.EOF {
			break
		} else {
			require.NoError(t, err)
		}
	}
	assert.Contains(t, piped, "the weakest part bears 100 psi")
}

// Every slip on the command line exits with 2, prints nothing, and says what to write.
func TestWrongUsage(t *testing.T) {
	for _, tt := range []struct {
		args []string
		says string
	}{
		{[]string{"-loud"}, "there is no option -loud"},
		{[]string{"coach.rig.toml"}, "without an option before it"},
		{[]string{"-over", "soon"}, "-over"},
		{[]string{"-over", "2h"}, "shorter"},
		{[]string{"-until", "0s"}, "500ms"},
		{[]string{"-tap", "bath tap"}, "galley tap, toilet valve"},
		{[]string{"-accumulator", "big"}, "0.75 L"},
		{[]string{"-rating", "45"}, "100 psi"},
		{[]string{"-walls", "300 °F"}, "194 °F"},
		{[]string{"-json", "-svg", "x.svg"}, "choose one"},
		{[]string{"-lineup", "pump=off"}, "neither a pump nor a hookup"},
		{[]string{"-units", "furlongs"}, "want us or metric"},
	} {
		exit, out, errs := bang("", tt.args...)
		assert.Equal(t, ask.WrongUsage, exit, tt.args)
		assert.Empty(t, out, tt.args)
		assert.Contains(t, errs, tt.says, tt.args)
	}
	exit, _, errs := bang("", "-rig", "nowhere.rig.toml")
	assert.Equal(t, ask.Failed, exit)
	assert.Contains(t, errs, "nowhere.rig.toml")
	exit, _, errs = bang("", "-svg", filepath.Join(t.TempDir(), "no", "such.svg"))
	assert.Equal(t, ask.Failed, exit)
	assert.Contains(t, errs, "such.svg")
}

// The default takes less than a fifth of a second.
func BenchmarkDefault(b *testing.B) {
	for b.Loop() {
		if exit := run(nil, nil, io.Discard, io.Discard); exit != ask.Done {
			b.Fatal(exit)
		}
	}
}
