package jobcard_test

import (
	"fmt"
	"os"
	"path/filepath"
	"time"

	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim/diagnose"
	"quietpump/sim/diagnose/jobcard"
)

func ExampleRead() {
	card, err := jobcard.Read("../../../testdata/cards/twopath.card.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(card.Rig.Name())
	for _, r := range card.Readings {
		fmt.Println(r.Lineup, r.Rest, r.Cup)
	}
	// Output:
	// Two-path coach
	// hookup=off [{1m35s 0s} {1m37s 1s}] []
	// hookup=off [] [4.4 fl oz]
	// hookup=on, pump=off [] []
}

func ExampleParse_problems() {
	_, err := jobcard.Parse("van.card.toml", []byte(`
rig.tank = [{ name = "tank", ports = ["a"] }]
rig.pump = [{ name = "pump", from = "a", to = "b" }]
rig.faucet = [{ name = "tap", at = "b" }]

[access]
pump = "few screws"

[[reading]]
lineup = "pomp=off"
rest = "95"
`), nil)
	fmt.Println(err)
	// Output:
	// van.card.toml:7:8: access of "pump": unknown effort "few screws" (did you mean "a few screws"?); write by hand, or a door or lid, or a few screws, or take something out first, or crawl or unload, or can't
	// van.card.toml:10:10: reading: pomp: the rig has no such part (did you mean "pump"?); name a part of the rig
	// van.card.toml:11:8: reading: rest "95": missing unit (want s, min or h); write it such as "95 s"
}

// A program makes a card, and adds a reading to its file.
func ExampleAppend() {
	rig, err := rigfile.Read("../../../testdata/rigs/camper.rig.toml")
	if err != nil {
		fmt.Println(err)
		return
	}
	dir, err := os.MkdirTemp("", "")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	path := filepath.Join(dir, "camper.card.toml")
	if err := jobcard.Write(path, &jobcard.Card{Case: diagnose.Case{Rig: rig}}); err != nil {
		fmt.Println(err)
		return
	}
	err = jobcard.Append(path, diagnose.Reading{
		Lineup: network.Lineup{"galley tap": network.Shut()},
		Rest:   []diagnose.Time{{Value: 95 * time.Second}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	card, err := jobcard.Read(path)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(card.Readings[0].Lineup, card.Readings[0].Rest)
	// Output: galley tap=shut [{1m35s 0s}]
}
