package document_test

import (
	"fmt"
	"reflect"

	"quietpump/hydraulics/unit"
	"quietpump/network/rigfile/document"
)

type camper struct {
	Name  string
	Tank  unit.Volume
	Hoses []unit.Length
}

// What a camper's keys are, beside the fields' names and types.
var campers = document.NewRecord(reflect.TypeFor[camper](), func(field string) document.Note {
	return map[string]document.Note{
		"Name":  {Need: true, Eg: "Van"},
		"Tank":  {Also: []string{"fresh_tank"}, Eg: "11 gal"},
		"Hoses": {Lone: true, Eg: "6 ft"},
	}[field]
}, nil)

func read(text string) (camper, error) {
	src := document.NewSource("van.toml", []byte(text))
	root, slips := src.Read()
	d := document.Decoder{Source: src, Problems: slips}
	var c camper
	d.Table(campers, root, reflect.ValueOf(&c).Elem())
	d.Problems.Sort()
	return c, d.Problems.Err()
}

func ExampleDecoder() {
	c, err := read("name = \"Van\"\nfresh_tank = \"11 gal\"\nhoses = \"6 ft\"\n")
	fmt.Println(c.Name, c.Tank, c.Hoses, err)

	_, err = read("tank = 11\nhoses = [\"6 ft\", \"2\"]\nnmae = \"Van\"\n")
	fmt.Println(err)
	// Output:
	// Van 11 gal [6 ft] <nil>
	// van.toml:1:1: name is missing; add name = "Van"
	// van.toml:1:8: tank = 11 has no unit; write it in quotes with its unit, such as "11 gal"
	// van.toml:2:18: hoses "2": missing unit (want ft, in, m or mm); write it such as "6 ft"
	// van.toml:3:1: unknown key "nmae" (did you mean "name"?)
}

func ExampleEncoder() {
	c := camper{Name: "Van", Hoses: []unit.Length{6 * unit.Foot}}
	fmt.Printf("%s", document.Encoder{}.Table(campers, reflect.ValueOf(c)).TOML())
	// Output:
	// name = "Van"
	// hoses = "6 ft"
}

func ExampleSource_Set() {
	src := document.NewSource("van.toml", []byte("# mine\nname = \"Van\"\n[part]\ntank = \"11 gal\" # measured\n"))
	root, _ := src.Read()
	text, err := src.Set(root.Get("part"), campers, "tank", "12 gal")
	fmt.Printf("%s%v\n", text, err)
	// Output:
	// # mine
	// name = "Van"
	// [part]
	// tank = "12 gal" # measured
	// <nil>
}
