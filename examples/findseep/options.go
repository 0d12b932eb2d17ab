package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"

	"quietpump/examples/internal/ask"
	"quietpump/hydraulics/unit"
	"quietpump/sim/diagnose"
)

// options is what the command line says.
type options struct {
	card, rig   string // files
	html        string
	reading     diagnose.Reading
	lineups     ask.Texts
	units       unit.System
	json, brief bool
}

// sawSomething reports whether a reading was told.
func (o options) sawSomething() bool {
	r := o.reading
	return len(r.Rest)+len(r.Run)+len(r.Every)+len(r.Cup)+len(r.Look) > 0 || r.NoStart > 0
}

const usage = `findseep names the part that lets water by while every tap is shut, from how often the pump starts, and says
what to look at next, what waiting costs, how to swap the part and how long a quiet pump proves it.

  -card FILE     a job card: the water system, what was seen and done so far; a reading told here is added to it
  -rig FILE      the water system, for a card in memory or one to be begun; - reads it from standard input
  -rest TIME     from the pump's stop to its next start, such as 95s or '95 s ± 2'; may be repeated
  -run TIME      from its start to its stop; may be repeated or left out
  -every TIME    from start to start, where only that was watched, such as 20m; may be repeated
  -no-start TIME it stayed quiet for so long, such as 12m
  -cup AMOUNT    drawn slowly from just after the pump stopped until it started, such as 2floz; may be repeated
  -look TEXT     what was looked for and whether it was there, such as 'galley tap: drip=no'; may be repeated
  -lineup TEXT   how the valves stood, such as 'fill valve=shut, hookup=on'; may be repeated
  -html FILE     write it as a page that prints
  -brief         the answer and the next step alone
  -units SYSTEM  us or metric
  -json          for programs, in SI units

Left out: -card and -rig both, an invented job; the rest, nothing.
`

// readOptions reads the command line. Its errors say which option and what to write.
func readOptions(args []string) (options, error) {
	var o options
	var rest, ran, every, cup, look ask.Texts
	var units, noStart string
	f := flag.NewFlagSet("findseep", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.StringVar(&o.card, "card", "", "")
	f.StringVar(&o.rig, "rig", "", "")
	f.StringVar(&o.html, "html", "", "")
	f.StringVar(&units, "units", "us", "")
	f.StringVar(&noStart, "no-start", "", "")
	f.Var(&rest, "rest", "")
	f.Var(&ran, "run", "")
	f.Var(&every, "every", "")
	f.Var(&cup, "cup", "")
	f.Var(&look, "look", "")
	f.Var(&o.lineups, "lineup", "")
	f.BoolVar(&o.json, "json", false, "")
	f.BoolVar(&o.brief, "brief", false, "")
	if err := f.Parse(args); errors.Is(err, flag.ErrHelp) {
		return o, ask.ErrHelp
	} else if err != nil {
		return o, ask.Plainly(err)
	}
	if f.NArg() > 0 {
		return o, ask.Stray(f.Arg(0))
	}
	if o.json && o.brief {
		return o, errors.New("-json and -brief: choose one")
	}
	if err := o.units.UnmarshalText([]byte(units)); err != nil {
		return o, fmt.Errorf("-%w", err)
	}
	for _, k := range []struct {
		name string
		told ask.Texts
		into *[]diagnose.Time
	}{{"rest", rest, &o.reading.Rest}, {"run", ran, &o.reading.Run}, {"every", every, &o.reading.Every}} {
		for _, text := range k.told {
			t, sd, err := unit.ParseDuration(text)
			if err != nil {
				return o, fmt.Errorf("-%s: %w; write a time such as 95s or '95 s ± 2'", k.name, err)
			}
			*k.into = append(*k.into, diagnose.Time{Value: t, SD: sd})
		}
	}
	if noStart != "" {
		t, _, err := unit.ParseDuration(noStart)
		if err != nil {
			return o, fmt.Errorf("-no-start: %w; write a time such as 12m", err)
		}
		o.reading.NoStart = t
	}
	for _, text := range cup {
		v, err := unit.Parse[unit.Volume](text)
		if err != nil {
			return o, fmt.Errorf("-cup: %w; write an amount such as 2floz or '60 mL'", err)
		}
		o.reading.Cup = append(o.reading.Cup, v)
	}
	for _, text := range look {
		l, err := readLook(text)
		if err != nil {
			return o, fmt.Errorf("-look: %w", err)
		}
		o.reading.Look = append(o.reading.Look, l)
	}
	return o, nil
}

// readLook reads a thing that was looked for: where: what=yes or no.
func readLook(text string) (diagnose.Look, error) {
	at, rest, ok := strings.Cut(text, ":")
	what, saw, told := strings.Cut(rest, "=")
	l := diagnose.Look{At: strings.TrimSpace(at), For: diagnose.For(strings.TrimSpace(what)), Saw: diagnose.Told(strings.TrimSpace(saw))}
	known := []diagnose.For{diagnose.Drip, diagnose.Warm, diagnose.Hiss, diagnose.LeftOn}
	if !ok || !told || l.At == "" || !slices.Contains(known, l.For) || l.Saw != diagnose.Yes && l.Saw != diagnose.No {
		return l, fmt.Errorf("%q: write where, then drip, warm, hiss or left on, then yes or no, such as 'galley tap: drip=no'", text)
	}
	return l, nil
}
