package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"
	"time"

	"quietpump/examples/internal/ask"
	"quietpump/hydraulics/unit"
)

// options is what the command line says.
type options struct {
	file      string
	until     time.Duration
	lineups   ask.Texts
	faults    ask.Texts
	at        []time.Duration
	units     unit.System
	json, csv bool
}

const usage = `timeline shows when a vehicle's water pump runs.

  -rig FILE      the water system; - reads it from standard input; left out: an invented coach
  -until TIME    how long to simulate, such as 1h or 90 min; left out: 1h
  -lineup TEXT   how the valves stand, such as 'fill valve=shut, hookup=on'; may be repeated
  -fault TEXT    what is wrong, such as 'fill valve: 55 mL/min at 45 psi, orifice'; may be repeated
  -at TIMES      times to look at, such as 60s,600s; may be repeated
  -units SYSTEM  us or metric
  -json, -csv    for programs, in SI units
`

// readOptions reads the command line. Its errors say which option and what to write.
func readOptions(args []string) (options, error) {
	var o options
	var at ask.Texts
	var until, units string
	f := flag.NewFlagSet("timeline", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.StringVar(&o.file, "rig", "", "")
	f.StringVar(&until, "until", "1h", "")
	f.StringVar(&units, "units", "us", "")
	f.Var(&o.lineups, "lineup", "")
	f.Var(&o.faults, "fault", "")
	f.Var(&at, "at", "")
	f.BoolVar(&o.json, "json", false, "")
	f.BoolVar(&o.csv, "csv", false, "")
	if err := f.Parse(args); errors.Is(err, flag.ErrHelp) {
		return o, ask.ErrHelp
	} else if err != nil {
		return o, ask.Plainly(err)
	}
	if f.NArg() > 0 {
		return o, ask.Stray(f.Arg(0))
	}
	if o.json && o.csv {
		return o, errors.New("-json and -csv are both asked for; choose one")
	}
	var err error
	if o.until, _, err = unit.ParseDuration(until); err != nil {
		return o, fmt.Errorf("-until: %w; write a time such as 1h or 90 min", err)
	}
	if o.until == 0 {
		return o, errors.New("-until: no time at all would be simulated; write a time such as 1h or 90 min")
	}
	if err = o.units.UnmarshalText([]byte(units)); err != nil {
		return o, fmt.Errorf("-%w", err)
	}
	for _, text := range strings.Split(strings.Join(at, ","), ",") {
		if len(at) == 0 {
			break
		}
		t, _, err := unit.ParseDuration(strings.TrimSpace(text))
		if err != nil {
			return o, fmt.Errorf("-at: %w; write times such as 60s,600s", err)
		}
		if t > o.until {
			return o, fmt.Errorf("-at %s is after the %v that are simulated; make -until longer", strings.TrimSpace(text), o.until)
		}
		o.at = append(o.at, t)
	}
	return o, nil
}
