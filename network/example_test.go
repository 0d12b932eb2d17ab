package network_test

import (
	"fmt"
	"log"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// A small camper in ten lines. What is left out gets a typical value.
func ExampleNew() {
	rig, err := network.New("small camper",
		network.Tank{Name: "fresh tank", Ports: []string{"tank outlet"}, Capacity: 20 * unit.USGallon},
		network.Tube{Name: "suction", From: "tank outlet", To: "pump in", Length: 0.6 * unit.Metre},
		network.Pump{Name: "pump", From: "pump in", To: "pump out", CutIn: 30 * unit.PSI, CutOut: 45 * unit.PSI},
		network.Tube{Name: "main line", From: "pump out", To: "tee", Length: 2 * unit.Metre},
		network.Check{Name: "inlet check", From: "inlet", To: "tee"},
		network.Hookup{Name: "city water", At: "inlet"},
		network.Tube{Name: "galley run", From: "tee", To: "galley", Length: 3 * unit.Metre},
		network.Fixture{Name: "galley tap", At: "galley"},
	)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(rig.Name(), "has", len(rig.Parts()), "parts and", len(rig.Joints()), "joints")
	for _, a := range rig.Assumed() {
		if a.Part == "city water" {
			fmt.Printf("assumed: %s %s %s (%s)\n", a.Part, a.Field, a.Value, a.Source)
		}
	}
	fmt.Println("warning:", rig.Warnings())

	// Output:
	// small camper has 8 parts and 6 joints
	// assumed: city water droop 10 psi (common practice, no source)
	// assumed: city water droop_at 2 gpm (common practice, no source)
	// assumed: city water static 50 psi (trade page, year not stated: 40 to 60 psi recommended, target 45 to 55)
	// warning: hookup "city water": no regulator stands between it and the rig; put one at the spigot; parks reach over 100 psi
}

// Where could the water be going while every tap is shut?
func ExampleRig_EscapePaths() {
	for _, path := range coach().EscapePaths(nil) {
		fmt.Printf("%-11s %s\n", path.To, path.Words)
	}

	// Output:
	// fresh tank  from the pump's outlet through the fill valve into the fresh tank
	// fresh tank  from the pump's outlet back through the pump head valves and the suction shutoff into the fresh tank
	// waste tank  from the pump's outlet out of the galley tap into the grey tank
	// waste tank  from the pump's outlet out of the toilet valve into the waste tank
	// appliance   from the pump's outlet into the icemaker
	// belly pan   out of weeping connections in the galley cupboard
	// belly pan   out of weeping connections in the belly pan near fill
	// belly pan   out of weeping connections in the belly pan near heater
	// ground      from the pump's outlet back through the inlet check and the regulator out at the hose
	// ground      from the pump's outlet out of the low-point drain onto the ground
	// ground      from the pump's outlet through the heater shutoff and the heater check out of the relief valve onto the ground
	// ground      from the pump's outlet through the heater shutoff, the heater check and the hot shutoff out of the shower head onto the ground
}

// Which valve, shut, takes the fill line out of the question?
func ExampleRig_Isolators() {
	set, enough := coach().Isolators("heater")
	fmt.Println(set, enough)

	cut, err := coach().CutOff("suction shutoff", "heater shutoff")
	fmt.Println(err)
	for _, s := range cut {
		fmt.Printf("%q holds %.2f of water\n", s.Joints, s.Water)
	}

	// Output:
	// heater shutoff=shut, hot shutoff=shut true
	// <nil>
	// ["heater" "heater in" "hot" "shower hot"] holds 6.10 gal of water
	// ["heater cold"] holds 0.00 gal of water
	// ["pump in"] holds 0.00 gal of water
}

// Files, cards and command lines say lineups the same way.
func ExampleRig_Lineup() {
	l, err := coach().Lineup("fill valve=closed, city water=on, Galley Tap=half")
	fmt.Println(l, err)

	_, err = coach().Lineup("fil valve=shut, pump=capped")
	fmt.Println(err)

	// Output:
	// fill valve=shut, galley tap=half, hose=on <nil>
	// lineup of "fil valve": the rig has no such part (did you mean "fill valve"?); name a part of the rig
	// pump "pump": it cannot stand "capped"; set it to on, off
}
