package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"time"

	"quietpump/examples/internal/ask"
	"quietpump/hydraulics/unit"
)

// options is what the command line says.
type options struct {
	file, tap   string
	over, until time.Duration
	lineups     ask.Texts
	bottle      unit.Volume
	rating      unit.Pressure
	walls       unit.Temperature
	units       unit.System
	svg         string
	json        bool
}

const usage = `bang shuts a tap and shows how high the pressure wave goes.

  -rig FILE          the water system; - reads it from standard input; left out: an invented coach
  -tap NAME          the tap that is shut; left out: the first that is neither hot nor a toilet
  -over TIME         in how long, such as 50ms; 0s is at once; left out: 50ms
  -until TIME        how long to watch; left out: 500ms
  -lineup TEXT       how the other valves stand, such as 'hookup=on, pump=off'; may be repeated
  -accumulator SIZE  the accumulator's size, such as 0.75 L; left out: the water system's own, or 0.75 L
  -rating PRESSURE   what the weakest part bears; left out: 100 psi, as fittings of PEX tube do
  -walls TEMPERATURE of tubes and water; left out: 68 °F
  -units SYSTEM      us or metric
  -svg FILE          the picture; - writes it to standard output in place of the words
  -json              for programs, in SI units
`

// pexFittings is the pressure for which fittings of PEX tube are made, up to 180 °F:
// scope of ASTM F1807.
const pexFittings = "100 psi"

// readOptions reads the command line. Its errors say which option and what to write.
func readOptions(args []string) (options, error) {
	var o options
	var over, until, bottle, rating, walls, units string
	f := flag.NewFlagSet("bang", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.StringVar(&o.file, "rig", "", "")
	f.StringVar(&o.tap, "tap", "", "")
	f.StringVar(&over, "over", "50ms", "")
	f.StringVar(&until, "until", "500ms", "")
	f.Var(&o.lineups, "lineup", "")
	f.StringVar(&bottle, "accumulator", "", "")
	f.StringVar(&rating, "rating", pexFittings, "")
	f.StringVar(&walls, "walls", "20 °C", "")
	f.StringVar(&units, "units", "us", "")
	f.StringVar(&o.svg, "svg", "", "")
	f.BoolVar(&o.json, "json", false, "")
	if err := f.Parse(args); errors.Is(err, flag.ErrHelp) {
		return o, ask.ErrHelp
	} else if err != nil {
		return o, ask.Plainly(err)
	}
	if f.NArg() > 0 {
		return o, ask.Stray(f.Arg(0))
	}
	if o.json && o.svg != "" {
		return o, errors.New("-json and -svg are both asked for; choose one")
	}
	var err error
	if o.over, err = span(over); err != nil {
		return o, fmt.Errorf("-over: %w; write a time such as 50ms", err)
	}
	if o.until, err = span(until); err != nil || o.until == 0 {
		return o, fmt.Errorf("-until %q: write a time such as 500ms", until)
	}
	const longest = time.Minute
	if o.until > longest || o.over > longest {
		return o, fmt.Errorf("a wave has died away long before %v: write a shorter time", longest)
	}
	if bottle != "" {
		v, err := unit.Parse[unit.Volume](bottle)
		if err != nil || v.Value <= 0 {
			return o, fmt.Errorf("-accumulator %q: write a size such as 0.75 L", bottle)
		}
		o.bottle = v.Value
	}
	p, err := unit.Parse[unit.Pressure](rating)
	if err != nil || p.Value <= 0 {
		return o, fmt.Errorf("-rating %q: write a pressure such as 100 psi", rating)
	}
	o.rating = p.Value
	t, err := unit.Parse[unit.Temperature](walls)
	if err != nil || t.Value < unit.Celsius(0) || t.Value > unit.Celsius(90) {
		return o, fmt.Errorf("-walls %q: write a temperature from 32 °F to 194 °F", walls)
	}
	o.walls = t.Value
	if err = o.units.UnmarshalText([]byte(units)); err != nil {
		return o, fmt.Errorf("-%w", err)
	}
	return o, nil
}

// span reads a time, in milliseconds too.
func span(text string) (time.Duration, error) {
	if d, err := time.ParseDuration(text); err == nil && d >= 0 {
		return d, nil
	}
	d, _, err := unit.ParseDuration(text)
	return d, err
}
