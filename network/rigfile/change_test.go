package rigfile

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile/document"
)

// changed makes a change to a rig of testdata, told as another file would.
func changed(t *testing.T, rig, text string, without ...string) (*network.Rig, *network.Rig, error) {
	t.Helper()
	old, err := Read(rigs + rig + ".rig.toml")
	require.NoError(t, err)
	src := document.NewSource("card", []byte(text))
	root, slips := src.Read()
	require.Empty(t, slips)
	c := Change{Values: root.Get("values"), With: root.Get("with")}
	for _, name := range without {
		c.Without = append(c.Without, document.NewText(name))
	}
	rigNow, err := Changed(src, old, c)
	return old, rigNow, err
}

func TestChangedValues(t *testing.T) {
	old, now, err := changed(t, "twopath", `
[values.pump]
starts_at = "26 psi ± 2"
cut_out = "± 8 psi"
bypass.opens = "48 psi"
[values."cold trunk"]
z = "0.5 m"
[values.hookup]
static = "55 psi"
`)
	require.NoError(t, err)
	p, _ := now.Part("pump")
	pump := p.(network.Pump)
	assert.InDelta(t, 26, pump.CutIn.PSI(), 1e-9)
	assert.InDelta(t, 45, pump.CutOut.PSI(), 1e-9, "a ± alone leaves the value")
	assert.InDelta(t, 48, pump.Bypass.Opens.PSI(), 1e-9)
	sd, _ := now.SD("pump", "cut_in")
	assert.InDelta(t, float64(unit.PSI), sd, 1e-6)
	sd, _ = now.SD("pump", "cut_out")
	assert.InDelta(t, 4*float64(unit.PSI), sd, 1e-6)
	j, _ := now.Joint("cold trunk")
	assert.Equal(t, 0.5*unit.Metre, j.Z)
	assert.Len(t, now.Parts(), len(old.Parts()))
	q, _ := old.Part("pump")
	assert.InDelta(t, 30, q.(network.Pump).CutIn.PSI(), 1e-9, "the rig that was changed stays as it was")
}

// A rig without a change is the same rig, and a joint at which no part is left
// is not missed.
func TestChangedParts(t *testing.T) {
	for _, path := range rigFiles(t) {
		rig, err := Read(path)
		require.NoError(t, err)
		same, err := Changed(document.NewSource("card", nil), rig, Change{})
		require.NoError(t, err)
		sameRig(t, rig, same)
	}
	_, now, err := changed(t, "bypass", `
with.check = [{ name = "second check", from = "pump out", to = "cold" }]
with.joint = [{ name = "cold low", z = "-0.3 m", place = "side" }]
`, "trunk", "hot low line", "hot drain")
	require.NoError(t, err)
	_, ok := now.Part("trunk")
	assert.False(t, ok)
	p, ok := now.Part("second check")
	require.True(t, ok)
	assert.Equal(t, "check", p.Kind())
	_, ok = now.Joint("hot low")
	assert.False(t, ok)
	j, _ := now.Joint("cold low")
	assert.Equal(t, "side", j.Place)
}

func TestChangedRefuses(t *testing.T) {
	for _, tt := range []struct{ text, want string }{
		{"values.pomp.cut_in = \"26 psi\"", `card:1:8: no part or joint "pomp" in the rig (did you mean "pump"?)`},
		{"values.pump = 3", `card:1:8: "pump" is a plain number, not a table of its keys`},
		{"values.pump.cut_in = 26", `card:1:22: pump "pump": cut_in = 26 has no unit`},
		{"values.pump.cut_in = \"60 psi\"", `card:1:22: pump "pump": cut-in 60 psi is above cut-out 45 psi; swap them`},
		{"values.pump.delay = \"± 1 s\"", `card:1:21: part "pump": delay has a ± and no value, and the rig tells none`},
		{"with.chek = []", `card:1:6: unknown section "chek" (did you mean "check"?)`},
		{"with.check = [{ name = \"second\", from = \"manifold\" }]", `check "second": to is missing`},
	} {
		_, now, err := changed(t, "twopath", tt.text)
		assert.Nil(t, now)
		assert.ErrorContains(t, err, tt.want)
	}
	_, _, err := changed(t, "twopath", "", "fill vale")
	assert.ErrorContains(t, err, `there is no part "fill vale" in the rig to be without (did you mean "fill valve"?)`)
}
