package rigfile

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile/document"
)

const edited = `# my camper
rig.name = "Camper" # hers

tank = [
  { name = "fresh tank", ports = ["tank out"], capacity = "11 gal" }, # measured
  # a second one some day
]

[[pump]] # new in spring
  name = "pump"
  from = "tank out"
  to = "pump out"
  starts_at = "30 psi ± 4" # dial
  stops_at = "45 psi"

[[fixture]]
name = "tap"
at = "pump out"
`

func TestEditChangesOneValue(t *testing.T) {
	for _, tt := range []struct{ name, part, key, value, old, new string }{
		{"value", "pump", "cut_in", "28 psi ± 4", `"30 psi ± 4"`, `"28 psi ± 4"`},
		{"by an owner's word", "pump", "stops_at", "46 psi", `"45 psi"`, `"46 psi"`},
		{"in a row", "fresh tank", "capacity", "12 gal", `"11 gal"`, `"12 gal"`},
		{"list", "fresh tank", "ports", `[ "tank out" ]`, `["tank out"]`, `[ "tank out" ]`},
		{"the rig's name", "", "name", "Van \"B\"", `"Camper"`, `"Van \"B\""`},
		{"new in a row", "fresh tank", "height", "10 in", `"11 gal" }`, `"11 gal", height = "10 in" }`},
		{"new in a section", "pump", "delay", "0.5 s", "\"45 psi\"\n", "\"45 psi\"\n  delay = \"0.5 s\"\n"},
		{"new truth", "pump", "sealed", "true", "\"45 psi\"\n", "\"45 psi\"\n  sealed = true\n"},
		{"new at the end", "tap", "rated", "1.2 gpm", "at = \"pump out\"\n", "at = \"pump out\"\nrated = \"1.2 gpm\"\n"},
		{"new inside a table not there", "pump", "bypass.opens", "40 psi", "\"45 psi\"\n", "\"45 psi\"\n  bypass.opens = \"40 psi\"\n"},
		{"out", "pump", "cut_in", "", "  starts_at = \"30 psi ± 4\" # dial\n", ""},
		{"out of a row", "fresh tank", "capacity", "", `, capacity = "11 gal" }`, ` }`},
		{"the rig's name out", "", "name", "", "rig.name = \"Camper\" # hers\n", ""},
		{"out that is not there", "pump", "delay", "", "", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			want := edited
			if tt.old != "" {
				require.Equal(t, 1, strings.Count(edited, tt.old))
				want = strings.Replace(edited, tt.old, tt.new, 1)
			}
			got, err := Edit([]byte(edited), tt.part, tt.key, tt.value)
			require.NoError(t, err)
			assert.Equal(t, want, string(got))
		})
	}
}

// Writing each value of each rig over itself changes no byte; with another name
// in its place nothing but that name changes.
func TestEditTouchesNothingElse(t *testing.T) {
	values := 0
	for _, path := range rigFiles(t) {
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		root, _ := document.NewSource(path, data).Read()
		for _, section := range root.Entries {
			for _, part := range section.Val.Items {
				for _, e := range part.Entries {
					if e.Val.Shape == document.List || e.Val.Shape == document.Table {
						continue
					}
					values++
					got, err := Edit(data, part.Get("name").Text, e.Key, e.Val.Text)
					require.NoError(t, err, "%s %s", part.Get("name").Text, e.Key)
					require.Equal(t, string(data), string(got))
				}
			}
		}
		got, err := Edit(data, "fresh tank", "name", "other tank")
		require.NoError(t, err)
		assert.Equal(t, strings.Replace(string(data), `name = "fresh tank"`, `name = "other tank"`, 1), string(got))
	}
	assert.Greater(t, values, 500)
}

func TestEditKeepsMarkAndLineEnds(t *testing.T) {
	text := "\ufeff" + strings.ReplaceAll(edited, "\n", "\r\n")
	got, err := Edit([]byte(text), "pump", "delay", "1 s")
	require.NoError(t, err)
	assert.Equal(t, strings.Replace(text, "\"45 psi\"\r\n", "\"45 psi\"\r\n  delay = \"1 s\"\r\n", 1), string(got))
}

func TestEditInsideAnInnerTable(t *testing.T) {
	base := strings.Replace(edited, `  stops_at = "45 psi"`, `  stops_at = "45 psi"
  bypass = { opens = "40 psi", full = "60 psi" }`, 1)
	got, err := Edit([]byte(base), "pump", "bypass.full", "62 psi")
	require.NoError(t, err)
	assert.Equal(t, strings.Replace(base, "60 psi", "62 psi", 1), string(got))
	got, err = Edit([]byte(base), "pump", "bypass.outside", "true")
	require.NoError(t, err)
	assert.Equal(t, strings.Replace(base, `"60 psi" }`, `"60 psi", outside = true }`, 1), string(got))

	headed := strings.Replace(edited, "\n[[fixture]]", "\n[pump.bypass]\nopens = \"40 psi\"\n\n[[fixture]]", 1)
	got, err = Edit([]byte(headed), "pump", "bypass.full", "62 psi")
	require.NoError(t, err)
	assert.Equal(t, strings.Replace(headed, "\"40 psi\"\n", "\"40 psi\"\nfull = \"62 psi\"\n", 1), string(got))
}

func TestEditJSON(t *testing.T) {
	rig, err := Parse("x", []byte(edited))
	require.NoError(t, err)
	text := string(MarshalJSON(rig))
	got, err := Edit([]byte(text), "pump", "cut_out", "50 psi")
	require.NoError(t, err)
	assert.Equal(t, strings.Replace(text, "45 psi", "50 psi", 1), string(got))
	got, err = Edit([]byte(text), "pump", "bypass.opens", "40 psi")
	require.NoError(t, err)
	assert.Equal(t, strings.Replace(text, `"cut_out": "45 psi"`, `"cut_out": "45 psi", "bypass": {"opens": "40 psi"}`, 1), string(got))
}

func TestEditRefuses(t *testing.T) {
	for _, tt := range []struct{ part, key, value, want string }{
		{"pmp", "cut_in", "30 psi", `no part or joint "pmp" in the file (did you mean "pump"?)`},
		{"pump", "cutin", "30 psi", `pump: unknown key "cutin" (did you mean "cut_in"?)`},
		{"pump", "cut_in.low", "30 psi", `key "cut_in" has no keys of its own`},
		{"pump", "cut_in", "30", `edited rig:13:15: pump "pump": cut_in "30": missing unit`},
		{"pump", "cut_in", "50 psi", "cut-in 50 psi is above cut-out 45 psi; swap them"},
		{"pump", "from", "", "from is missing"},
		{"pump", "sealed", "perhaps", "not TOML"},
		{"tap", "at", "pump ot", "pump ot"},
	} {
		got, err := Edit([]byte(edited), tt.part, tt.key, tt.value)
		assert.ErrorContains(t, err, tt.want)
		assert.Nil(t, got)
	}
}

func TestEditMendsABrokenFile(t *testing.T) {
	data, err := os.ReadFile("../../testdata/bad/swapped.rig.toml")
	require.NoError(t, err)
	_, err = Parse("x", data)
	require.Error(t, err)
	got, err := Edit(data, "pump", "cut_in", "30 psi")
	require.NoError(t, err)
	rig, err := Parse("x", got)
	require.NoError(t, err)
	p, _ := rig.Part("pump")
	assert.Equal(t, 30*unit.PSI, p.(network.Pump).CutIn)
}
