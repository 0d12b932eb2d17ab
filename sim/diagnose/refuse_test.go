package diagnose

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
)

// A coach on which every refusal can be provoked: a pump with its suction shutoff, a heater between two shutoffs with
// a bypass, a hose with its regulator.
func refusalRig(t *testing.T, regulator bool, set unit.Pressure, inlet bool) *network.Rig {
	t.Helper()
	items := []network.Item{
		network.Tank{Name: "tank", Ports: []string{"outlet"}},
		network.Shutoff{Name: "suction", From: "outlet", To: "pump in"},
		network.Pump{Name: "pump", From: "pump in", To: "tee", CutIn: 30 * unit.PSI, CutOut: 45 * unit.PSI},
		network.Shutoff{Name: "heater in", From: "tee", To: "cold side"},
		network.Tube{Name: "feed", From: "cold side", To: "heater tank"},
		network.Heater{Name: "heater", At: "heater tank"},
		network.ReliefValve{Name: "relief", At: "heater tank"},
		network.Shutoff{Name: "heater out", From: "heater tank", To: "hot"},
		network.Shutoff{Name: "bypass", From: "tee", To: "hot", Shut: true},
		network.Fixture{Name: "hot tap", At: "hot"},
		network.Fixture{Name: "cold tap", At: "tee"},
		network.Hookup{Name: "hose", At: "inlet", Static: 60 * unit.PSI},
	}
	to := "tee"
	if inlet {
		to = "pump in"
	}
	if regulator {
		items = append(items,
			network.Regulator{Name: "regulator", From: "inlet", To: "regulated", Set: set, Droop: 5 * unit.PSI},
			network.Check{Name: "inlet check", From: "regulated", To: to})
	} else {
		items = append(items, network.Check{Name: "inlet check", From: "inlet", To: to})
	}
	rig, err := network.New("refusals", items...)
	require.NoError(t, err)
	return rig
}

// Each refusal of DIAGNOSIS is provoked alone, gives its reason, and is not given where its cause is taken away.
func TestEachRefusal(t *testing.T) {
	good := refusalRig(t, true, 45*unit.PSI, false)
	on, off, shut := network.On(), network.Off(), network.Shut()
	hose := network.Lineup{"hose": on, "pump": off}
	for _, tt := range []struct {
		name   string
		rig    *network.Rig
		lineup network.Lineup
		st     standing
		rule   Rule // "" for none
	}{
		{"as found", good, nil, standing{}, ""},
		{"pump on with its suction shut", good, network.Lineup{"suction": shut}, standing{}, NoSuction},
		{"… with its fuse pulled", good, network.Lineup{"suction": shut, "pump": off}, standing{}, ""},
		{"pump on with an empty tank", good, nil, standing{empty: map[string]bool{"tank": true}}, NoSuction},
		{"heater shut in on both sides", good, network.Lineup{"heater in": shut, "heater out": shut}, standing{}, HeaterShutIn},
		{"… off, cold and relieved", good, network.Lineup{"heater in": shut, "heater out": shut}, standing{settled: true}, ""},
		{"heating while bypassed", good, network.Lineup{"heater in": shut, "bypass": network.Open(1)}, standing{}, ""}, // water reaches it from the hot side
		{"heating without water", good, network.Lineup{"heater in": shut}, standing{}, DryElement},
		{"… off and cold", good, network.Lineup{"heater in": shut}, standing{settled: true}, ""},
		{"the pump would run on", good, nil, standing{run: 61, beat: 100}, RunsOn},
		{"the pump would chatter", good, nil, standing{run: 0.3, beat: 1}, RunsOn},
		{"a pump that cycles as it should", good, nil, standing{run: 3, beat: 90}, ""},
		{"hose through its regulator", good, hose, standing{}, ""},
		{"hose without a regulator", refusalRig(t, false, 0, false), hose, standing{}, NoRegulator},
		{"hose above the weakest part", refusalRig(t, true, 55*unit.PSI, false), hose, standing{}, OverRating},
		{"hose at the pump's inlet", refusalRig(t, true, 45*unit.PSI, true), hose, standing{}, OverRating},
		{"hose holding the pump above its stop", refusalRig(t, true, 50*unit.PSI, false), network.Lineup{"hose": on}, standing{}, ""},
	} {
		got := refuse(newView(tt.rig, tt.lineup), newView(tt.rig, nil), tt.st)
		if tt.rule == "" {
			assert.Empty(t, got, tt.name)
			continue
		}
		if assert.NotEmpty(t, got, tt.name) {
			assert.Equal(t, tt.rule, got[0].Rule, tt.name)
			assert.NotEmpty(t, got[0].Words, tt.name)
		}
	}
	assert.Equal(t, SwitchScrew, screwRefusal().Rule)

	// What a case says of a lineup of the reader's own.
	c := Case{Rig: good}
	assert.Empty(t, c.Refuse(nil))
	assert.Equal(t, NoSuction, c.Refuse(network.Lineup{"suction": shut})[0].Rule)
	assert.Equal(t, HeaterShutIn, c.Refuse(network.Lineup{"heater in": shut, "heater out": shut})[0].Rule)
	c.Readings = []Reading{{Heater: HeaterSettled}}
	assert.Empty(t, c.Refuse(network.Lineup{"heater in": shut, "heater out": shut}))
	assert.Empty(t, c.Refuse(network.Lineup{"nothing such": shut}))
	assert.Empty(t, Case{}.Refuse(nil))
}

