package main

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"quietpump/examples/internal/ask"
	"quietpump/network"
	"quietpump/sim/diagnose"
	"quietpump/sim/diagnose/jobcard"
	"quietpump/sim/report"
)

// demo is the invented job, worked where none is named.
//
//go:embed coach.card.toml coach.rig.toml
var demo embed.FS

// errUsage marks what is asked in a way that is not understood.
var errUsage = errors.New("")

// A job is a card with the reading told on the command line, and how to keep it
// once it has been worked out: a reading that cannot be is not kept.
type job struct {
	card *jobcard.Card
	keep func() error
}

func nothingToKeep() error { return nil }

// jobOf is the job that is asked for.
func jobOf(o options, stdin io.Reader) (job, error) {
	switch {
	case o.card != "" && o.rig != "" && !exists(o.card):
		return begun(o)
	case o.card != "":
		return goneOn(o)
	case o.rig == "" && !o.sawSomething() && len(o.lineups) == 0:
		data, err := demo.ReadFile("coach.card.toml")
		if err != nil {
			return job{}, err
		}
		card, err := jobcard.Parse("coach.card.toml", data, demo.ReadFile)
		return job{card, nothingToKeep}, err
	}
	own, err := demo.ReadFile("coach.rig.toml")
	if err != nil {
		return job{}, err
	}
	rig, err := ask.Rig(o.rig, own, stdin)
	if err != nil {
		return job{}, fmt.Errorf("this water system cannot be worked as it is written:\n%w", err)
	}
	card := &jobcard.Card{Case: diagnose.Case{Rig: rig}}
	return job{card, nothingToKeep}, seen(card, o)
}

// seen adds the reading that was told to a card in memory.
func seen(card *jobcard.Card, o options) error {
	r, err := reading(card.Rig, o)
	if err == nil && o.sawSomething() {
		card.Readings = append(card.Readings, r)
	}
	return err
}

// reading is the reading that was told, its lineup fitted to the rig.
func reading(rig *network.Rig, o options) (diagnose.Reading, error) {
	r := o.reading
	if len(o.lineups) > 0 {
		lineup, err := ask.Lineup(rig, o.lineups)
		if err != nil {
			return r, fmt.Errorf("%w%w", errUsage, err)
		}
		r.Lineup = lineup
		if !o.sawSomething() {
			return r, fmt.Errorf("%w-lineup: nothing was watched with the valves so; add what was seen, such as -rest 95s", errUsage)
		}
	}
	return r, nil
}

// goneOn reads a card, whose file takes the reading.
func goneOn(o options) (job, error) {
	card, err := jobcard.Read(o.card)
	if err != nil {
		return job{}, fmt.Errorf("this job card cannot be worked as it is written:\n%w", err)
	}
	if o.rig != "" && !same(o.rig, card.RigFile, o.card) {
		return job{}, fmt.Errorf("%w%s is there already and names another water system than %s; leave -rig out to go on with it", errUsage, o.card, o.rig)
	}
	if err := seen(card, o); err != nil {
		return job{}, err
	}
	return job{card, func() error {
		if !o.sawSomething() {
			return nil
		}
		return jobcard.Append(o.card, card.Readings[len(card.Readings)-1])
	}}, nil
}

// begun begins a card on a rig's file, with the reading where one was told.
func begun(o options) (job, error) {
	if o.rig == "-" {
		return job{}, fmt.Errorf("%wa card names the file of its water system; write it to one first, and name that by -rig", errUsage)
	}
	rig, err := ask.Rig(o.rig, nil, nil)
	if err != nil {
		return job{}, fmt.Errorf("this water system cannot be worked as it is written:\n%w", err)
	}
	card := &jobcard.Card{Case: diagnose.Case{Rig: rig}, RigFile: besides(o.card, o.rig)}
	return job{card, func() error { return jobcard.Write(o.card, card) }}, seen(card, o)
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return !errors.Is(err, fs.ErrNotExist)
}

// same reports whether a file is the one that a card names.
func same(file, named, card string) bool {
	if !filepath.IsAbs(named) {
		named = filepath.Join(filepath.Dir(card), filepath.FromSlash(named))
	}
	a, errA := os.Stat(file)
	b, errB := os.Stat(named)
	return errA == nil && errB == nil && os.SameFile(a, b)
}

// besides names a file as it is seen from the folder of another.
func besides(card, file string) string {
	from, err := filepath.Abs(filepath.Dir(card))
	to, errTo := filepath.Abs(file)
	if err != nil || errTo != nil {
		return file
	}
	name, err := filepath.Rel(from, to)
	if err != nil {
		return filepath.ToSlash(to)
	}
	return filepath.ToSlash(name)
}

// workedOut is a card worked out: what it could be, and what comes after.
func workedOut(ctx context.Context, card *jobcard.Card) (*report.Report, error) {
	belief, err := diagnose.From(ctx, card.Case, diagnose.Options{})
	if err != nil {
		return nil, err
	}
	return report.Of(ctx, card.Case, belief, report.Options{})
}

// watched is the first reading that says how often the pump starts, or the first of all.
func watched(readings []diagnose.Reading) diagnose.Reading {
	for _, r := range readings {
		if len(r.Rest)+len(r.Every)+len(r.Count) > 0 {
			return r
		}
	}
	if len(readings) > 0 {
		return readings[0]
	}
	return diagnose.Reading{}
}
