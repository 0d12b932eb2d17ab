// Embed simulates an hour of a small coach whose fill valve seeps.
package main

import (
	"context"
	"fmt"
	"log"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

func main() {
	rig, err := network.New("my coach", // what is left out gets a typical value
		network.Tank{Name: "fresh tank", Ports: []string{"tank out", "tank fill"}, Capacity: 40 * unit.USGallon},
		network.Pump{Name: "pump", From: "tank out", To: "manifold", CutIn: 30 * unit.PSI, CutOut: 45 * unit.PSI},
		network.Accumulator{Name: "accumulator", At: "manifold", Volume: 0.75 * unit.Litre, Precharge: 27 * unit.PSI},
		network.Shutoff{Name: "fill valve", From: "manifold", To: "tank fill", Shut: true},
		network.Tube{Name: "galley line", From: "manifold", To: "galley", Length: 12 * unit.Foot},
		network.Fixture{Name: "galley tap", At: "galley"},
	)
	if err != nil {
		log.Fatal(err) // every problem at once, each with what to do
	}
	seep, err := rig.Fault("fill valve: 55 mL/min at 45 psi, orifice")
	if err != nil {
		log.Fatal(err)
	}
	model, err := sim.Compile(rig)
	if err != nil {
		log.Fatal(err)
	}
	rec, err := model.Simulate(context.Background(), nil, network.Faults{seep}, sim.Options{}) // an hour, every tap shut
	if err != nil {
		log.Fatal(err)
	}
	starts, stops := rec.Starts("pump"), rec.Stops("pump")
	rest := 0.0
	for i := 1; i < len(starts); i++ {
		rest += starts[i] - stops[i-1]
	}
	fmt.Printf("%d starts in an hour, resting %.0f s on average\n", len(starts), rest/float64(len(starts)-1))
}
