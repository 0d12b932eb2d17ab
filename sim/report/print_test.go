//go:build !js

package report

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/sim/diagnose"
	"quietpump/sim/diagnose/jobcard"
)

// sheet is a page object of a PDF, which a browser writes uncompressed.
var sheet = regexp.MustCompile(`/Type\s*/Page\b`)

// A case prints on two or three sheets: the page of every card on file is printed
// by a browser, and its sheets are counted. Without a browser the test is skipped,
// except where QUIETPUMP_BROWSER=must.
func TestPrintsOnTwoOrThreeSheets(t *testing.T) {
	if testing.Short() {
		t.Skip("a browser takes its time")
	}
	browser, err := exec.LookPath("chromium")
	if err != nil {
		if os.Getenv("QUIETPUMP_BROWSER") == "must" {
			t.Fatal("there is no chromium to print with; install it")
		}
		t.Skip("NOT CHECKED: there is no chromium to print with")
	}
	cards, err := filepath.Glob("../../testdata/cards/*.card.toml")
	require.NoError(t, err)
	require.NotEmpty(t, cards)
	for _, path := range cards {
		card, err := jobcard.Read(path)
		require.NoError(t, err)
		b, err := diagnose.From(context.Background(), card.Case, diagnose.Options{})
		require.NoError(t, err)
		r, err := Of(context.Background(), card.Case, b, Options{})
		require.NoError(t, err)
		var page bytes.Buffer
		require.NoError(t, HTML(&page, r, unit.US))
		dir := t.TempDir()
		from, to := filepath.Join(dir, "page.html"), filepath.Join(dir, "page.pdf")
		require.NoError(t, os.WriteFile(from, page.Bytes(), 0o600))
		out, err := exec.Command(browser, "--headless=new", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer",
			"--user-data-dir="+filepath.Join(dir, "profile"), "--print-to-pdf="+to, "file://"+from).CombinedOutput()
		require.NoError(t, err, "%s", out)
		pdf, err := os.ReadFile(to)
		require.NoError(t, err)
		n := len(sheet.FindAll(pdf, -1))
		t.Logf("%s: %d sheets", filepath.Base(path), n)
		assert.True(t, n == 2 || n == 3, "%s prints on %d sheets", filepath.Base(path), n)
	}
}