// No advice of any rig is a refused lineup, and the refused ones are told.
func TestAdviceIsNeverRefused(t *testing.T) {
	for _, name := range []string{"twopath", "nosuction", "bypass", "noaccumulator", "twopumps", "camper"} {
		rig, err := rigfile.Read("../../testdata/rigs/" + name + ".rig.toml")
		require.NoError(t, err)
		b, err := From(t.Context(), Case{Rig: rig, Readings: []Reading{{Rest: []Time{{Value: 95e9}}}}}, Options{})
		require.NoError(t, err)
		base := newView(rig, nil)
		for _, c := range b.Next {
			assert.Empty(t, refuse(newView(rig, c.Lineup), base, standing{}), "%s: %s", name, c.Words)
			if c.Do == DoLook && (c.Part == "strainer" || c.Part == "pump") {
				assert.Contains(t, strings.Join(c.Cautions, " "), "Pull the pump's fuse")
			}
			if c.Do == DoLook && c.Part == "relief valve" {
				assert.Contains(t, strings.Join(c.Cautions, " "), "Never plug")
			}
			if c.Do == DoTest {
				assert.Contains(t, c.Words, "tay beside it", name)
				v := newView(rig, c.Lineup)
				for _, p := range rig.Parts() {
					if p, ok := p.(network.Pump); ok && !v.reachesTank(p.From) { // the suction is shut, on the hose
						assert.Equal(t, network.Off(), c.Lineup.Of(p))
						assert.Contains(t, strings.Join(c.Cautions, " "), "pull the pump's fuse")
						assert.Contains(t, strings.Join(c.Cautions, " "), "ten minutes at most")
					}
				}
			}
		}
		refused := func(r Rule) bool {
			return slices.ContainsFunc(b.Refused, func(f Refusal) bool { return f.Rule == r })
		}
		if name == "twopath" || name == "bypass" {
			assert.True(t, refused(NoSuction), name)
		}
		if name == "bypass" {
			assert.True(t, refused(HeaterShutIn), name)
		}
	}
}

// Where looks are ruled out none is advised.
func TestNoLooks(t *testing.T) {
	rig, err := rigfile.Read("../../testdata/rigs/twopath.rig.toml")
	require.NoError(t, err)
	b, err := From(t.Context(), Case{Rig: rig, Readings: []Reading{{Rest: []Time{{Value: 95e9}}}}}, Options{NoLooks: true})
	require.NoError(t, err)
	require.NotEmpty(t, b.Next)
	for _, c := range b.Next {
		assert.NotEqual(t, DoLook, c.Do)
	}
}
