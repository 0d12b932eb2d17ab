package whatif_test

import (
	"context"
	"fmt"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim/whatif"
)

func study() whatif.Study {
	rig, err := rigfile.Read("../../testdata/rigs/twopath.rig.toml")
	if err != nil {
		panic(err)
	}
	seep := network.Seep{Part: "fill valve", Seep: hydraulics.Seep{Ref: 30 * unit.MillilitrePerMinute, At: 37.5 * unit.PSI, Exp: 1}}
	return whatif.Study{Rig: rig, Faults: network.Faults{seep}}
}

// How much longer would the pump rest with a larger accumulator?
func ExampleStudy_Sweep() {
	table, err := study().Sweep(context.Background(), whatif.Axis{
		Part: "accumulator", Field: "volume",
		Values: []float64{float64(0.75 * unit.Litre), float64(2 * unit.Litre), float64(8 * unit.Litre)},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range table.Rows {
		fmt.Printf("%.2f L: every %.0f s\n", unit.Volume(r.Values[0]).Litres(), r.Rest+r.Run)
	}
	// Output:
	// 0.75 L: every 376 s
	// 2.00 L: every 994 s
	// 8.00 L: every 3959 s
}

// What is known of this coach leaves the rest open; which unknown is to blame?
func ExampleTable_Influences() {
	table, err := study().Ensemble(context.Background(), whatif.Draws{Count: 400, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	q := table.Quantiles(whatif.Rest, 0.025, 0.975)
	fmt.Printf("rest %.0f to %.0f s\n", q[0], q[1])
	list, err := table.Influences(whatif.Rest)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, i := range list[:2] {
		fmt.Printf("%v: %.0f %% of the variance, trend %+.1f\n", i.Column, 100*i.Share, i.Trend)
	}
	// Output:
	// rest 216 to 516 s
	// pump: cut_in: 68 % of the variance, trend -0.8
	// pump: cut_out: 11 % of the variance, trend +0.3
}
