package document

import (
	"fmt"
	"slices"
	"strings"

	"quietpump/network/internal/near"
)

// DidYouMean returns ` (did you mean "length"?)` where one of the words is
// near the one written, and nothing otherwise.
func DidYouMean(written string, words []string) string {
	lined := strings.ReplaceAll(written, "-", "_")
	word := lined
	if lined == written || !slices.Contains(words, lined) {
		word = near.Word(lined, words)
	}
	if word != "" && word != written {
		return fmt.Sprintf(" (did you mean %q?)", word)
	}
	return ""
}
