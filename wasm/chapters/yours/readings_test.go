package yours

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/diagnose"
	"quietpump/sim/diagnose/jobcard"
)

// told is what is told of each kind, and how a job card tells the same.
var tells = map[string]struct {
	told map[string]string
	card string
}{
	"rest":      {map[string]string{"rest": "1:35"}, `rest = "1:35"`},
	"run":       {map[string]string{"run": "3.2"}, `run = "3.2 s"`},
	"every":     {map[string]string{"every": "20 min ± 1"}, `every = "20 min ± 1"`},
	"count":     {map[string]string{"starts": "6", "within": "9"}, `count = "6 in 9 h"`},
	"nostart":   {map[string]string{"nostart": "12"}, `no_start = "12 min"`},
	"blip":      {nil, `blip = true`},
	"never":     {map[string]string{"never": "10 min"}, `never_stops = "10 min"`},
	"cup":       {map[string]string{"cup": "2.5"}, `cup = "2.5 fl oz"`},
	"jug":       {map[string]string{"volume": "1 gal", "time": "34", "tap": "kitchen tap"}, `jug = { tap = "kitchen tap", volume = "1 gal", time = "34 s" }`},
	"starts at": {map[string]string{"starts at": "30"}, `starts_at = "30 psi"`},
	"stops at":  {map[string]string{"stops at": "3 bar"}, `stops_at = "3 bar"`},
	"gauge": {map[string]string{"joint": "kitchen", "first": "45", "later": "38 psi", "after": "2 min"},
		`gauge = [{ joint = "kitchen", after = "0 s", reads = "45 psi" }, { joint = "kitchen", after = "2 min", reads = "38 psi" }]`},
	"charge": {map[string]string{"charge": "27 psi ± 2"}, `precharge = "27 psi ± 2"`},
	"level": {map[string]string{"tank": "fresh tank", "first": "7", "later": "7 1/4 in", "after": "1 h"},
		`level = [{ tank = "fresh tank", after = "0 s", height = "7 in" }, { tank = "fresh tank", after = "1 h", height = "7 1/4 in" }]`},
	"lamps": {map[string]string{"tank": "fresh tank", "first": "1/3", "later": "2/3", "after": "10"},
		`level = [{ tank = "fresh tank", after = "0 s", lamp = "1/3" }, { tank = "fresh tank", after = "10 h", lamp = "2/3" }]`},
	"spill":  {map[string]string{"tank": "fresh tank", "spills": "yes", "after": "60", "spilt": "1"}, `level = { tank = "fresh tank", after = "60 min", spilling = "yes", spilt = "1 gal" }`},
	"look":   {map[string]string{"at": "kitchen tap", "for": "hiss", "saw": "no"}, `look = { at = "kitchen tap", for = "hiss", saw = "no" }`},
	"relief": {map[string]string{"saw": "yes"}, `look = { at = "relief valve", for = "drip", saw = "yes" }`},
}

// Whatever is told by touch enters the card as the card's own words would.
func TestEachKindEntersTheCardAsTheCardTellsIt(t *testing.T) {
	rig, err := system{Accumulator: true, Inlet: true, FillValve: true, Heater: true}.rig()
	require.NoError(t, err)
	lineup := network.Lineup{"hose inlet": network.Off(), "fill valve": network.Open(1)}
	for _, k := range kinds {
		tt, ok := tells[k.Key]
		require.True(t, ok, k.Key)
		got, problems := k.read(unit.US, rig, lineup, tt.told)
		require.Empty(t, problems, k.Key)
		text := append(jobcard.Marshal(&jobcard.Card{Case: diagnose.Case{Rig: rig}}), fmt.Sprintf("\n[[reading]]\nlineup = %q\n%s\n", lineup, tt.card)...)
		card, err := jobcard.Parse("told.card.toml", text, nil)
		require.NoError(t, err, k.Key)
		want := card.Readings[0]
		assert.Equal(t, want, got, k.Key)
		// It is a reading that the library takes, and a belief comes of it.
		_, err = diagnose.Begin(diagnose.Case{Rig: rig, Readings: []diagnose.Reading{got}}, diagnose.Options{})
		assert.NoError(t, err, k.Key)
	}
	assert.Len(t, tells, len(kinds))
}

// Nothing told, and nonsense, say at each blank what to write.
func TestWhatIsNotUnderstoodSaysWhatToWrite(t *testing.T) {
	rig, err := system{Accumulator: true, Heater: true}.rig()
	require.NoError(t, err)
	for _, k := range kinds {
		for _, text := range []string{"", "soon", "-3", "95 furlongs"} {
			told := map[string]string{}
			for _, b := range k.blanks {
				told[b.Key] = text
			}
			_, problems := k.read(unit.Metric, rig, nil, told)
			for _, b := range k.blanks {
				if b.may && text == "" {
					continue
				}
				if b.pick == nil && text == "-3" && problems[b.Key] == "" {
					continue // a pressure below the air's, which the library judges
				}
				assert.NotEmpty(t, problems[b.Key], "%s.%s = %q", k.Key, b.Key, text)
			}
		}
	}
	_, problems := mustKind(t, "cup").read(unit.Metric, rig, nil, map[string]string{"cup": "lots"})
	assert.Equal(t, "That is no amount: write it like 75 mL.", problems["cup"])
}

// What was told under the same valves right after each other stands in one reading.
func TestReadingsTogether(t *testing.T) {
	var j job
	j.hand(diagnose.Reading{Rest: []diagnose.Time{{Value: 95e9}}}, false)
	j.hand(diagnose.Reading{Run: []diagnose.Time{{Value: 3e9}}}, false)
	require.Len(t, j.Read, 1)
	j.hand(diagnose.Reading{Lineup: network.Lineup{"fill valve": network.Open(1)}, Run: []diagnose.Time{{Value: 3e9}}}, false)
	require.Len(t, j.Read, 2)
	j.hand(diagnose.Reading{Lineup: network.Lineup{"fill valve": network.Open(1)}, NoStart: 720e9}, true)
	require.Len(t, j.Read, 3)
	j.Done = []diagnose.Done{{Do: diagnose.DoCure, Part: "pump", Before: 3}}
	j.hand(diagnose.Reading{Lineup: network.Lineup{"fill valve": network.Open(1)}, Run: []diagnose.Time{{Value: 3e9}}}, false)
	require.Len(t, j.Read, 4, "what came after a cure is apart")
}
