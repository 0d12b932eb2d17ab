package house_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"
	"time"

	"quietpump/wasm/desk"
	"quietpump/wasm/desk/house"
)

type shelf struct{}

func (shelf) Write(string, []byte) error { return nil }

var noon = time.Date(2026, 1, 2, 12, 0, 0, 0, time.UTC)

func event(do, arg string) string {
	line, err := json.Marshal(map[string]string{"do": do, "arg": arg})
	if err != nil {
		panic(err)
	}
	return string(line)
}

// Whatever a tab kept, a link asks for, a file holds or the page says to the
// chapters of the house: it is taken or refused, and the demo goes on.
func FuzzHouse(f *testing.F) {
	f.Add(uint8(0), "link", "?chapter=change&rig=bypass&fault=cold+drain:+90+mL/min+at+45+psi&rate=60")
	f.Add(uint8(1), "link", "?chapter=find&seed=18446744073709551615")
	f.Add(uint8(2), "kept", `{"chapter":"find","seen":3,"kept":{"find":{"seed":4},"watch":1,"yours":{"card":"x"}}}`)
	f.Add(uint8(3), "kept", `{"chapter":"yours","kept":{"yours":{}}}`)
	for i, key := range []string{"watch", "change", "find", "yours"} {
		d := desk.New(shelf{}, house.Chapters()...)
		_ = d.Line(event("page.chapter", key))
		_, _ = d.Advance(noon, time.Second)
		lines, err := d.Lines(noon)
		if err != nil {
			f.Fatal(err)
		}
		for _, line := range lines {
			if len(line) > 8 && line[:8] == "qp:keep " {
				f.Add(uint8(i), "kept", line[8:])
			}
		}
	}
	for _, pattern := range []string{"../../../testdata/cards/*.toml", "../../../testdata/rigs/c*.toml"} {
		files, _ := filepath.Glob(pattern)
		for _, name := range files {
			data, err := os.ReadFile(name)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(uint8(3), "file", string(data))
		}
	}
	f.Fuzz(func(t *testing.T, chapter uint8, what, arg string) {
		d := desk.New(shelf{}, house.Chapters()...)
		_ = d.Line(event("page.size", "390 844 0 0 390 388"))
		_ = d.Line(event("page.chapter", []string{"watch", "change", "find", "yours"}[chapter%4]))
		switch what {
		case "kept", "link", "file", "pointer", "size":
			_ = d.Line(event("page."+what, arg))
		default:
			_ = d.Line(event(what, arg))
		}
		now := noon
		for range 3 {
			now = now.Add(time.Second / 30)
			if _, err := d.Advance(now, 0); err != nil {
				t.Fatal(err)
			}
		}
		lines, err := d.Lines(now)
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range lines {
			if len(line) > 8 && line[:8] == "qp:keep " { // what it keeps it takes back
				if err := desk.New(shelf{}, house.Chapters()...).Line(event("page.kept", line[8:])); err != nil && what != "kept" {
					t.Fatalf("it does not take back what it kept: %v\n%s", err, line)
				}
			}
		}
		d.Draw(now)
	})
}
