package chart_test

import (
	"context"
	"fmt"
	"io"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
	"quietpump/sim/chart"
)

// An hour of a seeping fill valve, of which the first ten minutes are drawn. The
// SVG goes to any writer; here its words are printed.
func ExampleWatched() {
	rig, err := rigfile.Read("../../testdata/rigs/twopath.rig.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	model, err := sim.Compile(rig)
	if err != nil {
		fmt.Println(err)
		return
	}
	seep, err := rig.Fault("fill valve: 55 mL/min at 45 psi, orifice")
	if err != nil {
		fmt.Println(err)
		return
	}
	rec, err := model.Simulate(context.Background(), nil, network.Faults{seep}, sim.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	pump, _ := rig.Part("pump")
	timeline, err := chart.Watched(rec, pump.(network.Pump), 0, 10*time.Minute)
	if err != nil {
		fmt.Println(err)
		return
	}
	figure := chart.Figure{Picture: timeline, Width: 720}
	if err := figure.SVG(io.Discard, unit.US, "pressure"); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(figure.Title(unit.US))
	fmt.Println(figure.Words(unit.US))
	// Output:
	// The pump starts twice in 10 min, after about 3.6 min of quiet each time
	// Pressure against time, over 10 min. It lies between 30 psi and 45 psi. The pump starts at 30 psi and stops at 45 psi. It runs at 3.6 min for 1.7 s. It runs at 7.3 min for 1.7 s.
}

// A sweep has the reader's units on its axes.
func ExampleSweep() {
	s := chart.Sweep{
		X:     chart.Axis{Name: "accumulator volume", Values: chart.Quantities(0.25*unit.Litre, 0.5*unit.Litre, 1*unit.Litre)},
		Y:     "rest",
		Lines: []chart.Line{{Values: chart.Times(40*time.Second, 80*time.Second, 160*time.Second)}},
	}
	fmt.Println(s.Title(unit.Metric))
	// Output:
	// Rest grows from 40 s to 2.7 min as accumulator volume goes from 250 mL to 1 L
}
