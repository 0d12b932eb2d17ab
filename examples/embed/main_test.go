package main

import (
	"bytes"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"quietpump/examples/internal/golden"
)

// The numbers come from this repository's solver; what they rest on is checked in package sim.
func Example() {
	main()
	// Output:
	// 16 starts in an hour, resting 214 s on average
}

// The README shows this program as it stands, from its package line on.
func TestReadmeShowsThisProgram(t *testing.T) {
	const readme = "../../README.md"
	program, err := os.ReadFile("main.go")
	require.NoError(t, err)
	program = program[bytes.Index(program, []byte("package main")):]

	page, err := os.ReadFile(readme)
	require.NoError(t, err)
	before, rest, ok := bytes.Cut(page, []byte("<!-- embed -->\n```go\n"))
	require.True(t, ok, "README.md has no block that opens with <!-- embed --> and ```go")
	shown, after, ok := bytes.Cut(rest, []byte("```\n<!-- /embed -->"))
	require.True(t, ok, "README.md has no block that ends with ``` and <!-- /embed -->")
	if *golden.Update {
		page = bytes.Join([][]byte{before, []byte("<!-- embed -->\n```go\n"), program, []byte("```\n<!-- /embed -->"), after}, nil)
		require.NoError(t, os.WriteFile(readme, page, 0o644))
		return
	}
	require.Equal(t, string(program), string(shown), "run go test ./examples/embed -update")
}
