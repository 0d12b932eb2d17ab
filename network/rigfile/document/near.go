package document

import (
	"fmt"
	"strings"

	"quietpump/network/internal/near"
)

// DidYouMean returns ` (did you mean "length"?)` where one of the words is
// near the one written, and nothing otherwise.
func DidYouMean(written string, words []string) string {
	if word := near.Word(strings.ReplaceAll(written, "-", "_"), words); word != "" && word != written {
		return fmt.Sprintf(" (did you mean %q?)", word)
	}
	return ""
}
