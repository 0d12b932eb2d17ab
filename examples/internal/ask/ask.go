// Package ask reads what the example commands are asked, in the words that all
// of them share.
package ask

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"quietpump/network"
	"quietpump/network/rigfile"
)

// ErrHelp is what reading a command's options ends with where -h asked for the list of
// them: it is printed, and the command is [Done].
var ErrHelp = errors.New("help is wanted")

// Texts is an option that may be repeated, as a [flag.Value].
type Texts []string

// String returns the texts with commas between them.
func (t *Texts) String() string { return strings.Join(*t, ", ") }

// Set adds a text.
func (t *Texts) Set(value string) error { *t = append(*t, value); return nil }

// Plainly says in plain words what package flag found wrong with the options, and that -h
// lists them.
func Plainly(found error) error {
	text := found.Error()
	if name, ok := strings.CutPrefix(text, "flag provided but not defined: "); ok {
		text = "there is no option " + name
	} else if name, ok := strings.CutPrefix(text, "flag needs an argument: "); ok {
		text = name + " wants a value after it"
	} else if _, name, ok := strings.Cut(text, " for "); ok && strings.Contains(text, "boolean") {
		name, _, _ = strings.Cut(name, ":")
		text = name + " is either there or not, and takes no value"
	}
	return fmt.Errorf("%s; -h lists the options", text)
}

// Stray is the error for a word that stands without an option before it.
func Stray(word string) error {
	return fmt.Errorf("%q stands without an option before it; a text with spaces needs quotes, and -h lists the options", word)
}

// Rig reads a water system: from a file, with - from standard input, and without
// a path the command's own, TOML. The error has all that is wrong with it, as
// [rigfile.Read] says it.
func Rig(path string, own []byte, stdin io.Reader) (*network.Rig, error) {
	switch path {
	case "":
		return rigfile.Parse("coach.rig.toml", own)
	case "-":
		text, err := io.ReadAll(stdin)
		if err != nil {
			return nil, fmt.Errorf("reading standard input: %w", err)
		}
		return rigfile.Parse("standard input", text)
	}
	return rigfile.Read(path)
}

// Lineup fits what -lineup said of valves to the rig; of a part that is named twice, what
// was said last counts. The error is of a part or a setting that there is not.
func Lineup(rig *network.Rig, told Texts) (network.Lineup, error) {
	lineup := network.Lineup{}
	for _, text := range told {
		l, err := rig.Lineup(text)
		if err != nil {
			return nil, fmt.Errorf("-lineup: %w", err)
		}
		for part, s := range l {
			lineup[part] = s
		}
	}
	return lineup, nil
}

// Assumed lists the values of a rig that nobody told and that are guesses of
// their own, those of pumps and stores first: a pump's cycle hangs on them.
func Assumed(rig *network.Rig) []network.Assumption {
	list := slices.DeleteFunc(rig.Assumed(), func(a network.Assumption) bool { return a.Derived })
	rank := func(a network.Assumption) int {
		p, ok := rig.Part(a.Part)
		if !ok {
			return len(weighty)
		}
		if i := slices.Index(weighty, p.Kind()); i >= 0 {
			return i
		}
		return len(weighty)
	}
	slices.SortStableFunc(list, func(a, b network.Assumption) int { return cmp.Compare(rank(a), rank(b)) })
	return list
}

// weighty are the kinds of part on which a pump's cycle hangs most.
var weighty = []string{"pump", "accumulator", "air pocket", "heater", "elastic"}
