// Package golden compares what an example command prints with what it printed before.
package golden

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// Update says that golden files, and what README.md shows of a command, are to be
// written anew.
var Update = flag.Bool("update", false, "write the golden files and what README.md shows")

// Match fails the test unless got is what testdata/name.txt holds; with -update it writes
// the file instead.
func Match(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name+".txt")
	if *Update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(want), got, "run the test with -update")
}
