package yours

import (
	"strings"

	"quietpump/wasm/scene"
)

// and joins names as a sentence does.
func and(list []string) string {
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	return strings.Join(list[:len(list)-1], ", ") + " and " + list[len(list)-1]
}

// owners puts the library's words into the owner's: a seep is a leak.
func owners(text string) string {
	return strings.NewReplacer("seeping", "leaking", "seeps", "leaks", "seep", "leak", "Seep", "Leak", "lineup", "valves").Replace(text)
}

// stopped ends a sentence.
func stopped(s string) string {
	if s == "" || strings.ContainsAny(s[len(s)-1:], ".!?:") {
		return s
	}
	return s + "."
}

// short is the first sentence of a step, for a button.
func short(s string) string {
	for _, end := range []string{". ", ": ", ", and "} {
		if i := strings.Index(s, end); i > 20 {
			s = s[:i]
		}
	}
	return strings.TrimSuffix(s, ".")
}

// span is a time in seconds as people count it.
func span(s float64) string { return scene.Span(s) }

// capital is a text with its first letter large.
func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
