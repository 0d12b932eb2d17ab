package report

import (
	"bytes"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/sim/chart"
	"quietpump/sim/diagnose"
)

// Whatever words a case holds, the page stays sound and they stay text.
func FuzzWords(f *testing.F) {
	for _, s := range []string{"pump", "<script>", "</style>", "\x00\x1b[2J", "\xff\xfe", "90m0s", "1e400", "a\u202Eb", "–", "]]>"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, word string) {
		r := sample("")
		r.Belief.Hypotheses[0].Name, r.Belief.Hypotheses[0].Worst = word, word
		r.Belief.Next[0].Words, r.Belief.Next[0].Outcomes[0].Words, r.Belief.Next[0].Cautions[0] = word, word, word
		r.Cures[0].How, r.Worksheet.Steps[0].Words, r.Waiting.Notes[0].Words = word, word, word
		r.Suspects = chart.Figure{Bare: true, Picture: chart.Suspects{List: []chart.Suspect{{Name: word, Shape: word, Belief: 0.5, Said: word}, {Name: "b"}}}}
		r.Case.Readings[1].Look[0] = diagnose.Look{At: word, For: diagnose.For(word)}
		var page, text, md bytes.Buffer
		require.NoError(t, HTML(&page, r, unit.US))
		checkHTML(t, page.Bytes())
		require.NoError(t, Text(&text, r, unit.US))
		require.NoError(t, Markdown(&md, r, unit.US))
		for _, b := range [][]byte{page.Bytes(), text.Bytes(), md.Bytes()} {
			require.True(t, utf8.Valid(b))
			require.NotContains(t, string(b), "\x1b")
		}
	})
}
