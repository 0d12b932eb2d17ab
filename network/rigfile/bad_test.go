package rigfile

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/network/rigfile/document"
	"quietpump/network/rigfile/document/wanted"
)

// Every broken file says on the bad line itself what is to be complained of; a
// complaint nobody wanted fails too.
func TestBadFiles(t *testing.T) {
	files, err := filepath.Glob("../../testdata/bad/*.rig.toml")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(files), 150)
	for _, path := range files {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".rig.toml"), func(t *testing.T) {
			rig, err := Read(path)
			assert.Nil(t, rig, "nothing is half loaded")
			wanted.Check(t, path, err)
		})
	}
}

func TestProblemsKeepTheirPlace(t *testing.T) {
	_, err := Read("../../testdata/bad/unknown-key.rig.toml")
	var ps Problems
	require.ErrorAs(t, err, &ps)
	require.Len(t, ps, 1)
	assert.Equal(t, Problem{File: "../../testdata/bad/unknown-key.rig.toml", Line: 11, Column: 1, Kind: "tube", Name: "cold line",
		What: `unknown key "lenght" (did you mean "length"?)`}, ps[0])
	assert.EqualError(t, err, `../../testdata/bad/unknown-key.rig.toml:11:1: tube "cold line": unknown key "lenght" (did you mean "length"?)`)
}

func TestNoProblemsAreNoError(t *testing.T) {
	var ps Problems
	assert.True(t, ps.Err() == nil, "a plain nil, not a typed one")
	assert.Error(t, Problems{{What: "something"}}.Err())
}

func TestColumnsCountCharacters(t *testing.T) {
	_, err := Parse("r", []byte("tube = [{ name = \"à l'évier ±\", frm = \"a\" }]\n"))
	var ps Problems
	require.ErrorAs(t, err, &ps)
	assert.Equal(t, 33, ps[len(ps)-1].Column, err.Error())
}

func TestBadJSON(t *testing.T) {
	const good = `"tank": [{"name": "tank", "ports": ["a"]}], "pump": [{"name": "pump", "from": "a", "to": "b"}], "fixture": [{"name": "tap", "at": "b"}]`
	for _, tt := range []struct{ name, text, want string }{
		{"unknown key", "{" + good + `,` + "\n" + `"tube": [{"name": "x", "from": "b", "to": "c", "lenght": "1 m"}]}`, `r.json:2:48: tube "x": unknown key "lenght" (did you mean "length"?)`},
		{"told twice", "{" + good + `,` + "\n" + `"tank": []}`, `r.json:2:1: "tank" is told twice, first in line 1; keep one`},
		{"null", `{"rig": {"name": null}, ` + good + `}`, `r.json:1:18: rig: name is null, not text; put it in quotes`},
		{"end", `{"rig": `, `r.json:1:9: not JSON: unexpected EOF`},
		{"comma", `{"rig": {"name": "x",}, ` + good + `}`, `not JSON: `},
		{"more", `{` + good + `} {}`, `something stands after the closing brace`},
		{"deep", `{"tube": ` + strings.Repeat("[", 100) + strings.Repeat("]", 100) + `}`, `tables and lists stand more than 12 deep`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			rig, err := Parse("r.json", []byte(tt.text))
			require.Error(t, err)
			assert.Nil(t, rig)
			assert.Contains(t, err.Error(), tt.want)
		})
	}
}

func TestLimits(t *testing.T) {
	path := filepath.Join(t.TempDir(), "big.rig.toml")
	big := "# " + strings.Repeat("x", document.MaxSize) + "\n"
	require.NoError(t, os.WriteFile(path, []byte(big), 0o644))
	_, err := Read(path)
	assert.ErrorContains(t, err, "big.rig.toml:1:1: the file holds more than 1048576 bytes")
	_, err = Edit([]byte(big), "pump", "cut_in", "30 psi")
	assert.ErrorContains(t, err, "more than 1048576 bytes")

	_, err = Parse("deep", []byte("x = "+strings.Repeat("[", 200_000)))
	assert.ErrorContains(t, err, "not TOML")
	_, err = Parse("deep", []byte(`{"x": `+strings.Repeat("[", 200_000)))
	assert.ErrorContains(t, err, "deep")
}

func TestReadingAFileThatIsNotThere(t *testing.T) {
	_, err := Read("no such file.rig.toml")
	assert.True(t, errors.Is(err, os.ErrNotExist))
}

func TestEmptyFile(t *testing.T) {
	_, err := Parse("empty.rig.toml", nil)
	assert.ErrorContains(t, err, "empty.rig.toml:1:1: ")
}
