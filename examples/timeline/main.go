// Timeline simulates a vehicle's water system and shows when its pump ran.
//
//	go run ./examples/timeline
//	go run ./examples/timeline -rig coach.rig.toml -until 2h -fault 'fill valve: 55 mL/min at 45 psi, orifice'
//
// Without options it simulates an invented coach whose fill valve seeps.
//
//	-rig FILE      the water system, TOML or JSON; - reads it from standard input
//	-until TIME    how long to simulate: 1h, 90 min, 1:30:00
//	-lineup TEXT   how the valves stand: 'fill valve=shut, hookup=on'; may be repeated
//	-fault TEXT    what is wrong: 'fill valve: 55 mL/min at 45 psi, orifice'; may be repeated
//	-at TIMES      times to look at: 60s,600s; may be repeated
//	-units SYSTEM  us or metric, for people; -json and -csv are always in SI units
//	-json, -csv    for programs
//
// It exits with 0 when done, 1 when a file cannot be read or simulated, and 2 when it is asked in a way it does not
// understand.
//
// # JSON
//
// One object. Fields may be added; these stay as they are:
//
//	until_s    simulated time, s
//	events     list of {at_s, part, what}, in order of time; what is one of the values of sim.What
//	samples    list of {at_s, pressure_pa, flow_m3s}, one for each time of -at: gauge pressure by joint, null where
//	           nothing decides it; flow by part, from its first joint to its second or out of its joint into it
//	ledger     {parts_m3, stored_m3, in_m3, out_m3, spilled_m3, moved_m3, shift_m3, closure_m3}, as in sim.Ledger
//	effort     {steps, refused, glides, leapt, newton, restarts, factorisations, events, modes}, as in sim.Effort
//	warnings   list of {at_s, part, what}
//	chatter    {part, rate_hz, cause, stopped}, or null
//	assumed    list of {part, field, value, source}: what nobody told, those of pumps and stores first
//
// # CSV
//
// With -at the columns are at_s, name, quantity, value: quantity is pressure_pa or flow_m3s, and value is empty where
// nothing decides a pressure. Without it they are at_s, part, what, one line an event.
package main

import (
	"context"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"os"

	"quietpump/examples/internal/ask"
	"quietpump/network"
	"quietpump/sim"
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

//go:embed coach.rig.toml
var coach []byte

// coachFault is what is wrong with the coach unless another fault is told.
const coachFault = "fill valve: 55 mL/min at 45 psi, orifice"

// A job is what was asked for, and what came of it.
type job struct {
	options
	rig    *network.Rig
	lineup network.Lineup
	wrong  network.Faults
	rec    *sim.Record
}

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	o, err := readOptions(args)
	if errors.Is(err, ask.ErrHelp) {
		fmt.Fprint(stdout, usage)
		return ask.Done
	}
	if err != nil {
		fmt.Fprintf(stderr, "timeline: %v\n", err)
		return ask.WrongUsage
	}
	j := &job{options: o}
	if j.rig, err = ask.Rig(o.file, coach, stdin); err != nil {
		fmt.Fprintf(stderr, "timeline: this water system cannot be simulated as it is written:\n%v\n", err)
		return ask.Failed
	}
	if err = j.fit(); err != nil {
		fmt.Fprintf(stderr, "timeline: %v\n", err)
		return ask.WrongUsage
	}
	if err = j.simulate(); err != nil {
		fmt.Fprintf(stderr, "timeline: %v\n", err)
		return ask.Failed
	}
	write := j.people
	switch {
	case o.json:
		write = j.writeJSON
	case o.csv:
		write = j.writeCSV
	}
	if err = write(stdout); err != nil {
		fmt.Fprintf(stderr, "timeline: %v\n", err)
		return ask.Failed
	}
	return ask.Done
}

// fit fits what was said of valves and faults to the rig.
func (j *job) fit() error {
	var err error
	if j.lineup, err = ask.Lineup(j.rig, j.lineups); err != nil {
		return err
	}
	told := j.faults
	if j.file == "" && len(told) == 0 {
		told = ask.Texts{coachFault}
	}
	for _, text := range told {
		f, err := j.rig.Fault(text)
		if err != nil {
			return fmt.Errorf("-fault: %w", err)
		}
		j.wrong = append(j.wrong, f)
	}
	if err := j.rig.CheckFaults(j.wrong); err != nil {
		return fmt.Errorf("-fault: %w", err)
	}
	return nil
}

func (j *job) simulate() error {
	model, err := sim.Compile(j.rig)
	if err != nil {
		return err
	}
	j.rec, err = model.Simulate(context.Background(), j.lineup, j.wrong, sim.Options{Until: j.until, Samples: j.at})
	return err
}
