package report

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/sim/diagnose"
	"quietpump/sim/diagnose/jobcard"
	"quietpump/sim/repair"
)

var update = flag.Bool("update", false, "write the golden files")

type writer = func(io.Writer, *Report, unit.System) error

// Each way of writing a report that holds all there is, byte for byte.
func TestGolden(t *testing.T) {
	for _, tt := range []struct {
		name string
		as   writer
		sys  unit.System
	}{
		{"page.txt", Text, unit.US}, {"page-metric.txt", Text, unit.Metric}, {"brief.txt", Brief, unit.US},
		{"page.md", Markdown, unit.US}, {"page.html", HTML, unit.US},
	} {
		var got, again bytes.Buffer
		require.NoError(t, tt.as(&got, sample(""), tt.sys))
		require.NoError(t, tt.as(&again, sample(""), tt.sys))
		require.Equal(t, got.String(), again.String(), "the same report gives the same bytes")
		golden := filepath.Join("testdata", tt.name)
		if *update {
			require.NoError(t, os.MkdirAll("testdata", 0o755))
			require.NoError(t, os.WriteFile(golden, got.Bytes(), 0o644))
		}
		want, err := os.ReadFile(golden)
		require.NoError(t, err)
		assert.Equal(t, string(want), got.String(), "%s: run go test ./sim/report -update, and look at it", tt.name)
	}
}

// A page says what it has to say in the owner's words, whatever way it is
// written, and carries each caution.
func TestWhatAPageSays(t *testing.T) {
	for name, as := range map[string]writer{"text": Text, "markdown": Markdown, "html": HTML} {
		var b bytes.Buffer
		require.NoError(t, as(&b, sample(""), unit.US))
		// Markup and line ends apart.
		flat := strings.NewReplacer("\u00A0", " ", "&#39;", "'", "\\", "", "**", "", "<b>", "", "</b>", "").Replace(b.String())
		flat = strings.Join(strings.Fields(flat), " ")
		for _, want := range []string{
			"Most likely the fill valve: about 7 in 10.", "is getting away, at 38 psi", "into the fresh tank",
			"No test that is left tells these apart: fill valve; pump head valves. Together they are about 9 in 10.",
			"the pump was quiet for 95 s, 97 s; it ran for 1.9 s; 3 fl oz drawn into a cup until it started; the heater was off and cold.",
			"6 starts in 9 h", "lamps lit up to two thirds", "could not be seen", "Nothing changed.",
			"This takes about 9 min", "starts as before", "Never run the pump with its suction shut",
			"about 21 gal (17 gal to 26 gal) a day", "is empty in about 26 h, at the soonest in 20 h", "You need 2 rings, and 1 to spare.",
			"41 min without a start", "less than 27 % of the leak it had", "from memory",
		} {
			assert.Contains(t, flat, want, name)
		}
		for _, c := range Cautions() {
			assert.Contains(t, flat, owners(string(c)), name)
		}
		assert.Equal(t, 1, strings.Count(flat, "Heater off, and as cool as it gets"), "%s: the hold test is told once", name)
		for _, word := range []string{"seep", "error", "invalid", "please", "nan ", "%!"} {
			text := flat
			if name == "html" { // ids and classes are not words
				text = stripped(t, b.Bytes())
			}
			assert.NotContains(t, strings.ToLower(text), word, name)
		}
	}
}

// Text stays within its columns; what no space breaks may stand out.
func TestTextKeepsItsColumns(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Text(&b, sample(""), unit.Metric))
	for _, line := range strings.Split(b.String(), "\n") {
		assert.LessOrEqual(t, len([]rune(line)), columns, line)
	}
}

