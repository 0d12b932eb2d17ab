package report

import (
	"bytes"
	"context"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/sim/diagnose"
	"quietpump/sim/diagnose/jobcard"
)

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
	if path := os.Getenv("REPORT"); path != "" {
		require.NoError(t, os.WriteFile(path+".html", html.Bytes(), 0o644))
		for name, write := range map[string]func(*bytes.Buffer) error{
			".txt":   func(w *bytes.Buffer) error { return Text(w, r, unit.US) },
			".md":    func(w *bytes.Buffer) error { return Markdown(w, r, unit.Metric) },
			".brief": func(w *bytes.Buffer) error { return Brief(w, r, unit.US) },
		} {
			var b bytes.Buffer
			require.NoError(t, write(&b))
			require.NoError(t, os.WriteFile(path+name, b.Bytes(), 0o644))
		}
	}
}
