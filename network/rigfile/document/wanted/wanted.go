// Package wanted holds broken files to what they say of themselves, for tests.
//
//	cut_in = "50 psi" # want "above cut-out"
//
// A line's comment names, in quotes, a part of each complaint that must be made
// of that line. A complaint that nobody wanted is as wrong as one that is missing.
package wanted

import (
	"fmt"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/network/rigfile/document"
)

var (
	wants  = regexp.MustCompile(`# want ("(?:[^"\\]|\\.)*"(?: "(?:[^"\\]|\\.)*")*)`)
	quoted = regexp.MustCompile(`"(?:[^"\\]|\\.)*"`)
)

// Check fails the test unless the error that came of reading the file is
// document.Problems, those that the file wants and no other, each with its place.
func Check(t *testing.T, path string, err error) {
	t.Helper()
	text, readErr := os.ReadFile(path)
	require.NoError(t, readErr)
	var ps document.Problems
	require.ErrorAs(t, err, &ps)
	met := make([]bool, len(ps))
	count := 0
	for i, line := range strings.Split(string(text), "\n") {
		m := wants.FindStringSubmatch(line)
		if m == nil {
			assert.NotContains(t, line, "# want", "line %d: what is wanted stands in quotes", i+1)
			continue
		}
		for _, q := range quoted.FindAllString(m[1], -1) {
			want, err := strconv.Unquote(q)
			require.NoError(t, err)
			count++
			assert.True(t, meet(ps, met, i+1, want), "line %d: nobody complained of %q", i+1, want)
		}
	}
	assert.Positive(t, count, "it wants nothing")
	for i, p := range ps {
		assert.True(t, met[i], "nobody wanted: %s", p.Error())
		assert.True(t, strings.HasPrefix(p.Error(), fmt.Sprintf("%s:%d:%d: ", path, p.Line, p.Column)))
	}
}

// meet marks the first unmet problem of a line that says what is wanted.
func meet(ps document.Problems, met []bool, line int, want string) bool {
	for i, p := range ps {
		if !met[i] && p.Line == line && strings.Contains(p.Error(), want) {
			met[i] = true
			return true
		}
	}
	return false
}
