package jobcard

import (
	"os"
	"path/filepath"
	"testing"

	"quietpump/network/rigfile/document"
	"quietpump/sim/diagnose"
)

// FuzzParse: nothing panics; what is read as a card is written and read again as
// the same text, and takes another reading.
func FuzzParse(f *testing.F) {
	open := func(name string) ([]byte, error) {
		return os.ReadFile(filepath.Join("../../../testdata/rigs", filepath.Base(name)))
	}
	for _, pattern := range []string{"*.card.toml", "bad/*.card.toml"} {
		files, err := filepath.Glob(cards + pattern)
		if err != nil || len(files) == 0 {
			f.Fatal("no seeds", err)
		}
		for _, path := range files {
			data, err := os.ReadFile(path)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
			if card, err := Parse(path, data, open); err == nil {
				f.Add(MarshalJSON(card))
			}
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		card, err := Parse("fuzz", data, open)
		if err != nil {
			return
		}
		src := document.NewSource("more", data)
		root, _ := src.Read()
		more := src.Append(root, "reading", plainly(readings(), rowOf(diagnose.Reading{Blip: true})))
		longer, err := Parse("more", more, open)
		if err != nil {
			t.Fatalf("%v\n%s", err, more)
		}
		if len(longer.Readings) != len(card.Readings)+1 || !longer.Readings[len(card.Readings)].Blip {
			t.Fatalf("the reading is not behind the others:\n%s", more)
		}
		for _, marshal := range []func(*Card) []byte{Marshal, MarshalJSON} {
			text := marshal(card)
			again, err := Parse("again", text, open)
			if err != nil {
				t.Fatalf("%v\n%s", err, text)
			}
			if second := marshal(again); string(second) != string(text) {
				t.Fatalf("%s\nbecame\n%s", text, second)
			}
		}
	})
}
