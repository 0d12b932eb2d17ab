package rigfile

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/pelletier/go-toml/v2"
)

// FuzzParse: nothing panics; what is read as a rig is valid TOML or JSON, and
// writing and reading it again is the identity.
func FuzzParse(f *testing.F) {
	for _, pattern := range []string{"../../testdata/rigs/*.toml", "../../testdata/bad/*.toml"} {
		files, err := filepath.Glob(pattern)
		if err != nil || len(files) == 0 {
			f.Fatal("no seeds", err)
		}
		for _, path := range files {
			data, err := os.ReadFile(path)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
			if rig, err := Parse(path, data); err == nil {
				f.Add(MarshalJSON(rig))
			}
		}
	}
	f.Add([]byte("a.b = 1\n[a]\nc = 2"))
	f.Add([]byte("[a.b]\n[a]\n[[a.c]]\n[a.c.d]"))
	f.Fuzz(func(t *testing.T, data []byte) {
		rig, err := Parse("fuzz", data)
		if err != nil {
			return
		}
		if text := bytes.TrimPrefix(data, []byte("\ufeff")); !bytes.HasPrefix(bytes.TrimLeft(text, " \t\r\n"), []byte("{")) {
			var v map[string]any
			if err := toml.Unmarshal(text, &v); err != nil {
				t.Fatalf("read as a rig, and not TOML: %v", err)
			}
		}
		for _, text := range [][]byte{Marshal(rig), MarshalJSON(rig)} {
			again, err := Parse("again", text)
			if err != nil {
				t.Fatalf("%v\n%s", err, text)
			}
			sameRig(t, rig, again)
		}
	})
}

// FuzzEdit: nothing panics, and what comes back is a rig.
func FuzzEdit(f *testing.F) {
	f.Add([]byte(edited), "pump", "cut_in", "30 psi")
	f.Add([]byte(edited), "fresh tank", "ports", `["a", "b"]`)
	f.Add([]byte(edited), "pump", "hold.set", "50 psi")
	f.Add([]byte(edited), "pump", "from", "")
	f.Add([]byte(edited[len("# my camper\n"):]), "", "name", "")
	f.Add([]byte(`{"tank":[{"name":"t"}]}`), "t", "ports", `["a"]`)
	f.Fuzz(func(t *testing.T, data []byte, part, key, value string) {
		text, err := Edit(data, part, key, value)
		if err != nil {
			return
		}
		if _, err := Parse("again", text); err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
	})
}
