package main

import (
	"errors"
	"flag"
	"fmt"
	"io"

	"quietpump/examples/internal/ask"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/whatif"
)

// options is what the command line says.
type options struct {
	file      string
	lineups   ask.Texts
	faults    ask.Texts
	sweeps    ask.Texts
	count     int
	seed      uint64
	cores     int
	shard     whatif.Shard
	merge     []string
	units     unit.System
	json, csv bool
}

const usage = `whatif simulates a vehicle's water system many times, and says what moves the pump's rest.

  -rig FILE      the water system; - reads it from standard input; left out: an invented coach
  -lineup TEXT   how the valves stand, such as 'fill valve=shut, hookup=on'; may be repeated
  -fault TEXT    what is wrong, such as 'fill valve: 55 mL/min at 45 psi, orifice'; may be repeated
  -sweep TEXT    such as 'accumulator: volume = 0.35 L .. 4 L / 6' or 'pump: cut_in = 20 psi, 30 psi'; at most twice
  -n NUMBER      how many rigs are drawn within what is known of this one; left out: 256
  -seed NUMBER   of the draws
  -cores NUMBER  to use; left out: all
  -shard I/N     only every N-th row, beginning with the I-th from 0: for N machines
  -merge FILES   put together what shards wrote with -json
  -units SYSTEM  us or metric
  -json, -csv    for programs, in SI units
`

// readOptions reads the command line. Its errors say which option and what to write.
func readOptions(args []string) (options, error) {
	var o options
	var units, shard string
	var merge bool
	f := flag.NewFlagSet("whatif", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.StringVar(&o.file, "rig", "", "")
	f.Var(&o.lineups, "lineup", "")
	f.Var(&o.faults, "fault", "")
	f.Var(&o.sweeps, "sweep", "")
	f.IntVar(&o.count, "n", 256, "")
	f.Uint64Var(&o.seed, "seed", 0, "")
	f.IntVar(&o.cores, "cores", 0, "")
	f.StringVar(&shard, "shard", "", "")
	f.BoolVar(&merge, "merge", false, "")
	f.StringVar(&units, "units", "us", "")
	f.BoolVar(&o.json, "json", false, "")
	f.BoolVar(&o.csv, "csv", false, "")
	if err := f.Parse(args); errors.Is(err, flag.ErrHelp) {
		return o, ask.ErrHelp
	} else if err != nil {
		return o, ask.Plainly(err)
	}
	o.merge = f.Args()
	switch {
	case merge && len(o.merge) == 0:
		return o, errors.New("-merge: name the files that shards wrote with -json")
	case !merge && f.NArg() > 0:
		return o, ask.Stray(f.Arg(0))
	case o.json && o.csv:
		return o, errors.New("-json and -csv are both asked for; choose one")
	case o.count < 1:
		return o, fmt.Errorf("-n %d: draw one rig at least", o.count)
	case o.cores < 0:
		return o, fmt.Errorf("-cores %d: use one at least, or leave it out", o.cores)
	case len(o.sweeps) > 2:
		return o, errors.New("-sweep: two quantities at most")
	}
	if shard != "" {
		var err error
		if o.shard, err = whatif.ParseShard(shard); err != nil {
			return o, fmt.Errorf("-shard: %w", err)
		}
		if !o.json && !o.csv {
			return o, errors.New("-shard: a shard's rows are for -json, to be put together by -merge")
		}
	}
	if err := o.units.UnmarshalText([]byte(units)); err != nil {
		return o, fmt.Errorf("-%w", err)
	}
	return o, nil
}

// study fits what was said to the rig.
func (o options) study(rig *network.Rig) (whatif.Study, []whatif.Axis, error) {
	s := whatif.Study{Rig: rig, Batch: whatif.Batch{Shard: o.shard, Cores: o.cores}}
	var err error
	if s.Lineup, err = ask.Lineup(rig, o.lineups); err != nil {
		return s, nil, err
	}
	told := o.faults
	if o.file == "" && len(told) == 0 {
		told = ask.Texts{coachFault}
	}
	for _, text := range told {
		f, err := rig.Fault(text)
		if err != nil {
			return s, nil, fmt.Errorf("-fault: %w", err)
		}
		s.Faults = append(s.Faults, f)
	}
	if err := rig.CheckFaults(s.Faults); err != nil {
		return s, nil, fmt.Errorf("-fault: %w", err)
	}
	var axes []whatif.Axis
	for _, text := range o.sweeps {
		a, err := readAxis(rig, text)
		if err != nil {
			return s, nil, fmt.Errorf("-sweep %q: %w", text, err)
		}
		axes = append(axes, a)
	}
	return s, axes, nil
}
