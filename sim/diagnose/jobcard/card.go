package jobcard

import (
	"path/filepath"

	"quietpump/network"
	"quietpump/network/rigfile/document"
	"quietpump/sim/diagnose"
)

// A Problem is one thing wrong in a card: where, what, and what to do about it.
type Problem = document.Problem

// Problems is everything wrong in a card and the rig files it names, in the
// order of the card, what is wrong in the rig files behind it.
type Problems = document.Problems

// A Card is a job card: the case that it tells, and how it tells the rig.
type Card struct {
	diagnose.Case
	// RigFile is the rig's file as the card names it, and is written in the rig's
	// place; empty: the rig stands in the card.
	RigFile string

	unusual *document.Node // values of the rig told anew, as they were written
	others  []otherwise    // how each of Case.Others was told
}

// otherwise is how the rig of an alternative was told.
type otherwise struct {
	rig     *network.Rig
	file    string
	without []string
	with    *document.Node
}

// Read reads a job card and the rig files it names, which lie where the card
// says, seen from its own folder. What is wrong comes back as [Problems], all of
// them together; what is wrong with reading the card as it is.
func Read(path string) (*Card, error) {
	data, err := document.ReadFile(path)
	if err != nil {
		return nil, err
	}
	return Parse(path, data, Beside(path))
}

// Beside returns a reader of the files that a card at a path names.
func Beside(path string) func(name string) ([]byte, error) {
	return func(name string) ([]byte, error) {
		name = filepath.FromSlash(name)
		if !filepath.IsAbs(name) {
			name = filepath.Join(filepath.Dir(path), name)
		}
		return document.ReadFile(name)
	}
}

// Parse reads a job card from a file's text, TOML or JSON. Name is the file's,
// for messages; open reads the rig files that it names, nil where it may name none.
func Parse(name string, data []byte, open func(name string) ([]byte, error)) (*Card, error) {
	src := document.NewSource(name, data)
	root, slips := src.Read()
	if len(data) > document.MaxSize {
		return nil, slips
	}
	d := &decoder{open: open, card: &Card{}}
	d.Decoder = document.Decoder{Source: src, Problems: slips, Lost: len(slips) > 0}
	d.file(root)
	if len(d.Problems)+len(d.elsewhere) > 0 {
		d.Problems.Sort()
		return nil, append(d.Problems, d.elsewhere...)
	}
	return d.card, nil
}
