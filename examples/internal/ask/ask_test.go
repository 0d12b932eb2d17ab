package ask

import (
	"flag"
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const own = `rig.name = "Camper"
tank = [{ name = "fresh tank", ports = ["tank outlet"] }]
pump = [{ name = "pump", from = "tank outlet", to = "line" }]
shutoff = [{ name = "valve", from = "line", to = "galley" }]
fixture = [{ name = "tap", at = "galley" }]
`

// What package flag finds is said in plain words.
func TestPlainly(t *testing.T) {
	f := flag.NewFlagSet("", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.Bool("json", false, "")
	f.String("rig", "", "")
	for says, args := range map[string][]string{
		"there is no option -leak": {"-leak"},
		"-rig wants a value":       {"-rig"},
		"takes no value":           {"-json=perhaps"},
	} {
		err := f.Parse(args)
		require.Error(t, err)
		assert.Contains(t, Plainly(err).Error(), says)
	}
	assert.Contains(t, Stray("coach").Error(), `"coach"`)
}

// A rig comes from the command itself, from standard input or from a file, and
// what is said of valves later counts.
func TestRigAndLineup(t *testing.T) {
	for _, path := range []string{"", "-"} {
		rig, err := Rig(path, []byte(own), strings.NewReader(own))
		require.NoError(t, err)
		lineup, err := Lineup(rig, Texts{"valve=shut, tap=open", "valve=open"})
		require.NoError(t, err)
		valve, _ := rig.Part("valve")
		assert.Equal(t, "open", lineup.Of(valve).Word())
		_, err = Lineup(rig, Texts{"valv=shut"})
		assert.ErrorContains(t, err, "-lineup")
	}
	_, err := Rig("no-such-file.toml", nil, nil)
	assert.ErrorContains(t, err, "no-such-file.toml")
}

// What nobody told is listed with the pump first, and without what only follows.
func TestAssumed(t *testing.T) {
	rig, err := Rig("", []byte(own), nil)
	require.NoError(t, err)
	list := Assumed(rig)
	require.NotEmpty(t, list)
	assert.Equal(t, "pump", list[0].Part)
	assert.Less(t, len(list), len(rig.Assumed())+1)
	for _, a := range list {
		assert.False(t, a.Derived, a.Field)
	}
}
