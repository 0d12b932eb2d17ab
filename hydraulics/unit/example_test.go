package unit_test

import (
	"fmt"

	"quietpump/hydraulics/unit"
)

func Example() {
	cutIn, err := unit.Parse[unit.Pressure]("30 psi ± 4")
	if err != nil {
		fmt.Println(err)
		return
	}
	rise := 45*unit.PSI - cutIn.Value
	fmt.Printf("%.1f, or %.0f kPa\n", rise, rise.Kilopascals())
	// Output: 15.0 psi, or 103 kPa
}

func ExampleParse() {
	for _, text := range []string{"a teaspoon a minute", "2 cups/h ± 10 %", "60 drips/min", "0.02"} {
		q, err := unit.Parse[unit.Flow](text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Println(q.In(unit.Metric, 2))
	}
	// Output:
	// 4.9 mL/min
	// 7.9 ± 0.79 mL/min
	// 11 ± 8.4 mL/min
	// flow "0.02": missing unit (want gpm, cups/h, L/min, mL/min or drips/min)
}

func ExampleParse_gaugeAndAbsolute() {
	_, err := unit.Parse[unit.Pressure]("40 psia")
	fmt.Println(err)
	// Output: pressure "40 psia": psia is above vacuum (absolute), and a pressure above the surrounding air (gauge) is wanted: psi, bar, kPa or Pa
}

func ExampleParseDuration() {
	rest, sd, err := unit.ParseDuration("1:35 ± 4 s")
	fmt.Println(rest, sd, err)
	// Output: 1m35s 2s <nil>
}

func ExampleSystem_Format() {
	drawdown := 14 * unit.FluidOunce
	fmt.Println(unit.US.Format(drawdown, 2), "or", unit.Metric.Format(drawdown, 2))
	// Output: 1.8 cups or 410 mL
}

func ExampleSystem_Say() {
	seep := unit.Flow(unit.Cup) / 600
	fmt.Println(unit.US.Say(seep))
	fmt.Println(unit.US.SayBetween(seep/4, seep))
	// Output:
	// about a cup every ten minutes
	// between 0.25 and 1 cup every ten minutes
}

func ExampleUnitFor() {
	levels := []unit.Volume{3 * unit.USGallon, 20 * unit.USGallon, unit.Cup}
	in := unit.UnitFor(unit.US, levels...)
	fmt.Println("tank,", in.Symbol())
	for _, v := range levels {
		fmt.Printf("%.2f\n", in.Of(v))
	}
	// Output:
	// tank, gal
	// 3.00
	// 20.00
	// 0.06
}

func ExampleRewrite() {
	fmt.Println(unit.Rewrite("30 psi ± 4", 32*unit.PSI))
	fmt.Println(unit.Rewrite("1/2 gpm", 0.75*unit.GPM))
	// Output:
	// 32 psi ± 4
	// 0.75 gpm
}
