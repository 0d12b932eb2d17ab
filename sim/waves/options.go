package waves

import (
	"errors"
	"fmt"
	"time"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// Options of a run. The zero Options watch half a second in which nothing is moved.
type Options struct {
	Until time.Duration // how long to watch; zero: half a second
	Moves []Move        // what hands do meanwhile, in any order

	// Rig is what the steady answer it starts from is asked with: what stands at the
	// start, altitude, water. Its span, schedule and samples are not used.
	Rig  sim.Options
	From *sim.Sample // where it starts in place of the steady answer; of the same model, lineup and faults

	Walls    unit.Temperature // of the tubes, and of the water where Rig says nothing; zero: 20 °C
	Exponent float64          // n of P·Vⁿ of gas that is squeezed in milliseconds; zero: 1.4
	Spin     time.Duration    // in which a pump's motor comes to full speed or to rest; zero: 50 ms, common practice, no source

	Step        time.Duration // zero: the longest that is off by no more than 2 % and 20 µs in any tube, 0.2 ms at most
	QuasiSteady bool          // friction as in steady flow, without what a change of flow adds to it
	IdealChecks bool          // check valves shut and open without inertia, at the turn of the flow

	Watch []string // joints whose pressure is kept at every step
}

// A Move is a change of the lineup that takes its time: an opening goes in a
// straight line from what it was to what it will be. What is no opening, such as
// a pump's power, changes at once.
type Move struct {
	At     time.Duration
	Over   time.Duration  // zero: at once
	Lineup network.Lineup // parts that are set anew; the others stay
}

const (
	ordinarySpan = 500 * time.Millisecond
	ordinarySpin = 50 * time.Millisecond
	longestSpan  = 10 * time.Minute
	adiabatic    = 1.4 // of air
)

// filled is the options with the ordinary in place of zero, or what is wrong.
func (o Options) filled() (Options, error) {
	var errs []error
	refuse := func(format string, args ...any) { errs = append(errs, fmt.Errorf("waves: "+format, args...)) }
	if o.Until == 0 {
		o.Until = ordinarySpan
	}
	if o.Until < 0 || o.Until > longestSpan {
		refuse("until %v: watch for more than nothing and at most %v; package sim simulates longer", o.Until, longestSpan)
	}
	if o.Exponent == 0 {
		o.Exponent = adiabatic
	}
	if !(o.Exponent >= 1 && o.Exponent <= 1.67) {
		refuse("exponent %g of the gas: give 1 (slow) to 1.4 (quick)", o.Exponent)
	}
	if o.Spin == 0 {
		o.Spin = ordinarySpin
	}
	if o.Spin < 0 {
		refuse("spin %v: a motor cannot take less than no time", o.Spin)
	}
	if o.Step < 0 {
		refuse("step %v: give a time, or none for the usual", o.Step)
	}
	if o.Walls == 0 {
		o.Walls = unit.Celsius(20)
	}
	if !(o.Walls >= unit.Celsius(0) && o.Walls <= unit.Celsius(90)) {
		refuse("walls at %v: give 0 to 90 °C", o.Walls)
	} else if w := o.Rig.Water; w.Density == 0 && w.Viscosity == 0 {
		o.Rig.Water = hydraulics.WaterAt(o.Walls)
	}
	for i, m := range o.Moves {
		if m.At < 0 || m.Over < 0 {
			refuse("move %d is at %v over %v; neither can be below zero", i+1, m.At, m.Over)
		}
	}
	return o, errors.Join(errs...)
}
