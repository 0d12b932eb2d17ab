// Whatif simulates a vehicle's water system many times over: with a quantity swept, or with everything that is not known
// exactly drawn within its tolerance, and says which unknown moves the pump's rest most.
//
//	go run ./examples/whatif
//	go run ./examples/whatif -sweep 'accumulator: volume = 0.35 L .. 4 L / 6'
//	go run ./examples/whatif -sweep 'pump: cut_in = 20 psi, 25 psi, 30 psi' -sweep 'fill valve: seep = 10 mL/min .. 100 mL/min / 4'
//
// Without options it draws 256 versions of an invented coach whose fill valve seeps.
//
//	-rig FILE      the water system, TOML or JSON; - reads it from standard input
//	-lineup TEXT   how the valves stand: 'fill valve=shut, hookup=on'; may be repeated
//	-fault TEXT    what is wrong: 'fill valve: 55 mL/min at 45 psi, orifice'; may be repeated
//	-sweep TEXT    a part, a field of its in rig files, and values: a list, or from .. to / how many; at most twice. The field seep
//	               is the size of a fault's seep; altitude and water (its temperature) have no part
//	-n NUMBER      how many rigs are drawn
//	-seed NUMBER   of the draws; the same seed and number give the same rigs
//	-cores NUMBER  to use; left out: all
//	-shard I/N     only every N-th row, beginning with the I-th from 0: for N machines
//	-merge         put together what shards wrote with -json; the files follow
//	-units SYSTEM  us or metric, for people; -json and -csv are always in SI units
//	-json, -csv    for programs
//
// On a terminal a bar shows how far it is. It exits with 0 when done, 1 when a file cannot be read or the work was
// stopped, and 2 when it is asked in a way it does not understand.
//
// # Many machines
//
// As a Kubernetes indexed Job, the shard is $JOB_COMPLETION_INDEX/16; as a Slurm array
//
//	sbatch --array=0-15 --wrap 'whatif -n 100000 -shard $SLURM_ARRAY_TASK_ID/16 -json > $SLURM_ARRAY_TASK_ID.jsonl'
//	whatif -merge *.jsonl
//
// Package whatif has the Job in full.
//
// # JSON
//
// Lines. The first is {what, rig, lineup, faults, seed, count, columns}: what is ensemble or sweep, columns is a list of
// {part, field}. Each further line is a row {index, values, rest_s, run_s, drawdown_m3, pumped_m3, why}: values in the order of the
// columns; where there is no cycle the four are null and why says so. Fields may be added; these stay as they are.
//
// # CSV
//
// The columns are index, one for each of the table's columns, rest_s, run_s, drawdown_m3, pumped_m3, why.
package main

import (
	"context"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"

	"quietpump/examples/internal/ask"
	"quietpump/network"
	"quietpump/sim/whatif"
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

//go:embed coach.rig.toml
var coach []byte

// coachFault is what is wrong with the coach unless another fault is told.
const coachFault = "fill valve: 55 mL/min at 45 psi, film"

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	say := func(exit int, err error) int {
		fmt.Fprintf(stderr, "whatif: %s\n", strings.TrimPrefix(err.Error(), "whatif: "))
		return exit
	}
	o, err := readOptions(args)
	switch {
	case errors.Is(err, ask.ErrHelp):
		fmt.Fprint(stdout, usage)
		return ask.Done
	case err != nil:
		return say(ask.WrongUsage, err)
	case len(o.merge) > 0:
		table, err := merged(o.merge)
		if err != nil {
			return say(ask.Failed, err)
		}
		if err := o.write(stdout, nil, table); err != nil {
			return say(ask.Failed, err)
		}
		return ask.Done
	}
	rig, err := ask.Rig(o.file, coach, stdin)
	if err != nil {
		return say(ask.Failed, fmt.Errorf("this water system cannot be simulated as it is written:\n%w", err))
	}
	study, axes, err := o.study(rig)
	if err != nil {
		return say(ask.WrongUsage, err)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	bar := ask.NewBar(stderr, "rigs")
	study.Progress = bar.Show
	var table *whatif.Table
	if len(axes) > 0 {
		table, err = study.Sweep(ctx, axes...)
	} else {
		table, err = study.Ensemble(ctx, whatif.Draws{Count: o.count, Seed: o.seed})
	}
	bar.Clear()
	if err != nil {
		return say(ask.Failed, err)
	}
	if err := o.write(stdout, rig, table); err != nil {
		return say(ask.Failed, err)
	}
	return ask.Done
}

// write writes a table as it was asked for. Of a merged table there is no rig.
func (o options) write(out io.Writer, rig *network.Rig, t *whatif.Table) error {
	switch {
	case o.json:
		return t.WriteJSON(out)
	case o.csv:
		return t.WriteCSV(out)
	}
	return writePeople(out, o.units, rig, t)
}

// merged reads the tables of shards and puts them together.
func merged(files []string) (*whatif.Table, error) {
	var shards []*whatif.Table
	for _, name := range files {
		f, err := os.Open(name)
		if err != nil {
			return nil, err
		}
		t, err := whatif.ReadJSON(f)
		f.Close()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		shards = append(shards, t)
	}
	return whatif.Merge(shards...)
}