// The leading kinds of hypothesis, and none.
func TestAnswers(t *testing.T) {
	for _, tt := range []struct {
		says string
		h    []diagnose.Hypothesis
	}{
		{"Nothing can be said yet.", nil},
		{"No part stands out yet.", []diagnose.Hypothesis{{Kind: diagnose.None, Belief: 0.2}}},
		{"Most likely nothing is wrong: about 6 in 10.", []diagnose.Hypothesis{{Kind: diagnose.Healthy, Belief: 0.6}}},
		{"Most likely none of the parts looked at: about 6 in 10.", []diagnose.Hypothesis{{Kind: diagnose.None, Belief: 0.6}}},
		{"Most likely no leak but this: heater cooling, about 6 in 10.", []diagnose.Hypothesis{{Name: "heater cooling", Kind: diagnose.Benign, Belief: 0.6}}},
		{"No part stands out yet. First comes basin tap, about 2 in 10.", []diagnose.Hypothesis{{Name: "basin tap", Kind: diagnose.OneSuspect, Belief: 0.2}}},
		{"Most likely fill valve and pump head valves: about 6 in 10.", []diagnose.Hypothesis{{Name: "fill valve and pump head valves", Kind: diagnose.Pair, Belief: 0.6}}},
	} {
		r := &Report{Case: sample("").Case, Belief: &diagnose.Belief{Hypotheses: tt.h}}
		var b bytes.Buffer
		require.NoError(t, Brief(&b, r, unit.US))
		assert.Equal(t, tt.says, strings.SplitN(b.String(), "\n", 2)[0])
		for _, as := range []writer{Text, Markdown, HTML} {
			require.NoError(t, as(io.Discard, r, unit.US), "a page of little")
		}
	}
}

// What cannot be reported is refused, and nothing is half written.
func TestRefusals(t *testing.T) {
	var b bytes.Buffer
	broken := sample("")
	broken.Pictures = []Picture{brokenPicture{}}
	require.ErrorIs(t, HTML(&b, broken, unit.US), io.ErrUnexpectedEOF)
	for _, as := range []writer{Text, Brief, Markdown, HTML} {
		require.Error(t, as(&b, nil, unit.US))
		require.ErrorContains(t, as(&b, &Report{}, unit.US), "needs a case")
		require.Error(t, as(failing{}, sample(""), unit.US))
	}
	assert.Empty(t, b.Bytes())
	_, err := Of(context.Background(), diagnose.Case{}, nil, Options{})
	require.ErrorContains(t, err, "needs a case")
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("full") }

// A card on file, from its readings to the page.
func TestACardBecomesAPage(t *testing.T) {
	card, err := jobcard.Read("../../testdata/cards/twopath.card.toml")
	require.NoError(t, err)
	ctx := context.Background()
	b, err := diagnose.From(ctx, card.Case, diagnose.Options{})
	require.NoError(t, err)
	r, err := Of(ctx, card.Case, b, Options{})
	require.NoError(t, err)
	assert.NotNil(t, r.Waiting)
	assert.NotNil(t, r.Worksheet)
	assert.NotNil(t, r.Hold)
	assert.NotNil(t, r.Proof)
	assert.NotNil(t, r.Suspects)
	assert.Len(t, r.Pictures, 2)
	var html bytes.Buffer
	require.NoError(t, HTML(&html, r, unit.US))
	checkHTML(t, html.Bytes())
	assert.Less(t, html.Len(), 100_000, "a page that can be sent")
	for _, as := range []writer{Text, Markdown, Brief} {
		require.NoError(t, as(io.Discard, r, unit.Metric))
	}
	cancelled, cancel := context.WithCancel(ctx)
	cancel()
	_, err = Of(cancelled, card.Case, b, Options{})
	require.ErrorIs(t, err, context.Canceled)
}

func TestOwnersWords(t *testing.T) {
	assert.Equal(t, "A leak leaks. Leaking, leaked; seepy stays.", owners("A seep seeps. Seeping, seeped; seepy stays."))
	assert.Equal(t, []string{"3–5", "8", "9, 10"}, func() (out []string) {
		for _, s := range spans([]int{3, 4, 5, 8}) {
			out = append(out, s.String())
		}
		for _, s := range spans([]int{9, 10}) {
			out = append(out, s.String())
		}
		return out
	}())
	assert.Equal(t, "rest 3 min, run 6 s, every 20 min, 90 min of quiet; 3 stars", clock("rest 3m0s, run 6s, every 20m0s, 1h30m0s of quiet; 3 stars", unit.US))
	p := page{noted: map[note]int{}}
	n := repair.Note{Words: "a", Source: "b"}
	assert.Equal(t, []int{1}, p.refs([]repair.Note{n, n}))
	assert.Equal(t, []int{1, 2}, p.refs([]repair.Note{n, {Words: "c"}}))
}
