package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/examples/internal/ask"
	"quietpump/examples/internal/golden"
	"quietpump/sim/diagnose/jobcard"
)

const (
	rigs  = "../../testdata/rigs/"
	cards = "../../testdata/cards/"
)

func findseep(stdin string, args ...string) (exit int, stdout, stderr string) {
	var out, err bytes.Buffer
	exit = run(args, strings.NewReader(stdin), &out, &err)
	return exit, out.String(), err.String()
}

// What it prints, whole. The numbers are checked where they are worked out; these hold the wording and the layout.
func TestGolden(t *testing.T) {
	tests := []struct {
		name string
		args []string
	}{
		{"default", nil},
		{"help", []string{"-h"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			exit, out, errs := findseep("", tt.args...)
			require.Empty(t, errs)
			require.Equal(t, ask.Done, exit)
			golden.Match(t, tt.name, out)
			unkind(t, out)
		})
	}
}

// unkind fails on words that say nothing of use to a person.
func unkind(t *testing.T, out string) {
	t.Helper()
	for _, word := range []string{"error", "invalid", "please", "NaN", "<nil>", "%!"} {
		assert.NotContains(t, out, word)
	}
}

// The answer leads, and each section follows in its order with what was told in it.
func TestWhatPeopleRead(t *testing.T) {
	order := []string{"THE ANSWER", "WHAT IT RESTS ON", "WHAT TO DO NEXT", "IF YOU LEAVE IT", "PROVE IT", "BEFORE YOU WORK ON IT", "WHERE IT COULD BE GOING", "ASSUMED, NOT TOLD", "SOURCES"}
	for _, tt := range []struct {
		says []string
		args []string
	}{
		{[]string{"L", "bar", "fill valve"}, []string{"-units", "metric"}},
		{[]string{"started every 20 min", "Two-path coach"}, []string{"-rig", rigs + "twopath.rig.toml", "-every", "20m"}},
		{[]string{"quiet for 95 s", "1 fl oz drawn into a cup", "Small camper"}, []string{"-rig", rigs + "camper.rig.toml", "-rest", "95s ± 2s", "-cup", "1 fl oz"}},
		{[]string{"drip at toilet valve: looked for, not seen"}, []string{"-card", cards + "twopath.card.toml"}},
	} {
		exit, out, errs := findseep("", tt.args...)
		require.Empty(t, errs)
		require.Equal(t, ask.Done, exit)
		unkind(t, out)
		plain := strings.Join(strings.Fields(out), " ")
		for _, text := range tt.says {
			assert.Contains(t, plain, text)
		}
		at := 0
		for _, head := range order {
			i := strings.Index(out[at:], head)
			if !assert.GreaterOrEqual(t, i, 0, "%s in its place for %v", head, tt.args) {
				break
			}
			at += i
		}
	}
}

// answerOf is the JSON that it prints.
func answerOf(t *testing.T, args ...string) machine {
	t.Helper()
	exit, out, errs := findseep("", append(args, "-json")...)
	require.Empty(t, errs)
	require.Equal(t, ask.Done, exit)
	var m machine
	require.NoError(t, json.Unmarshal([]byte(out), &m))
	return m
}

