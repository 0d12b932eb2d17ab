package network

import (
	"fmt"
	"strconv"
	"strings"
)

// marks have a meaning of their own in lineups and faults.
const marks = `,;:="[]%`

// quoted writes a name so that unquoted reads it, in quotes where it has to be.
func quoted(name string) string {
	s, word := settingWords[strings.ToLower(name)]
	if word && s.word == name && name != "open" {
		return name
	}
	if word || strings.ContainsAny(name, marks) || unprintable(name) != "" || name == "" || endsInPair(name) {
		return strconv.Quote(name)
	}
	return name
}

// endsInPair says whether the last word of a name could be two joints.
func endsInPair(name string) bool {
	last := name[strings.LastIndexByte(name, ' ')+1:]
	a, b, ok := strings.Cut(last, "-")
	return ok && a != "" && b != "" && last != name
}

// unquoted reads a name, in quotes or not.
func unquoted(text string) (string, error) {
	text = strings.TrimSpace(text)
	if !strings.HasPrefix(text, `"`) {
		if strings.Contains(text, `"`) {
			return "", fmt.Errorf("%s: a quotation mark in the middle", text)
		}
		return text, nil
	}
	name, err := strconv.Unquote(text)
	if err != nil {
		return "", fmt.Errorf("%s: the quotation marks do not match", text)
	}
	return name, nil
}

// split cuts a text at any of the marks that stands outside quotes.
func split(text, at string) []string {
	var list []string
	start, quotes := 0, false
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case quotes && c == '\\':
			i++
		case c == '"':
			quotes = !quotes
		case !quotes && strings.IndexByte(at, c) >= 0:
			list = append(list, text[start:i])
			start = i + 1
		}
	}
	return append(list, text[start:])
}

// quotedPort writes a joint's name as one of two ports.
func quotedPort(name string) string {
	if strings.ContainsAny(name, " -") {
		return strconv.Quote(name)
	}
	return quoted(name)
}
