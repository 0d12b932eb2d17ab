package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/testdata/checks"
)

func TestFiguresToOneDigitMoreThanIsCompared(t *testing.T) {
	assert.Equal(t, "6894.757", figure(6894.757, 0.003))
	assert.Equal(t, "25.099", figure(25.0991, 0.05))
	assert.Equal(t, "0.03990701406", figure(0.0399070140556349, 4e-14), "ten at most")
	assert.Equal(t, "0", figure(0, 1))
	assert.Equal(t, "8", figure(8, 0))
}

func TestDifferenceIsRoundedUp(t *testing.T) {
	for _, tt := range []struct {
		expected, got float64
		want          string
	}{
		{1, 1 + 1e-13, "0"}, {1, 1.00021, "0.0003"}, {2, 2.0004, "0.0002"}, {-1, -1.05, "0.05"}, {0, 3e-9, "3e-09"}, {0, 0, "0"},
	} {
		assert.Equal(t, tt.want, difference(checks.Row{Expected: tt.expected, Got: tt.got}), "%v", tt)
	}
}

// What a test notes is what the page says; a page that says something else is found out.
func TestAccountsToPage(t *testing.T) {
	dir := t.TempDir()
	t.Setenv(checks.Folder, dir)
	t.Run("pressures", func(t *testing.T) {
		a := checks.Against(t, "a book")
		a.Within(t, "page 7", "a | b", 2, 2.01, 0.05)
		checks.Against(t, "a book").Relative(t, "page 8", "c", 4, 4, 1e-3)
		a.Skip("no law")
		a.Skip("no law")
	})
	text, err := compose(dir)
	require.NoError(t, err)
	for _, line := range []string{
		"| [a book](#a-book) | 2 | 2 |", "| **all** | **2** | **2** |", "- 2: no law",
		"page 7 (TestAccountsToPage/pressures)", `| a \| b | 2 | 2.01 | 0.005 | 0.05 |`, "| c | 4 | 4 | 0 | 0.004 |",
	} {
		assert.Contains(t, string(text), line+"\n")
	}

	t.Chdir(t.TempDir())
	require.NoError(t, os.MkdirAll(filepath.Dir(page), 0o777))
	require.NoError(t, run(true, dir))
	require.NoError(t, run(false, dir))
	require.NoError(t, os.WriteFile(page, append(text, "by hand\n"...), 0o666))
	assert.ErrorContains(t, run(false, dir), "out of date")
	_, err = compose(t.TempDir())
	assert.ErrorContains(t, err, "no accounts")
}