// The fields that programs rely on are there, and hang together.
func TestJSON(t *testing.T) {
	exit, out, errs := findseep("", "-json")
	require.Empty(t, errs)
	require.Equal(t, ask.Done, exit)
	var fields map[string]json.RawMessage
	require.NoError(t, json.Unmarshal([]byte(out), &fields))
	for _, f := range []string{"seen", "seep", "drawdown", "paths", "suspects", "next", "refused", "waiting", "cures", "worksheet", "hold", "findings", "assumed", "cautions"} {
		assert.Contains(t, fields, f)
		assert.NotEqual(t, "null", string(fields[f]), f)
	}
	var m machine
	require.NoError(t, json.Unmarshal([]byte(out), &m))
	assert.Equal(t, []float64{95, 97}, m.Seen.Rest)
	assert.Equal(t, 2, m.Seen.Readings)
	assert.Less(t, m.Seep.Low, m.Seep.Mid)
	assert.Less(t, m.Seep.Mid, m.Seep.High)
	assert.NotEmpty(t, m.Paths)
	assert.NotEmpty(t, m.Cautions)

	sum, last := 0.0, 1.0
	for _, s := range m.Suspects {
		sum += s.Belief
		assert.LessOrEqual(t, s.Belief, last, s.Name)
		assert.GreaterOrEqual(t, s.GroupBelief, s.Belief, s.Name)
		last = s.Belief
		if s.Kind == "suspect" {
			assert.NotEmpty(t, s.Part)
			assert.NotEmpty(t, s.Ends, s.Name)
		}
	}
	assert.InDelta(t, 1, sum, 1e-9)
	lead := m.Suspects[0]
	assert.InDelta(t, 96, lead.Rest, 10, "%s explains what was seen", lead.Name)

	require.NotNil(t, m.Next)
	assert.Contains(t, []string{"test", "look", "cure", "swap", "hold test"}, m.Next.Do)
	chance := 0.0
	for _, o := range m.Next.Outcomes {
		chance += o.Chance
	}
	assert.InDelta(t, 1, chance, 0.02)
	assert.GreaterOrEqual(t, m.Next.Total, m.Next.Minutes)
	for _, other := range m.Next.OrElse {
		assert.GreaterOrEqual(t, other.Total, m.Next.Total, "the advice is the soonest")
	}
	day := 86400 * lead.Mid
	assert.InEpsilon(t, day, m.Waiting.Water.Mid, 0.3, "a day's water is a day of the seep, at a pressure near cut-out's")
	assert.Less(t, m.Hold.Below, lead.Mid)
	assert.Greater(t, m.Hold.Quiet, lead.Rest)
	told, untold := 0, 0
	for _, a := range m.Assumed {
		if a.Told {
			told++
		} else {
			untold++
		}
	}
	assert.Positive(t, told)
	assert.Positive(t, untold)
}

