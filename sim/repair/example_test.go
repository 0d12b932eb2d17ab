package repair_test

import (
	"context"
	"fmt"
	"time"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim"
	"quietpump/sim/repair"
)

// coach is the job that the examples work on: a basin tap that lets by about a
// tablespoon every half minute, between two thirds and one and a half times that.
func coach() repair.Job {
	rig, err := rigfile.Read("../../testdata/rigs/twopath.rig.toml")
	if err != nil {
		panic(err)
	}
	model, err := sim.Compile(rig)
	if err != nil {
		panic(err)
	}
	const size = 30 * unit.MillilitrePerMinute
	return repair.Job{Model: model, Low: size * 2 / 3, High: size * 3 / 2,
		Seep: network.Seep{Part: "basin tap", Seep: hydraulics.Seep{Ref: size, At: 37.5 * unit.PSI, Exp: 1}}}
}

func ExampleJob_Waiting() {
	w, err := coach().Waiting(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("water: %.0f gal a day (%.0f to %.0f)\n", float64(w.Water.Mid/unit.USGallon), float64(w.Water.Low/unit.USGallon), float64(w.Water.High/unit.USGallon))
	fmt.Printf("battery: %.1f Ah a day (%.1f to %.1f)\n", w.Charge.Mid.AmpereHours(), w.Charge.Low.AmpereHours(), w.Charge.High.AmpereHours())
	fmt.Printf("starts: %.0f a day (%.0f to %.0f)\n", w.Starts.Mid, w.Starts.Low, w.Starts.High)
	for _, t := range w.Tanks {
		what := "full"
		if t.Empty {
			what = "empty"
		}
		fmt.Printf("%s %s in %.0f h (%.0f to %.0f)\n", t.Tank, what, t.In.Mid.Hours(), t.In.Low.Hours(), t.In.High.Hours())
	}
	// Output:
	// water: 11 gal a day (7 to 16)
	// battery: 0.7 Ah a day (0.5 to 1.0)
	// starts: 223 a day (149 to 334)
	// fresh tank empty in 90 h (60 to 136)
	// gray tank full in 136 h (91 to 204)
}

func ExampleJob_Cures() {
	list, err := coach().Cures()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range list {
		fmt.Printf("%s: %.0f min, about %.0f in 20\n", c.Do, c.Minutes, 20*c.Chance)
	}
	// Output:
	// close it properly: 2 min, about 3 in 20
	// flush at full flow: 5 min, about 4 in 20
	// clean the seat: 30 min, about 8 in 20
	// add a shutoff: 45 min, about 17 in 20
}

func ExampleJob_Hold() {
	h, err := coach().Hold(3 * unit.MillilitrePerMinute)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("quiet for %.0f minutes: less than %.0f %% of the seep is left\n", h.Quiet.Minutes(), 100*h.Share)
	for i, s := range h.Steps {
		fmt.Printf("%d. %s\n", i+1, s.Words)
		for _, c := range s.Cautions {
			fmt.Println("   !", c)
		}
	}
	// Output:
	// quiet for 68 minutes: less than 10 % of the seep is left
	// 1. Heater off, and as cool as it gets: water that warms in it feeds a seep and hides it, so warming voids the test. Cooling can only make it fail.
	// 2. Hookup off: the hose holds the pressure up.
	// 3. Shut every tap. Let the pump fill the lines; open a tap until it starts again two or three times over 10 to 30 minutes, for new tube gives way at first. That too can only make the test fail.
	// 4. Open a tap until the pump starts, shut it, and see the pump stop. Start the clock at that stop and no other.
	// 5. Stay within hearing for 68 min without a tap used. No start proves it; one start fails it, and its time says how large the seep is.
	//    ! Do not leave the pump on overnight, or when nobody is there, while a leak indoors is suspected.
}

// The usual quarter hour of quiet after a repair: common practice, no source.
func ExampleJob_Proves() {
	for _, size := range []unit.Flow{30 * unit.MillilitrePerMinute, 150 * unit.MillilitrePerMinute, 5 * unit.MillilitrePerMinute} {
		j := coach()
		j.Seep.Ref, j.Low, j.High = size, size, size
		p, err := j.Proves(15 * time.Minute)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Println(p.Words)
	}
	// Output:
	// 15 min of quiet after a cycle that rested 6 min: what is left is less than 43 % of the seep it had.
	// 15 min of quiet after a cycle that rested 77 s: what is left is less than 8.6 % of the seep it had.
	// 15 min of quiet proves nothing yet: with the seep it had, the pump rested 39 min.
}

func ExampleJob_Worksheet() {
	w, err := coach().Worksheet(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, s := range w.Steps {
		fmt.Printf("%d. %s\n", i+1, s.Words)
		for _, c := range s.Cautions {
			fmt.Println("   !", c)
		}
	}
	// Output:
	// 1. Pump off.
	//    ! Pull the pump's fuse and try a tap: a switch on one of several panels, a latching relay or a phone app is not enough. Shore power off too.
	// 2. Heater off, and wait until it is cool.
	//    ! Heater off on gas and electric, and cool: at 140 °F skin burns in 3 to 5 seconds. Let the pressure out through a hot tap, not by the relief lever.
	// 3. Shut the spigot, then take the hose off.
	// 4. Open galley hot tap to let the pressure out: about 1.1 cups (270 mL) come out. Leave it open, so that air gets in.
	// 5. See that these stand as they should: shower handles shut, fill valve shut. Set suction shutoff to shut.
	// 6. At the end by "basin" up to 2.6 fl oz (76 mL) run out. Have a bucket that holds it.
	// 7. Cut basin line square 6 in (152 mm) behind the part, and a new piece of 3/8 in PEX, 5 7/8 in (149 mm) long: the gap less the coupling's shoulder. Measure the gap, and go by that.
	// 8. On the bench: slide the rings on first, push each tube home, and squeeze 2 rings at the new part's side. Try the gauge on each.
	//    ! Use parts listed for potable water, and sanitise after opening.
	// 9. Before the last ring turn the part the way it goes, and each ring's nub where the tool can take it. Then the last ring, at basin line, where the tool reaches.
	// 10. Try GO/NO-GO on every ring. Too loose: set the tool exactly as before and squeeze again. Too tight: cut it out.
	// 11. Set suction shutoff back as before, slowly, the pump's suction first. Shut the taps and drains. Put a dry paper under each connection. Then put the fuse in, let the pump fill the lines, and bleed each tap until it runs without spitting.
	//    ! Never work on a connection under pressure.
	// 12. Fill the heater: open a hot tap until water runs from it.
	//    ! Do not switch the heater on again until water runs from the hot tap.
	// 13. Sanitise: for 90 gal (340 L), a full tank, plain unscented bleach, 1.3 cups (320 mL) of 5.25 % or 1.2 cups (270 mL) of 6 % or 6.6 fl oz (190 mL) of 8.25 %, stirred into a bucket first: 50 mg/L. Draw it to every tap, hot ones too, and leave it for 4 hours or more. The heater stays off; whether the dose goes through it is for its maker to say. Then empty, fill and flush until no more than 4 mg/L is left.
	//    ! Hose off while chlorine or antifreeze is in the lines. Never mix bleach with acids or other cleaners.
	// 14. Prove it: 68 min of quiet shows, at 95 %, that less than a tenth of the seep is left.
	// 15. Heater off, and as cool as it gets: water that warms in it feeds a seep and hides it, so warming voids the test. Cooling can only make it fail.
	// 16. Hookup off: the hose holds the pressure up.
	// 17. Shut every tap. Let the pump fill the lines; open a tap until it starts again two or three times over 10 to 30 minutes, for new tube gives way at first. That too can only make the test fail.
	// 18. Open a tap until the pump starts, shut it, and see the pump stop. Start the clock at that stop and no other.
	// 19. Stay within hearing for 68 min without a tap used. No start proves it; one start fails it, and its time says how large the seep is.
	//    ! Do not leave the pump on overnight, or when nobody is there, while a leak indoors is suspected.
	// 20. Keep the old part until it is proved.
	//    ! Local codes and a licensed or certified technician have the last word.
}

func ExampleSanitise() {
	d, err := repair.Sanitise(40*unit.USGallon, 50, 0.06)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f mL of 6 %% bleach in 40 gal: 50 mg/L\n", d.Bleach.Millilitres())
	// Output: 122 mL of 6 % bleach in 40 gal: 50 mg/L
}
