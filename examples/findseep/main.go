// Findseep does the whole job: from how often the pump starts while every tap is shut it works out how much water gets
// away and which part lets it by, what to look at or to try next, what waiting costs, how to cure or swap the part, and
// how long a quiet pump proves it.
//
//	go run ./examples/findseep
//	go run ./examples/findseep -rig coach.rig.toml -rest 95s -run '1.7 s ± 0.4' -cup 2floz -lineup 'hookup=off'
//	go run ./examples/findseep -rig coach.rig.toml -card coach.card.toml -rest 95s
//	go run ./examples/findseep -card coach.card.toml -no-start 12m -lineup 'hookup=off, heater inlet valve=shut' -html coach.html
//
// Without options it works an invented job.
//
//	-card FILE     a job card, TOML or JSON: the water system, what was seen and done so far. What is told beside it is
//	               added to the file in one step, or not at all; where there is none yet, one is begun on -rig
//	-rig FILE      the water system, TOML or JSON; - reads it from standard input
//	-rest TIME     from the pump's stop to its next start; may be repeated, ± works
//	-run TIME      from its start to its stop; may be repeated or left out
//	-every TIME    from start to start, where only that was watched; may be repeated
//	-no-start TIME it stayed quiet for so long
//	-cup AMOUNT    water drawn slowly from just after the pump stopped until it started: 2floz, 60 mL; may be repeated
//	-look TEXT     what was looked for, and whether it was there: 'galley tap: drip=no'; may be repeated
//	-lineup TEXT   how the valves stood: 'fill valve=shut, hookup=on'; may be repeated
//	-html FILE     write it as a page of its own, that prints
//	-brief         the answer and the next step alone
//	-units SYSTEM  us or metric, for people; -json is always in SI units
//	-json          for programs
//
// It exits with 0 when done, 1 when a file or a reading cannot be used, and 2 when it is asked in a way it does not
// understand.
//
// # JSON
//
// One object. Fields may be added; these stay as they are. Flows and volumes of a seep are at the pressure seep.at_pa
// across it; an interval is 95 %.
//
//	seen      {rest_s, run_s, every_s, cup_m3, lineup, readings}: what the first reading timed, how the valves stood, and
//	          how many readings there are
//	seep      {low_m3s, mid_m3s, high_m3s, at_pa, ways}: what gets away, whatever lets it by; ways is a list of
//	          {by, low_m3s, mid_m3s, high_m3s}, by being rest, run or cup
//	drawdown  {low_m3, high_m3}: the water that storage gives up in a rest
//	paths     list of {to, where, parts, words}: the ways by which the water could be leaving as the valves stood
//	suspects  list of {part, name, kind, group, belief, group_belief, ends, seep_low_m3s, seep_m3s, seep_high_m3s, rest_s,
//	          run_s, worst}, most believed first: what it could be. part is the part at fault, empty where no one part
//	          is, and parts has all; kind is suspect, benign, pair, healthy or none; group has the names of those that
//	          no test that is left can tell apart, itself among them, and is empty where it stands alone; belief is 0
//	          to 1; rest and run are what it would make the pump do, zero where it would not start; worst is the
//	          reading that it fits worst, else empty
//	next      {do, part, what, lineup, watch_s, minutes, total_minutes, outcomes, cautions, or_else}: the step that brings
//	          a pump that is proved quiet soonest, or null. do is test, look, cure, swap or hold test; lineup is how to
//	          set the valves for a test and watch_s how long to watch; minutes are the step's, total_minutes those to a
//	          quiet pump on average; outcomes is a list of {what, chance, then}, then naming who would lead; or_else is
//	          a list of further such steps without an or_else of their own
//	refused   list of {rule, lineup, why}: what is never advised on this water system
//	waiting   {water_m3, starts, charge_as, weight_kg, tanks, pools}, or null: a day of leaving it; each of the first four
//	          is {low, mid, high}, charge_as null where the pump's current is not known; tanks is a list of
//	          {tank, what, in_s}, what being empty or full; pools says that the water may gather out of sight
//	cures     list of {what, how, minutes, chance, cautions}: what to try before a swap
//	worksheet {part, lineup, steps}, or null: the swap; steps is a list of {what, cautions}
//	hold      {quiet_s, below_m3s, share, too_long, steps}, or null: how long the pump must be quiet to prove that less than
//	          below_m3s, a share of what it was, gets away; too_long says that nobody stands by for so long
//	findings  list of {what, words}
//	assumed   list of {part, field, value, source, share, told}: what nobody told, or with told true what was told
//	          without ±; share of the doubt about the size, 0 to 1
//	cautions  list of text
package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"

	"quietpump/examples/internal/ask"
	"quietpump/hydraulics/unit"
	"quietpump/network/rigfile/document"
	"quietpump/sim/report"
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	o, err := readOptions(args)
	if errors.Is(err, ask.ErrHelp) {
		fmt.Fprint(stdout, usage)
		return ask.Done
	}
	if err != nil {
		fmt.Fprintf(stderr, "findseep: %v\n", err)
		return ask.WrongUsage
	}
	if err := answer(o, stdin, stdout); err != nil {
		fmt.Fprintf(stderr, "findseep: %v\n", err)
		if errors.Is(err, errUsage) {
			return ask.WrongUsage
		}
		return ask.Failed
	}
	return ask.Done
}

// answer works the job out and writes it as it was asked for.
func answer(o options, stdin io.Reader, stdout io.Writer) error {
	job, err := jobOf(o, stdin)
	if err != nil {
		return err
	}
	r, err := workedOut(context.Background(), job.card)
	if err != nil {
		return err
	}
	if err := job.keep(); err != nil {
		return err
	}
	if o.html != "" {
		var page bytes.Buffer
		if err := report.HTML(&page, r, o.units); err != nil {
			return err
		}
		if err := document.WriteFile(o.html, page.Bytes()); err != nil {
			return err
		}
	}
	var write func(io.Writer, *report.Report, unit.System) error
	switch {
	case o.json:
		write = writeJSON
	case o.brief:
		write = report.Brief
	default:
		write = report.Text
	}
	return write(stdout, r, o.units)
}