// What is asked in a way it does not understand ends with 2, what cannot be used with 1, and each says where.
func TestRefusals(t *testing.T) {
	tests := []struct {
		exit int
		says string
		args []string
	}{
		{ask.WrongUsage, "there is no option", []string{"-leak", "3"}},
		{ask.WrongUsage, "-rest", []string{"-rest", "95"}},
		{ask.WrongUsage, "-run", []string{"-run", "soon"}},
		{ask.WrongUsage, "-every", []string{"-every", "-3 min"}},
		{ask.WrongUsage, "-no-start", []string{"-no-start", "12"}},
		{ask.WrongUsage, "-cup", []string{"-rest", "95s", "-cup", "2"}},
		{ask.WrongUsage, "drip=no", []string{"-rest", "95s", "-look", "galley tap"}},
		{ask.WrongUsage, "-lineup", []string{"-rest", "95s", "-lineup", "no such valve=shut"}},
		{ask.WrongUsage, "nothing was watched", []string{"-lineup", "hookup=off"}},
		{ask.WrongUsage, "units", []string{"-units", "furlongs"}},
		{ask.WrongUsage, "choose one", []string{"-json", "-brief"}},
		{ask.WrongUsage, "without an option", []string{"-json", "coach"}},
		{ask.WrongUsage, "names another water system", []string{"-card", cards + "camper.card.toml", "-rig", rigs + "twopath.rig.toml"}},
		{ask.Failed, "no-such-file", []string{"-rig", "no-such-file.toml", "-rest", "95s"}},
		{ask.Failed, "no-such-card", []string{"-card", "no-such-card.toml"}},
		{ask.Failed, "did you mean \"fill valve\"?", []string{"-card", cards + "bad/names.card.toml"}},
		{ask.Failed, "has no power", []string{"-rest", "95s", "-lineup", "pump=off"}},
		{ask.Failed, "no time that can be watched", []string{"-rest", "0 s"}},
	}
	for _, tt := range tests {
		exit, out, errs := findseep("", tt.args...)
		assert.Equal(t, tt.exit, exit, "%v %s", tt.args, errs)
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
	require.Equal(t, ask.Done, exit)
	assert.Contains(t, out, "Two-path coach")
	assert.Contains(t, out, "Fill valve shut")
}

// A card is begun on a rig, each reading is added to it, and the belief moves.
func TestCard(t *testing.T) {
	dir := t.TempDir()
	rig, err := os.ReadFile(rigs + "twopath.rig.toml")
	require.NoError(t, err)
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "rigs"), 0o755))
	rigPath, cardPath := filepath.Join(dir, "rigs", "mine.rig.toml"), filepath.Join(dir, "mine.card.toml")
	require.NoError(t, os.WriteFile(rigPath, rig, 0o644))

	before := answerOf(t, "-card", cardPath, "-rig", rigPath, "-rest", "95 s", "-lineup", "hookup=off")
	text, err := os.ReadFile(cardPath)
	require.NoError(t, err)
	assert.Equal(t, "rig = \"rigs/mine.rig.toml\"\n\n[[reading]]\nlineup = \"hookup=off\"\nrest = \"95 s\"\n", string(text))
	require.NoError(t, os.WriteFile(cardPath, append([]byte("# mine\n"), text...), 0o644))

	after := answerOf(t, "-card", cardPath, "-rig", rigPath, "-look", "fill tube: drip=no", "-look", "toilet valve: drip=yes", "-lineup", "hookup=off")
	assert.Equal(t, before.Seen.Readings+1, after.Seen.Readings)
	belief := func(m machine, name string) float64 {
		for _, s := range m.Suspects {
			if s.Name == name {
				return s.Belief
			}
		}
		return 0
	}
	assert.Greater(t, belief(after, "toilet valve"), 0.5, "a drip was seen there")
	assert.Greater(t, belief(after, "toilet valve"), 2*belief(before, "toilet valve"))

	text, err = os.ReadFile(cardPath)
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(string(text), "# mine\n"), "the rest of the file is left as it is")
	assert.Equal(t, after, answerOf(t, "-card", cardPath), "what is on the card is worked as it was")

	exit, _, errs := findseep("", "-card", cardPath, "-rest", "95 s", "-lineup", "pump=off")
	assert.Equal(t, ask.Failed, exit)
	assert.Contains(t, errs, "has no power", "what cannot be is not kept")
	exit, _, errs = findseep("", "-card", cardPath, "-rest", "95 s", "-look", "fill tub: drip=no")
	assert.Equal(t, ask.Failed, exit)
	assert.Contains(t, errs, `did you mean "fill tube"?`)
	assert.Contains(t, errs, "what would have been added")
	now, err := os.ReadFile(cardPath)
	require.NoError(t, err)
	assert.Equal(t, string(text), string(now))
}

// Every card of testdata is worked, in each way of writing.
func TestAllCards(t *testing.T) {
	files, err := filepath.Glob(cards + "*.card.toml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, path := range files {
		m := answerOf(t, "-card", path)
		assert.NotEmpty(t, m.Suspects, path)
		assert.NotNil(t, m.Next, path)
		card, err := jobcard.Read(path)
		require.NoError(t, err)
		assert.Equal(t, len(card.Readings), m.Seen.Readings)
	}
}

// The page is one file that needs no other and runs nothing.
func TestHTML(t *testing.T) {
	path := filepath.Join(t.TempDir(), "coach.html")
	exit, out, errs := findseep("", "-html", path, "-brief")
	require.Empty(t, errs)
	require.Equal(t, ask.Done, exit)
	assert.NotEmpty(t, out)
	assert.Contains(t, out, "WHAT TO DO NEXT")
	assert.NotContains(t, out, "SOURCES", "the answer and the next step alone")
	page, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Contains(t, string(page), "Meadow coach")
	for _, foreign := range []string{"<script", "http://", "https://", "@import"} {
		assert.NotContains(t, strings.ReplaceAll(string(page), "http://www.w3.org/2000/svg", ""), foreign)
	}
	exit, _, errs = findseep("", "-html", filepath.Join(t.TempDir(), "no", "folder", "x.html"))
	assert.Equal(t, ask.Failed, exit)
	assert.Contains(t, errs, "folder")
}
