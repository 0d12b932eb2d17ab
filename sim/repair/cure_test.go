package repair_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/repair"
)

func cures(tb testing.TB, j repair.Job) map[string]repair.Cure {
	tb.Helper()
	list, err := j.Cures()
	require.NoError(tb, err)
	by := map[string]repair.Cure{}
	for _, c := range list {
		by[c.Do] = c
	}
	return by
}

// What costs least and opens nothing comes first, and nothing is certain.
func TestCuresOrder(t *testing.T) {
	rig := read(t, "twopath")
	for _, s := range rig.Suspects(nil) {
		list, err := job(t, "twopath", s.Seep.Part, 30*unit.MillilitrePerMinute).Cures()
		if s.Seep.Pair != ([2]string{}) {
			continue // tested with its pair below
		}
		require.NoError(t, err, s.Name)
		require.NotEmpty(t, list, s.Name)
		for i, c := range list {
			assert.Positive(t, c.Minutes, c.Do)
			assert.Less(t, c.Chance, 1.0, c.Do)
			assert.True(t, c.Chance > 0 || c.Warning != "", c.Do)
			assert.NotEmpty(t, c.Notes, c.Do)
			if i == 0 {
				assert.LessOrEqual(t, c.Minutes, 20.0, s.Name)
			}
			if c.Minutes >= 30 {
				assert.Contains(t, c.Cautions, repair.PullFuse, "%s: %s opens the lines", s.Name, c.Do)
			}
		}
	}
}

func TestCuresOfAPair(t *testing.T) {
	rig := read(t, "twopath")
	for _, s := range rig.Suspects(nil) {
		if s.Seep.Pair == ([2]string{}) {
			continue
		}
		j := job(t, "twopath", s.Seep.Part, 30*unit.MillilitrePerMinute)
		j.Seep.Pair = s.Seep.Pair
		assert.Contains(t, cures(t, j), "close it properly", s.Name)
	}
}

// A check behind the pump leaves its switch with next to no water: the head's seep would start it far more often, and
// the tool says so. With the switch beyond the check the pump is quiet. Source: testdata/published/pump_and_switch.csv, "check valve and
// switch placement".
func TestCheckAfterTheSwitch(t *testing.T) {
	c := cures(t, job(t, "twopath", "pump", 30*unit.MillilitrePerMinute))["add a check"]
	assert.Zero(t, c.Chance)
	assert.Contains(t, c.Warning, "switch would stand before it")

	items := []network.Item{}
	for _, p := range read(t, "twopath").Parts() {
		if p, ok := p.(network.Pump); ok {
			p.Sense = "manifold"
			items = append(items, p)
			continue
		}
		items = append(items, p)
	}
	for _, joint := range read(t, "twopath").Joints() {
		items = append(items, joint)
	}
	rig, err := network.New("switch at the manifold", items...)
	require.NoError(t, err)
	j := repair.Job{Model: compile(t, rig), Seep: seepAt("pump", 30*unit.MillilitrePerMinute, 1)}
	c = cures(t, j)["add a check"]
	assert.Empty(t, c.Warning)
	assert.Positive(t, c.Chance)
	assert.Contains(t, c.How, "stays quiet")
}

// A relief valve that drips is seldom the valve (testdata/published/service.csv, "why a relief valve drips"): first the cushion,
// off and cold, and never a plug.
func TestReliefValveCure(t *testing.T) {
	c := cures(t, job(t, "twopath", "relief valve", 5*unit.MillilitrePerMinute))["restore the heater's cushion"]
	assert.Contains(t, c.How, "off and cold")
	assert.Equal(t, []repair.Caution{repair.PullFuse, repair.HeaterOff, repair.NeverPlug, repair.HeaterOn}, c.Cautions)
}

func TestVacuumBreakerIsReplaced(t *testing.T) {
	rig := trailer.rig(t, network.VacuumBreaker{Name: "breaker", At: "line"})
	list, err := repair.Job{Model: compile(t, rig), Seep: seepAt("breaker", unit.MillilitrePerMinute, 1)}.Cures()
	require.NoError(t, err)
	assert.Empty(t, list)
}

func TestCuresOf(t *testing.T) {
	assert.Equal(t, "recharge the accumulator", repair.CuresOf(network.LostCharge{Part: "accumulator"})[0].Do)
	assert.Equal(t, "clean the strainer", repair.CuresOf(network.SlowPump{Part: "pump"})[0].Do)
	assert.Equal(t, "bleed the lines", repair.CuresOf(network.TrappedAir{Joint: "tee"})[0].Do)
	assert.Empty(t, repair.CuresOf(network.DriftedSwitch{Part: "pump"}), "turning its screw is refused")
}

func TestCuresRefusals(t *testing.T) {
	j := repair.Job{Model: compile(t, read(t, "twopath")), Seep: network.Seep{Part: "suction line", Seep: hydraulics.Seep{Ref: 1e-6}}}
	_, err := j.Cures()
	assert.ErrorContains(t, err, "not under pressure")
	j.Seep.Ref = 0
	_, err = j.Cures()
	assert.ErrorIs(t, err, repair.ErrTight)
}
