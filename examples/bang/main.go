// Bang shuts a tap and shows how high the pressure wave goes, with an accumulator and without.
//
//	go run ./examples/bang
//	go run ./examples/bang -rig coach.rig.toml -tap 'shower head' -over 20ms -svg bang.svg
//
// Without options it shuts the galley tap of an invented coach in 50 ms.
//
//	-rig FILE          the water system, TOML or JSON; - reads it from standard input
//	-tap NAME          the tap that is shut; left out: the first that is neither hot nor a toilet
//	-over TIME         in how long, such as 50ms or 0.2 s; 0s is at once
//	-until TIME        how long to watch, such as 500ms
//	-lineup TEXT       how the other valves stand: 'hookup=on, pump=off'; may be repeated
//	-accumulator SIZE  the accumulator's size, where the water system has none or another is wanted: 0.75 L
//	-rating PRESSURE   what the weakest part bears; left out: 100 psi, as fittings of PEX tube do
//	-walls TEMPERATURE of tubes and water, such as 70 °F
//	-units SYSTEM      us or metric, for people; -json is always in SI units
//	-svg FILE          the picture; - writes it to standard output in place of the words
//	-json              for programs
//
// It exits with 0 when done, 1 when a file cannot be read or simulated, and 2 when it is asked in a way it does not
// understand.
//
// # JSON
//
// One object. Fields may be added; these stay as they are:
//
//	tap, over_s, until_s   what was done
//	rating_pa              what the weakest part was taken to bear
//	cases                  list of {name, accumulator_m3, highest, lowest, tubes, joints, events, cavities, backflow_m3s, warnings, grid}:
//	                       without an accumulator, then with it; highest and lowest are {pressure_pa, tube, joint, x_m, at_s},
//	                       tube or joint being empty; tubes are {tube, speed_m_s, speed_least_m_s, speed_most_m_s, rounding, x_m,
//	                       start_pa, highest_pa, lowest_pa}; joints {joint, start_pa, highest_pa, lowest_pa}; events {at_s, part, what};
//	                       cavities {tube, joint, at_m, volume_m3, share, from_s, to_s}; backflow_m3s the most that ran back through each check;
//	                       warnings {at_s, part, what}; grid {step_s, reaches, steps, rounding, tube}
//	sizes                  list of {accumulator_m3, highest_pa}, where the accumulator stands
//	beside_tap             the same of a small one at the tap, and the highest there
//	assumed                list of {part, field, value, source}: what nobody told
package main

import (
	"bytes"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"os"

	"quietpump/examples/internal/ask"
	"quietpump/network/rigfile/document"
	"quietpump/sim/chart"
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

//go:embed coach.rig.toml
var coach []byte

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	o, err := readOptions(args)
	if errors.Is(err, ask.ErrHelp) {
		fmt.Fprint(stdout, usage)
		return ask.Done
	}
	if err != nil {
		fmt.Fprintf(stderr, "bang: %v\n", err)
		return ask.WrongUsage
	}
	j := &job{options: o}
	if j.rig, err = ask.Rig(o.file, coach, stdin); err != nil {
		fmt.Fprintf(stderr, "bang: this water system cannot be simulated as it is written:\n%v\n", err)
		return ask.Failed
	}
	if err = j.fit(); err != nil {
		fmt.Fprintf(stderr, "bang: %v\n", err)
		return ask.WrongUsage
	}
	if err = j.watch(); err == nil {
		err = j.write(stdout)
	}
	if err != nil {
		fmt.Fprintf(stderr, "bang: %v\n", err)
		return ask.Failed
	}
	return ask.Done
}

// write writes what was asked for.
func (j *job) write(stdout io.Writer) error {
	if j.json {
		return j.writeJSON(stdout)
	}
	if j.svg == "" {
		return j.people(stdout)
	}
	var svg bytes.Buffer
	if err := (chart.Figure{Picture: j.picture(), Width: 640}).SVG(&svg, j.units, "bang"); err != nil {
		return err
	}
	if j.svg == "-" {
		_, err := svg.WriteTo(stdout)
		return err
	}
	if err := document.WriteFile(j.svg, svg.Bytes()); err != nil {
		return err
	}
	return j.people(stdout)
}
