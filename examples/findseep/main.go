// Findseep works out how much water gets away while every tap is shut, where it could be going, and what each part
// that could be letting it by would look like, from how often the pump starts.
//
//	go run ./examples/findseep
//	go run ./examples/findseep -rig coach.rig.toml -rest 95s -run '1.7 s ± 0.4' -cup 2floz -lineup 'hookup=off'
//
// Without options it works an invented case.
//
//	-rig FILE      the water system, TOML or JSON; - reads it from standard input
//	-rest TIME     from the pump's stop to its next start; may be repeated, ± works
//	-run TIME      from its start to its stop; may be repeated or left out
//	-every TIME    from start to start, where only that was watched; may be repeated
//	-cup AMOUNT    water drawn slowly from just after the pump stopped until it started: 2floz, 60 mL; may be repeated
//	-lineup TEXT   how the valves stood: 'fill valve=shut, hookup=on'; may be repeated
//	-units SYSTEM  us or metric, for people; -json is always in SI units
//	-json          for programs
//
// It exits with 0 when done, 1 when a file or a reading cannot be used, and 2 when it is asked in a way it does not
// understand.
//
// # JSON
//
// One object. Fields may be added; these stay as they are:
//
//	seen      {rest_s, run_s, every_s, cup_m3, lineup}: what was read, as lists, and how the valves stood
//	seep      {low_m3s, mid_m3s, high_m3s, at_pa, ways}: the size at a pressure across the seep, 95 %; ways is a list of
//	          {by, low_m3s, mid_m3s, high_m3s}, by being rest, run or cup
//	drawdown  {low_m3, high_m3}: the water that storage gives up in a rest, 95 %
//	paths     list of {to, where, parts, words}: the ways by which the water could be leaving
//	suspects  list of {part, name, ends, seep_m3s, rest_s, run_s, unfit}: each suspect's seep sized to the readings, and
//	          what then follows; unfit says why no size will do, else it is empty
//	findings  list of {what, words}
//	assumed   list of {part, field, value, source, share}: what nobody told; share of the doubt about the size, 0 to 1
//	cautions  list of text
package main

import (
	"context"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"os"

	"quietpump/examples/internal/ask"
	"quietpump/sim"
	"quietpump/sim/diagnose"
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

const (
	done       = 0
	failed     = 1
	wrongUsage = 2
)

//go:embed coach.rig.toml
var coach []byte

// What was seen on the invented coach, where nothing else is told.
var coachSeen = []string{"-rest", "95 s", "-rest", "97 s", "-run", "1.1 s", "-cup", "2.5 fl oz", "-lineup", "hookup=off"}

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	o, err := readOptions(args)
	if errors.Is(err, ask.ErrHelp) {
		fmt.Fprint(stdout, usage)
		return done
	}
	if err == nil && o.file == "" && o.nothingSeen() {
		o, err = readOptions(append(coachSeen, args...))
	}
	if err != nil {
		fmt.Fprintf(stderr, "findseep: %v\n", err)
		return wrongUsage
	}
	rig, err := ask.Rig(o.file, coach, stdin)
	if err != nil {
		fmt.Fprintf(stderr, "findseep: this water system cannot be worked as it is written:\n%v\n", err)
		return failed
	}
	if o.reading.Lineup, err = ask.Lineup(rig, o.lineups); err != nil {
		fmt.Fprintf(stderr, "findseep: %v\n", err)
		return wrongUsage
	}
	model, err := sim.Compile(rig)
	if err != nil {
		fmt.Fprintf(stderr, "findseep: %v\n", err)
		return failed
	}
	answer, err := diagnose.First(context.Background(), model, o.reading, diagnose.Options{})
	if err != nil {
		fmt.Fprintf(stderr, "findseep: %v\n", err)
		return failed
	}
	write := writePeople
	if o.json {
		write = writeJSON
	}
	if err := write(stdout, o, rig, answer); err != nil {
		fmt.Fprintf(stderr, "findseep: %v\n", err)
		return failed
	}
	return done
}
