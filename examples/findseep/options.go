package main

import (
	"errors"
	"flag"
	"fmt"
	"io"

	"quietpump/examples/internal/ask"
	"quietpump/hydraulics/unit"
	"quietpump/sim/diagnose"
)

// options is what the command line says.
type options struct {
	file    string
	reading diagnose.Reading
	lineups ask.Texts
	units   unit.System
	json    bool
}

// nothingSeen reports whether no reading was told.
func (o options) nothingSeen() bool {
	r := o.reading
	return len(r.Rest)+len(r.Run)+len(r.Every)+len(r.Cup) == 0
}

const usage = `findseep works out from how often the pump starts how much water gets away, and where it could be going.

  -rig FILE      the water system; - reads it from standard input; left out: an invented coach
  -rest TIME     from the pump's stop to its next start, such as 95s or '95 s ± 2'; may be repeated
  -run TIME      from its start to its stop; may be repeated or left out
  -every TIME    from start to start, where only that was watched, such as 20m; may be repeated
  -cup AMOUNT    drawn slowly from just after the pump stopped until it started, such as 2floz; may be repeated
  -lineup TEXT   how the valves stood, such as 'fill valve=shut, hookup=on'; may be repeated
  -units SYSTEM  us or metric
  -json          for programs, in SI units
`

// readOptions reads the command line. Its errors say which option and what to write.
func readOptions(args []string) (options, error) {
	var o options
	var rest, ran, every, cup ask.Texts
	var units string
	f := flag.NewFlagSet("findseep", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.StringVar(&o.file, "rig", "", "")
	f.StringVar(&units, "units", "us", "")
	f.Var(&rest, "rest", "")
	f.Var(&ran, "run", "")
	f.Var(&every, "every", "")
	f.Var(&cup, "cup", "")
	f.Var(&o.lineups, "lineup", "")
	f.BoolVar(&o.json, "json", false, "")
	if err := f.Parse(args); errors.Is(err, flag.ErrHelp) {
		return o, ask.ErrHelp
	} else if err != nil {
		return o, ask.Plainly(err)
	}
	if f.NArg() > 0 {
		return o, ask.Stray(f.Arg(0))
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
	for _, text := range cup {
		v, err := unit.Parse[unit.Volume](text)
		if err != nil {
			return o, fmt.Errorf("-cup: %w; write an amount such as 2floz or '60 mL'", err)
		}
		o.reading.Cup = append(o.reading.Cup, v)
	}
	return o, nil
}
