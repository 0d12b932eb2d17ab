package report

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/sim/repair"
)

// Sections have the page's own words, all of them, in its order.
func TestSectionsSayWhatThePageSays(t *testing.T) {
	flat := func(s string) string {
		return strings.Join(strings.Fields(strings.NewReplacer("\u00A0", " ", "> ", " ").Replace(s)), " ")
	}
	var b bytes.Buffer
	require.NoError(t, Text(&b, sample(""), unit.US))
	page := flat(b.String())
	title, list, err := Sections(sample(""), unit.US)
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(page, flat(title)))
	at := 0
	var cautions []string
	for _, s := range list {
		i := strings.Index(page[at:], flat(strings.ToUpper(s.Heading)))
		require.GreaterOrEqual(t, i, 0, s.Heading)
		at += i
		require.NotEmpty(t, s.Lines, s.ID)
		for _, l := range s.Lines {
			cautions = append(cautions, l.Cautions...)
			// A footnote's mark may stand behind a sentence.
			assert.Contains(t, page[at:], flat(strings.SplitN(l.Text, ". ", 2)[0]), s.ID)
			for _, row := range l.Table {
				assert.Len(t, row, len(l.Table[0]))
			}
		}
	}
	assert.Equal(t, []string{"answer", "evidence", "next", "waiting", "cures", "worksheet", "proof", "cautions", "paths", "assumed"}, ids(list))
	assert.Contains(t, strings.Join(cautions, " "), flat(string(repair.PullFuse)), "cautions stand with the step they belong to")
	_, _, err = Sections(nil, unit.US)
	assert.Error(t, err)
	_, _, err = Sections(&Report{}, unit.US)
	assert.Error(t, err)
}

func ids(list []Section) (out []string) {
	for _, s := range list {
		out = append(out, s.ID)
	}
	return out
}
