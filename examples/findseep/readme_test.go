package main

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quietpump/examples/internal/golden"
)

// The README shows what the command prints.
func TestReadmeShowsThisAnswer(t *testing.T) {
	const readme, open, end = "../../README.md", "<!-- findseep -->\n```\n", "```\n<!-- /findseep -->"
	_, answer, _ := findseep("", "-brief")

	page, err := os.ReadFile(readme)
	require.NoError(t, err)
	before, rest, ok := strings.Cut(string(page), open)
	require.True(t, ok, "README.md has no block that opens with <!-- findseep --> and ```")
	shown, after, ok := strings.Cut(rest, end)
	require.True(t, ok, "README.md has no block that ends with ``` and <!-- /findseep -->")
	if *golden.Update {
		require.NoError(t, os.WriteFile(readme, []byte(before+open+answer+end+after), 0o644))
		return
	}
	require.Equal(t, answer, shown, "run go test ./examples/findseep -update")
}
