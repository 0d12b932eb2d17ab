package jobcard

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/diagnose"
)

// cardFiles returns the paths of the cards under testdata.
func cardFiles(t testing.TB) []string {
	t.Helper()
	paths, err := filepath.Glob(cards + "*.card.toml")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(paths), 6)
	return paths
}

func TestCardsReadWriteRead(t *testing.T) {
	for _, path := range cardFiles(t) {
		t.Run(filepath.Base(path), func(t *testing.T) {
			card, err := Read(path)
			require.NoError(t, err)
			for _, text := range [][]byte{Marshal(card), MarshalJSON(card)} {
				again, err := Parse("again", text, Beside(path))
				require.NoError(t, err, "%s", text)
				require.Equal(t, card.Case, again.Case)
				require.Equal(t, card.RigFile, again.RigFile)
				assert.Equal(t, string(Marshal(card)), string(Marshal(again)))
			}
			data, err := os.ReadFile(path)
			require.NoError(t, err)
			assert.True(t, bytes.HasPrefix(data, []byte("# ")), "it opens with what it teaches")
		})
	}
}

// What the two-path card says, value by value.
func TestWhatACardSays(t *testing.T) {
	card, err := Read(cards + "twopath.card.toml")
	require.NoError(t, err)
	assert.Equal(t, "../rigs/twopath.rig.toml", card.RigFile)
	assert.Equal(t, diagnose.Facts{Frozen: diagnose.Yes, Creeps: diagnose.Yes, Replaced: []string{"toilet valve"}, PumpAge: 7}, card.Facts)
	assert.Equal(t, map[string]diagnose.Access{
		"fill valve":      {Effort: diagnose.ByHand},
		"suction shutoff": {Effort: diagnose.Door, Cover: "wet bay door"},
		"pump":            {Effort: diagnose.Screws, Cover: "pump bay panel", Wrong: diagnose.Nuisance},
		"strainer":        {Effort: diagnose.Screws, Cover: "pump bay panel"},
		"heater check":    {Minutes: 25 * time.Minute, Work: 40 * time.Minute},
		"belly pan":       {Effort: diagnose.Cant},
	}, card.Access)
	require.Len(t, card.Readings, 3)
	assert.Equal(t, diagnose.Reading{
		Lineup: network.Lineup{"hookup": network.Off()},
		When:   time.Date(2026, 4, 11, 19, 30, 0, 0, time.UTC),
		Heater: diagnose.HeaterSettled,
		Rest:   []diagnose.Time{{Value: 95 * time.Second}, {Value: 97 * time.Second, SD: time.Second}},
		Run:    []diagnose.Time{{Value: 1900 * time.Millisecond}},
	}, card.Readings[0])
	assert.InDelta(t, 4.4*float64(unit.FluidOunce), float64(card.Readings[1].Cup[0].Value), 1e-12)
	assert.Equal(t, []diagnose.Level{
		{Tank: "fresh tank", By: diagnose.ByLamp, Lamp: 1. / 3},
		{Tank: "fresh tank", At: 9 * time.Hour, By: diagnose.ByLamp, Lamp: 2. / 3},
	}, card.Readings[2].Level)
	assert.Equal(t, []diagnose.Look{{At: "toilet valve", For: diagnose.Drip, Saw: diagnose.No}}, card.Readings[2].Look)

	sd, ok := card.Rig.SD("accumulator", "precharge")
	require.True(t, ok)
	assert.InDelta(t, 3*float64(unit.PSI), sd, 1e-6, "the card's ± rules over the file's")
	p, _ := card.Rig.Part("accumulator")
	assert.InDelta(t, 27, p.(network.Accumulator).Precharge.PSI(), 1e-9, "and leaves the value")
}

// A step lies between the readings above and below it, and says so in a file
// that keeps the two apart.
func TestDoneKnowsTheReadingsBeforeIt(t *testing.T) {
	card, err := Read(cards + "nosuction.card.toml")
	require.NoError(t, err)
	require.Len(t, card.Readings, 2)
	assert.Equal(t, []diagnose.Done{{Do: diagnose.DoSwap, Part: "fill valve", Before: 1, After: diagnose.Same, Words: "the old one looked clean"}}, card.Done)
	assert.Contains(t, string(Marshal(card)), "readings_before = 1")
}

// The round of every tap can be told like a part.
func TestEveryTap(t *testing.T) {
	card, err := Parse("card", []byte(`rig = "camper.rig.toml"

[[reading]]
look = [{ at = "taps, pedal and handles", for = "left on", saw = "no" }]

[[done]]
do = "cure"
part = "taps, pedal and handles"
`), Beside("../../../testdata/rigs/card"))
	require.NoError(t, err)
	assert.Equal(t, diagnose.EveryTap, card.Readings[0].Look[0].At)
	assert.Equal(t, diagnose.EveryTap, card.Done[0].Part)
}

// An alternative is the card's rig with what differs.
func TestAlternatives(t *testing.T) {
	card, err := Read(cards + "bypass.card.toml")
	require.NoError(t, err)
	require.Len(t, card.Others, 1)
	other := card.Others[0]
	assert.Equal(t, 0.25, other.Share)
	_, ok := other.Rig.Part("heater check")
	assert.False(t, ok)
	link, ok := other.Rig.Part("heater link")
	require.True(t, ok)
	assert.Equal(t, []string{"heater cold", "heater in"}, link.Joints())
	_, ok = card.Rig.Part("heater check")
	assert.True(t, ok)
	assert.Len(t, other.Rig.Parts(), len(card.Rig.Parts()))
}

// A card that a program makes holds its rigs.
func TestACardOfAProgram(t *testing.T) {
	told, err := Read(cards + "bypass.card.toml")
	require.NoError(t, err)
	card := &Card{Case: told.Case}
	again, err := Parse("again", Marshal(card), nil)
	require.NoError(t, err, "%s", Marshal(card))
	require.Equal(t, card.Rig, again.Rig)
	require.Equal(t, card.Others[0].Rig.Parts(), again.Others[0].Rig.Parts())
	require.Equal(t, card.Others[0].Rig.Joints(), again.Others[0].Rig.Joints())
	require.Equal(t, card.Readings, again.Readings)

	// Another alternative in the place of one that was read is written as it is.
	told.Others[0].Rig = told.Rig
	again, err = Parse("again", Marshal(told), Beside(cards+"bypass.card.toml"))
	require.NoError(t, err)
	require.Equal(t, told.Rig.Parts(), again.Others[0].Rig.Parts())

	path := filepath.Join(t.TempDir(), "card.json")
	require.NoError(t, Write(path, card))
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, byte('{'), data[0])
	again, err = Read(path)
	require.NoError(t, err)
	assert.Equal(t, card.Rig, again.Rig)
}

// The card of the package's comment can be read.
func TestTheCardOfTheDoc(t *testing.T) {
	data, err := os.ReadFile("doc.go")
	require.NoError(t, err)
	_, text, found := bytes.Cut(data, []byte("//	rig ="))
	require.True(t, found)
	text, _, found = bytes.Cut(text, []byte("// is read by"))
	require.True(t, found)
	text = append([]byte("rig ="), bytes.ReplaceAll(text, []byte("//"), nil)...)
	rig, err := os.ReadFile("../../../testdata/rigs/twopath.rig.toml")
	require.NoError(t, err)
	text = bytes.ReplaceAll(text, []byte("heater shutoff"), []byte("suction shutoff"))
	card, err := Parse("doc", text, func(name string) ([]byte, error) { return rig, nil })
	require.NoError(t, err)
	assert.Len(t, card.Readings, 2)
}
