package waves_test

import (
	"context"
	"fmt"
	"log"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/waves"
)

// A tap at the end of six metres of PEX is shut in a fiftieth of a second, without
// and with an accumulator beside it.
func Example() {
	for _, bottle := range []unit.Volume{0, 0.75 * unit.Litre} {
		items := []network.Item{
			network.Hookup{Name: "hookup", At: "inlet", Static: 45 * unit.PSI},
			network.Check{Name: "inlet check", From: "inlet", To: "manifold"},
			network.Tube{Name: "galley line", From: "manifold", To: "galley", Length: 6 * unit.Metre},
			network.Fixture{Name: "galley tap", At: "galley", Rated: 1.5 * unit.GPM},
		}
		if bottle > 0 {
			items = append(items, network.Accumulator{Name: "accumulator", At: "galley", Volume: bottle, Precharge: 27 * unit.PSI})
		}
		rig, err := network.New("coach", items...)
		if err != nil {
			log.Fatal(err)
		}
		model, err := sim.Compile(rig)
		if err != nil {
			log.Fatal(err)
		}
		running := network.Lineup{"hookup": network.On(), "galley tap": network.Open(1)}
		res, err := waves.Simulate(context.Background(), model, running, nil, waves.Options{
			Moves: []waves.Move{{Over: 20 * time.Millisecond, Lineup: network.Lineup{"galley tap": network.Shut()}}},
		})
		if err != nil {
			log.Fatal(err)
		}
		fmt.Printf("%.2f L beside it: %.0f psi at most, at the %s after %.0f ms\n",
			bottle.Litres(), res.Highest.Pressure.PSI(), res.Highest.Joint, 1000*res.Highest.At)
	}
	// Output:
	// 0.00 L beside it: 71 psi at most, at the galley after 39 ms
	// 0.75 L beside it: 41 psi at most, at the inlet after 500 ms
}
