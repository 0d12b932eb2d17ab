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
		{"not UTF-8", `{"rig": {"name": "caf` + "\xe9" + `"}, ` + good + `}`, `r.json:1:22: not JSON: invalid UTF-8 character; save the file as UTF-8 text`},
		{"nul", "{\x00}", `r.json:1:2: not JSON: invalid character '\x00'`},
		{"comment", "{" + good + ", // mine\n}", `not JSON: `},
		{"number", "{" + good + `, "tube": [{"name": "x", "from": "b", "to": "c", "k": 1e999}]}`, `k = 1e999 is no number to calculate with`},
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

// However much is wrong with a file, it is told in a moment.
func TestFullOfSlips(t *testing.T) {
	for _, line := range []string{"[[tube]]\n", "[tube]\n", "x\n", "[[tube]]\nname = \"x\"\n", "[[tube]]\nlenght = 1\n", "a = [", "a.", "\"", "\x00", "\xff\n", "{", "'''\n", "[[tube]]\nname='", "tube = [\n", "=\n", "\r", "# \x7f\n[[tube]]\n"} {
		text := strings.Repeat(line, document.MaxSize/8/len(line))
		rig, err := Parse("x", []byte(text))
		assert.Nil(t, rig)
		var ps Problems
		require.ErrorAs(t, err, &ps, "%q", line)
		assert.Less(t, len(err.Error()), 100*len(text), "%q", line)
	}
}

// Text as another system may have saved it is named as such.
func TestOtherEncodings(t *testing.T) {
	for _, mark := range []string{"\xff\xfe", "\xfe\xff"} {
		_, err := Parse("x", []byte(mark+"r\x00i\x00g\x00"))
		assert.EqualError(t, err, "x:1:1: the file is UTF-16 text; save it as UTF-8")
	}
}

func TestReadingAFileThatIsNotThere(t *testing.T) {
	_, err := Read("no such file.rig.toml")
	assert.True(t, errors.Is(err, os.ErrNotExist))
}

func TestEmptyFile(t *testing.T) {
	_, err := Parse("empty.rig.toml", nil)
	assert.ErrorContains(t, err, "empty.rig.toml:1:1: ")
}
