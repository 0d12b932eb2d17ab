package rigfile

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/network"
	"quietpump/network/rigfile/document"
)

const rigs = "../../testdata/rigs/"

// rigFiles returns the paths of the rigs under testdata.
func rigFiles(t testing.TB) []string {
	t.Helper()
	paths, err := filepath.Glob(rigs + "*.rig.toml")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(paths), 7)
	return paths
}

func TestRigsReadWriteRead(t *testing.T) {
	for _, path := range rigFiles(t) {
		t.Run(filepath.Base(path), func(t *testing.T) {
			rig, err := Read(path)
			require.NoError(t, err)
			assert.Empty(t, rig.Warnings())
			for _, text := range [][]byte{Marshal(rig), MarshalJSON(rig)} {
				again, err := Parse("again", text)
				require.NoError(t, err, "%s", text)
				sameRig(t, rig, again)
			}
			data, err := os.ReadFile(path)
			require.NoError(t, err)
			assert.True(t, bytes.HasPrefix(data, []byte("# ")), "it opens with what it teaches")
		})
	}
}

func TestTheCamperOfTheDocIsARig(t *testing.T) {
	data, err := os.ReadFile("doc.go")
	require.NoError(t, err)
	_, text, found := strings.Cut(string(data), "is a text like this:")
	require.True(t, found)
	text, _, found = strings.Cut(text, "// and is read by")
	require.True(t, found)
	rig, err := Parse("camper", []byte(strings.ReplaceAll(text, "//", "")))
	require.NoError(t, err)
	assert.Len(t, rig.Parts(), 4)
}

func TestRigsAreShort(t *testing.T) {
	for name, limit := range map[string]int{"camper": 25, "twopath": 70} {
		data, err := os.ReadFile(rigs + name + ".rig.toml")
		require.NoError(t, err)
		assert.Less(t, bytes.Count(data, []byte("\n")), limit, name)
	}
}

func TestOwnersWordsMeanWhatNetworkSays(t *testing.T) {
	checked := 0
	for _, k := range kinds {
		for _, word := range k.also {
			if kind, ok := network.KindOf(word); ok {
				checked++
				assert.Equal(t, k.title(), kind, word)
			}
		}
	}
	assert.Greater(t, checked, 15)
	for _, word := range []string{"line", "valve", "faucet", "fresh_tank", "hose", "city_water"} {
		assert.Contains(t, byWord, word)
	}
}

func TestEveryKindOfPartHasARow(t *testing.T) {
	have := map[string]bool{}
	for _, k := range kinds {
		have[k.title()] = true
	}
	for _, a := range network.Typicals() {
		assert.True(t, have[a.Part], "no row for %s", a.Part)
	}
	assert.Len(t, kinds, 23) // 22 kinds of part, and joints
}

func TestJSONIsTheSameContent(t *testing.T) {
	rig, err := Read(rigs + "twopath.rig.toml")
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "rig.json")
	require.NoError(t, Write(path, rig))
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.True(t, json.Valid(data))
	again, err := Read(path)
	require.NoError(t, err)
	sameRig(t, rig, again)
}

func TestWriteReplacesInOneStep(t *testing.T) {
	rig, err := Read(rigs + "camper.rig.toml")
	require.NoError(t, err)
	dir := t.TempDir()
	path, link := filepath.Join(dir, "camper.rig.toml"), filepath.Join(dir, "link.rig.toml")
	require.NoError(t, os.WriteFile(path, []byte("old"), 0o600))
	require.NoError(t, os.Symlink(path, link))
	require.NoError(t, Write(link, rig))

	data, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, string(Marshal(rig)), string(data))
	info, err := os.Stat(path)
	require.NoError(t, err)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	info, err = os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeSymlink)
	left, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, left, 2)

	require.Error(t, Write(filepath.Join(dir, "no", "such", "folder.rig.toml"), rig))
}

func TestMarksAndLineEnds(t *testing.T) {
	data, err := os.ReadFile(rigs + "twopath.rig.toml")
	require.NoError(t, err)
	want, err := Parse("plain", data)
	require.NoError(t, err)
	for name, text := range map[string]string{
		"byte-order mark": "\ufeff" + string(data),
		"CRLF":            strings.ReplaceAll(string(data), "\n", "\r\n"),
		"both":            "\ufeff" + strings.ReplaceAll(string(data), "\n", "\r\n"),
	} {
		rig, err := Parse("plain", []byte(text))
		require.NoError(t, err, name)
		sameRig(t, want, rig)
	}
}

func TestNameFallsBackToTheFile(t *testing.T) {
	text := `
tank = [{ name = "tank", ports = ["a"] }]
pump = [{ name = "pump", from = "a", to = "b" }]
fixture = [{ name = "tap", at = "b" }]
`
	rig, err := Parse("/home/me/my camper.rig.toml", []byte(text))
	require.NoError(t, err)
	assert.Equal(t, "my camper", rig.Name())
}

// sameRig fails unless two rigs are one: parts, joints, what is assumed and how
// sure each value is.
func sameRig(t require.TestingT, want, got *network.Rig) {
	require.Equal(t, want.Name(), got.Name())
	require.Equal(t, want.Parts(), got.Parts())
	require.Equal(t, want.Joints(), got.Joints())
	require.Equal(t, want.Assumed(), got.Assumed())
	for _, p := range want.Parts() {
		for _, field := range paths(byWord[strings.ReplaceAll(p.Kind(), " ", "_")].record()) {
			a, okA := want.SD(p.ID(), field)
			b, okB := got.SD(p.ID(), field)
			require.Equal(t, okA, okB, "%s %s", p.ID(), field)
			require.Equal(t, a, b, "%s %s", p.ID(), field)
		}
	}
}

// paths returns the paths of all keys of a record.
func paths(r *document.Record) []string {
	var list []string
	for _, k := range r.Keys {
		list = append(list, k.Path)
		if k.Record != nil {
			list = append(list, paths(k.Record)...)
		}
	}
	return list
}
