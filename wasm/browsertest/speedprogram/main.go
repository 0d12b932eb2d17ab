// Speedprogram does what takes the time, natively, in Node or in a browser: an hour and a
// day of bench30, every cycle taken, and a belief with its advice. Each is done over and over
// until it is warm, and then again between two lines of output, by which whoever started it
// looks at the processor's clock.
package main

import (
	"context"
	"fmt"
	"os"
	"time"

	"quietpump/hydraulics"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
	"quietpump/sim/diagnose"
	"quietpump/testdata/rigs"
)

func main() {
	hour, err := cycling(time.Hour)
	exit(err)
	day, err := cycling(24 * time.Hour)
	exit(err)
	belief, about, err := believing()
	exit(err)
	for _, task := range []struct {
		name  string
		times int // until a browser's compiler has done its best, and again
		do    func() error
	}{{"hour", 300, hour}, {"day", 20, day}, {about, 10, belief}} {
		run := func() {
			for range task.times {
				exit(task.do())
			}
		}
		run()
		pause() // for the compiler to finish
		fmt.Println("speed begin", task.name)
		pause()
		run()
		fmt.Println("speed end", task.times, task.name)
		pause()
	}
	fmt.Println("speed done")
}

// pause gives a browser its turn, to pass a line on.
func pause() { time.Sleep(500 * time.Millisecond) }

func exit(err error) {
	if err != nil {
		fmt.Println("speed failed:", err)
		os.Exit(1)
	}
}

func model(name string) (*network.Rig, *sim.Model, error) {
	text, err := rigs.Files.ReadFile(name + ".rig.toml")
	if err != nil {
		return nil, nil, err
	}
	rig, err := rigfile.Parse(name, text)
	if err != nil {
		return nil, nil, err
	}
	m, err := sim.Compile(rig)
	return rig, m, err
}

func cycling(span time.Duration) (func() error, error) {
	rig, m, err := model("bench30")
	if err != nil {
		return nil, err
	}
	fault, err := rig.Fault("fill valve: 55 mL/min at 45 psi, orifice")
	if err != nil {
		return nil, err
	}
	opts := sim.Options{Until: span, Without: sim.Leaping, Water: hydraulics.Water{Density: 998.2, Viscosity: 0.001002}}
	return func() error {
		_, err := m.Simulate(context.Background(), nil, network.Faults{fault}, opts)
		return err
	}, nil
}

func believing() (do func() error, about string, err error) {
	rig, _, err := model("twopath")
	if err != nil {
		return nil, "", err
	}
	c := diagnose.Case{Rig: rig, Readings: []diagnose.Reading{{
		Rest: []diagnose.Time{{Value: 95 * time.Second}}, Run: []diagnose.Time{{Value: 1900 * time.Millisecond}},
	}}}
	b, err := diagnose.From(context.Background(), c, diagnose.Options{})
	if err != nil {
		return nil, "", err
	}
	suspects := 0
	for _, h := range b.Hypotheses {
		if h.Kind == diagnose.OneSuspect {
			suspects++
		}
	}
	return func() error {
		_, err := diagnose.From(context.Background(), c, diagnose.Options{})
		return err
	}, fmt.Sprintf("belief: %d suspects, %d steps", suspects, len(b.Next)), nil
}
