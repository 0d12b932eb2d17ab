package rigfile_test

import (
	"fmt"
	"strings"

	"quietpump/network/rigfile"
)

const camper = `
[rig]
name = "Small camper"

[[tank]]
name = "fresh tank"
ports = ["tank out"]

[[pump]]
name = "pump"
from = "tank out"
to = "pump out"
cut_in = "30 psi ± 4" # from the label

[[tube]]
name = "galley line"
from = "pump out"
to = "galley"

[[fixture]]
name = "galley tap"
at = "galley"
`

func ExampleParse() {
	rig, err := rigfile.Parse("camper.rig.toml", []byte(camper))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range rig.Parts() {
		fmt.Println(p.Kind(), p.ID(), p.Joints())
	}
	// Output:
	// tank fresh tank [tank out]
	// tube galley line [pump out galley]
	// fixture galley tap [galley]
	// pump pump [tank out pump out]
}

func ExampleParse_problems() {
	_, err := rigfile.Parse("camper.rig.toml", []byte(`
tank = [{ name = "fresh tank", ports = ["tank out"] }]
pump = [{ name = "pump", from = "tank out", to = "pump out", cut_in = "50 psi", cut_out = "45 psi" }]
fixture = [{ name = "galley tap", at = "galley" }]

[[tube]]
name = "galley line"
from = "pump out"
to = "galley"
length = "0 ft"
lenght = "6 ft"
`))
	fmt.Println(err)
	// Output:
	// camper.rig.toml:3:71: pump "pump": cut-in 50 psi is above cut-out 45 psi; swap them
	// camper.rig.toml:10:10: tube "galley line": length is zero; leave it out for a typical value
	// camper.rig.toml:11:1: tube "galley line": unknown key "lenght" (did you mean "length"?)
}

func ExampleEdit() {
	text, err := rigfile.Edit([]byte(camper), "pump", "cut_in", "28 psi ± 2")
	if err != nil {
		fmt.Println(err)
		return
	}
	for line := range strings.Lines(string(text)) {
		if strings.Contains(line, "#") {
			fmt.Print(line)
		}
	}
	// Output:
	// cut_in = "28 psi ± 2" # from the label
}

func ExampleMarshal() {
	rig, err := rigfile.Parse("van", []byte(`
rig.name = "Van"
tank = [{ name = "tank", ports = ["out"], capacity = "11 gal" }]
water_pump = [{ name = "pump", from = "out", to = "line", bypass = { opens = "40 psi", full = "4.3 bar" } }]
faucet = [{ name = "tap", at = "line" }]
`))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%s", rigfile.Marshal(rig))
	// Output:
	// [rig]
	// name = "Van"
	//
	// [[tank]]
	// name = "tank"
	// ports = ["out"]
	// capacity = "11 gal"
	//
	// [[pump]]
	// name = "pump"
	// from = "out"
	// to = "line"
	// bypass = { opens = "40 psi", full = "4.3 bar" }
	//
	// [[fixture]]
	// name = "tap"
	// at = "line"
}
