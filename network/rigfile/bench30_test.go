package rigfile

import (
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// numbers is bench30 as plain SI numbers, as it was given to the independent
// solver (SciPy) whose event times the simulation is compared with.
type numbers struct {
	Joints []struct {
		ID string
		Z  float64
	}
	Parts []struct {
		ID, Type, A, B, Joint                   string
		L, D, Eps, K, Opening, Q0, Pmax, Qr, Pr float64
		CutIn                                   float64 `json:"cut_in"`
		Seep                                    *struct {
			Qref, Pref, N float64
		}
		CutOut float64 `json:"cut_out"`
	}
	Stores []struct {
		ID, Type, Joint              string
		A, Vcap, Z0, V, Precharge, C float64
		Ports                        []string
	}
}

func TestBench30IsTheReferenceRig(t *testing.T) {
	rig, err := Read(rigs + "bench30.rig.toml")
	require.NoError(t, err)
	data, err := os.ReadFile(rigs + "bench30.numbers.json")
	require.NoError(t, err)
	var want numbers
	require.NoError(t, json.Unmarshal(data, &want))

	require.Len(t, rig.Joints(), len(want.Joints))
	for _, j := range want.Joints {
		got, ok := rig.Joint(j.ID)
		require.True(t, ok, j.ID)
		assert.Equal(t, unit.Length(j.Z), got.Z, j.ID)
	}
	var parts []network.Part
	for _, p := range want.Parts {
		switch p.Type {
		case "tube":
			parts = append(parts, network.Tube{Name: p.ID, From: p.A, To: p.B, Material: "pex", Length: unit.Length(p.L), Bore: unit.Length(p.D), Roughness: unit.Length(p.Eps), K: p.K, Rigid: true})
		case "shutoff":
			parts = append(parts, network.Shutoff{Name: p.ID, From: p.A, To: p.B, Shut: p.Opening == 0, Bore: unit.Length(p.D), K: p.K})
		case "check":
			parts = append(parts, network.Check{Name: p.ID, From: p.A, To: p.B, Bore: unit.Length(p.D), K: p.K})
		case "pump":
			parts = append(parts, network.Pump{Name: p.ID, From: p.A, To: p.B, Sense: p.B, CutIn: unit.Pressure(p.CutIn), CutOut: unit.Pressure(p.CutOut), Sealed: true, Voltage: 12,
				Curve: hydraulics.PumpCurve{{Rise: 0, Flow: unit.Flow(p.Q0)}, {Rise: unit.Pressure(p.Pmax), Flow: 0}}})
		case "fixture":
			parts = append(parts, network.Fixture{Name: p.ID, At: p.Joint, Rated: unit.Flow(p.Qr), RatedAt: unit.Pressure(p.Pr)})
		}
	}
	require.Len(t, parts, 37)
	for _, s := range want.Stores {
		switch s.Type {
		case "tank":
			got, ok := rig.Part("fresh tank")
			require.True(t, ok)
			tank := got.(network.Tank)
			assert.Equal(t, s.A, float64(tank.Capacity)/float64(tank.Height)) // m² of floor
			parts = append(parts, network.Tank{Name: "fresh tank", Ports: s.Ports, Capacity: unit.Volume(s.Vcap), Height: tank.Height, Floor: unit.Length(s.Z0), Spills: "ground"})
		case "accumulator":
			parts = append(parts, network.Accumulator{Name: "accumulator", At: s.Joint, Volume: unit.Volume(s.V), Precharge: unit.Pressure(s.Precharge), Exponent: 1})
		case "heater":
			parts = append(parts, network.Heater{Name: "water heater", At: s.Joint, Volume: unit.Volume(s.V), Compliance: unit.Compliance(s.C), Expansion: -1})
		case "elastic":
			parts = append(parts, network.Elastic{Name: "stretch " + s.Joint, At: s.Joint, Compliance: unit.Compliance(s.C)})
		}
	}
	for _, p := range parts {
		got, _ := rig.Part(p.ID())
		assert.Equal(t, p, got)
	}
	relief, ok := rig.Part("heater relief")
	require.True(t, ok)
	assert.Equal(t, 150*unit.PSI, relief.(network.ReliefValve).Set)
	assert.Len(t, rig.Parts(), len(parts)+1)

	// Its faults stand in the comment on top, one a line behind three spaces.
	text, err := os.ReadFile(rigs + "bench30.rig.toml")
	require.NoError(t, err)
	seeps := map[string]network.Fault{}
	for line := range strings.Lines(string(text)) {
		if words, ok := strings.CutPrefix(line, "#   "); ok {
			fault, err := rig.Fault(strings.TrimSpace(words))
			require.NoError(t, err, words)
			seeps[fault.Faulty()] = fault
		}
	}
	for _, p := range want.Parts {
		if p.Seep != nil {
			assert.Equal(t, network.Seep{Part: p.ID, Seep: hydraulics.Seep{Ref: unit.Flow(p.Seep.Qref), At: unit.Pressure(p.Seep.Pref), Exp: p.Seep.N}}, seeps[p.ID])
			delete(seeps, p.ID)
		}
	}
	assert.Empty(t, seeps)

	for _, a := range rig.Assumed() {
		moves := !(a.Field == "voltage" || a.Part == "heater relief" || a.Field == "material")
		assert.False(t, moves, "%s of %s is left to a typical value", a.Field, a.Part)
	}
}
