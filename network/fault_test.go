package network_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
)

func TestParseFault(t *testing.T) {
	seep := func(part, a, b string, s hydraulics.Seep) network.Fault {
		return network.Seep{Part: part, Pair: [2]string{a, b}, Seep: s}
	}
	at45 := func(mLmin, n float64) hydraulics.Seep {
		s, err := hydraulics.ParseSeep("1 mL/min at 45 psi")
		require.NoError(t, err)
		q, err := unit.Parse[unit.Flow](map[float64]string{55: "55 mL/min", 20: "20 mL/min"}[mLmin])
		require.NoError(t, err)
		return hydraulics.Seep{Ref: q.Value, At: s.At, Exp: n}
	}
	for _, tt := range []struct {
		text string
		want network.Fault
		back string // as String writes it; "" the same
	}{
		{"fill valve: 55 mL/min at 45 psi, orifice", seep("fill valve", "", "", at45(55, 0.5)), ""},
		{"fill valve: 55 mL/min at 45 psi", seep("fill valve", "", "", at45(55, 0)), ""},
		{"fill valve: 55 mL/min at 45 psi, n 0.7", seep("fill valve", "", "", at45(55, 0.7)), ""},
		{"fill valve: tight", seep("fill valve", "", "", hydraulics.Seep{}), ""},
		{"selector tank-hose: 20 mL/min at 45 psi, film", seep("selector", "tank", "hose", at45(20, 1)), ""},
		{`panel "tank top"-fill: 20 mL/min at 45 psi, crack`, seep("panel", "tank top", "fill", at45(20, 1.5)), ""},
		{`"low-point drain": 20 mL/min at 45 psi`, seep("low-point drain", "", "", at45(20, 0)), "low-point drain: 20 mL/min at 45 psi"},
		{"low-point drain: 20 mL/min at 45 psi", seep("low-point drain", "", "", at45(20, 0)), ""},
		{`"galley pull-out": tight`, seep("galley pull-out", "", "", hydraulics.Seep{}), ""},
		{"galley pull-out: tight", seep("galley", "pull", "out", hydraulics.Seep{}), ""},
		{"tap -: tight", seep("tap -", "", "", hydraulics.Seep{}), ""},
		{"accumulator: precharge 0 psi", network.LostCharge{Part: "accumulator"}, ""},
		{"accumulator: precharge 1 bar", network.LostCharge{Part: "accumulator", Precharge: unit.Bar}, "accumulator: precharge 14.50377377302092 psi"},
		{"pump: cut-in 25 psi, cut-out 40 psi", network.DriftedSwitch{Part: "pump", CutIn: 25 * unit.PSI, CutOut: 40 * unit.PSI}, ""},
		{"pump: stops at 40 psi", network.DriftedSwitch{Part: "pump", CutOut: 40 * unit.PSI}, "pump: cut-out 40 psi"},
		{"pump: 70 % speed", network.SlowPump{Part: "pump", Speed: 0.7}, ""},
		{"tee: air 200 mL", network.TrappedAir{Joint: "tee", Volume: 200 * unit.Millilitre}, ""},
	} {
		f, err := network.ParseFault(tt.text)
		require.NoError(t, err, tt.text)
		assert.Equal(t, tt.want, f, tt.text)
		if tt.back == "" {
			tt.back = tt.text
		}
		assert.Equal(t, tt.back, f.String())
	}
	assert.Equal(t, "valve: 1 mL/min at 45 psi", network.Seep{Part: "valve", Seep: hydraulics.Seep{Ref: unit.MillilitrePerMinute}}.String(), "at zero means 45 psi")
}

func TestParseFaultRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"fill valve":                         "one colon parts the name from what is wrong",
		"a: b: c":                            "one colon parts the name from what is wrong",
		": 1 mL/min at 45 psi":               "no part before the colon",
		"valve: 1 mL/min":                    "no pressure",
		"valve: -1 mL/min at 45 psi":         "below zero",
		"valve: 1 mL/min at 45 psi, n nine":  "no number from 0 to 3",
		"pump: cut-in 25 psi, nothing":       `"nothing": want cut-in or cut-out and a pressure`,
		"pump: cut-in 25 psi, cut-in 30 psi": "told twice",
		"pump: cut-in -5 psi":                "below zero",
		"pump: 70 speed":                     `want a percentage above zero`,
		"pump: 0 % speed":                    `want a percentage above zero`,
		"accumulator: precharge -3 psi":      "below zero",
		"accumulator: precharge 3":           "missing unit",
		"accumulator a-b: precharge 3 psi":   "two ports are named and nothing seeps",
		"tee: air 200 psi":                   "volume",
		`"tee: air 200 mL`:                   "one colon",
	} {
		_, err := network.ParseFault(text)
		assert.ErrorContains(t, err, want, "%q", text)
	}
}

func FuzzParseFault(f *testing.F) {
	for _, seed := range []string{
		"fill valve: 55 mL/min at 45 psi, orifice", `selector "a b"-c: a teaspoon a minute at 3 bar, n 0.7`, "accumulator: precharge 0 psi",
		"pump: cut-in 25 psi, cut-out 40 psi", "pump: 70 % speed", "tee: air 200 mL", `"x: y": tight`, "pull-out: tight", "a b-c d-e: tight",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		fault, err := network.ParseFault(text)
		if err != nil {
			return
		}
		back, err := network.ParseFault(fault.String())
		require.NoError(t, err, "%q → %q", text, fault)
		require.Equal(t, fault.String(), back.String(), text)
		require.Equal(t, fault.Faulty(), back.Faulty(), text)
	})
}

func TestCheckFaults(t *testing.T) {
	rig := build(append(panelItems(),
		network.Accumulator{Name: "accumulator", At: "house"}, network.Filter{Name: "filter", From: "house", To: "filtered"}, network.Drain{Name: "drain", At: "filtered"},
		network.Pump{Name: "steady pump", From: "suction", To: "house", Hold: &network.HeldPressure{}})...)
	drip := hydraulics.Seep{Ref: unit.MillilitrePerMinute}
	for _, tt := range []struct {
		fault network.Fault
		want  string
	}{
		{network.Seep{Part: "inlet check", Seep: drip}, ""},
		{network.Seep{Part: "panel", Pair: [2]string{"top", "house"}, Seep: drip}, ""},
		{network.Seep{Part: "mixer", Pair: [2]string{"hot", "head"}, Seep: drip}, ""},
		{network.Seep{Part: "filter", Seep: drip}, ""},
		{network.Seep{Part: "cold", Seep: drip}, ""}, // a joint
		{network.Seep{Part: "foot pump", Seep: drip}, ""},
		{network.LostCharge{Part: "accumulator"}, ""},
		{network.DriftedSwitch{Part: "front", CutIn: 20 * unit.PSI}, ""},
		{network.SlowPump{Part: "front", Speed: 0.7}, ""},
		{network.TrappedAir{Joint: "cold", Volume: unit.Litre}, ""},

		{nil, `a fault is nothing; leave it out`},
		{network.Seep{Part: "inlet chek", Seep: drip}, `seep of "inlet chek": the rig has no such part or joint (did you mean "inlet check"?); name a part or joint of the rig`},
		{network.Seep{Part: "accumulator", Seep: drip}, `accumulator "accumulator": it holds nothing back, so it cannot seep; name the part that should be tight, or for a weep a joint or tube`},
		{network.Seep{Part: "panel", Seep: drip}, `selector "panel": which two of its ports seep is not said; name them, such as city-top`},
		{network.Seep{Part: "panel", Pair: [2]string{"top", "hose"}, Seep: drip}, `selector "panel": it cannot seep between "top" and "hose"; name two of its ports that it can part`},
		{network.Seep{Part: "inlet check", Pair: [2]string{"a", "b"}, Seep: drip}, `check "inlet check": it has no port pair a-b; leave the ports out`},
		{network.Seep{Part: "cold", Seep: hydraulics.Seep{Ref: 1, Exp: 9}}, `joint "cold": the exponent 9 of its seep is out of range; 0.5 is an orifice, 1 a film, 1.5 a crack`},
		{network.Seep{Part: "cold", Seep: hydraulics.Seep{Ref: unit.Flow(math.NaN())}}, `joint "cold": its seep is no flow of zero or more at a pressure above zero; write it as 55 mL/min at 45 psi`},
		{network.LostCharge{Part: "acumulator"}, `fault of "acumulator": the rig has no such part (did you mean "accumulator"?); name a part of the rig`},
		{network.DriftedSwitch{Part: "accumulator"}, `accumulator "accumulator": it cannot have a drifted switch; name a pump`},
		{network.SlowPump{Part: "accumulator", Speed: 1}, `accumulator "accumulator": it cannot have a wrong speed; name a pump`},
		{network.DriftedSwitch{Part: "front", CutOut: 20 * unit.PSI}, `pump "front": drifted, its cut-in 30 psi is not between zero and its cut-out 20 psi; tell both settings as they are now`},
		{network.TrappedAir{Joint: "cold", Volume: -1e-3}, `joint "cold": its air of -4.227 cups cannot be; write zero or more`},
		{network.LostCharge{Part: "front"}, `pump "front": it cannot have a lost charge; name an accumulator`},
		{network.LostCharge{Part: "accumulator", Precharge: -1}, `accumulator "accumulator": its charge of -0.000145 psi cannot be; write zero for a charge that is all lost`},
		{network.DriftedSwitch{Part: "front", CutIn: 50 * unit.PSI}, `pump "front": drifted, its cut-in 50 psi is not between zero and its cut-out 45 psi; tell both settings as they are now`},
		{network.DriftedSwitch{Part: "steady pump", CutIn: 20 * unit.PSI}, `pump "steady pump": it holds a pressure and has no switch to drift; leave the fault out`},
		{network.SlowPump{Part: "front"}, `pump "front": 0 % of its speed cannot be; write a share above zero, such as 70 %; a pump that is off belongs to the lineup`},
		{network.TrappedAir{Joint: "clod"}, `joint "clod": the rig has no such joint to trap air at (did you mean "cold"?); name a joint of the rig`},
	} {
		err := rig.CheckFaults(network.Faults{tt.fault})
		if tt.want == "" {
			assert.NoError(t, err, "%v", tt.fault)
			continue
		}
		assert.EqualError(t, err, tt.want)
	}
}

func TestRigReadsFaults(t *testing.T) {
	rig := coach()
	f, err := rig.Fault("low-point drain: 20 mL/min at 45 psi")
	require.NoError(t, err)
	assert.Equal(t, "low-point drain", f.Faulty())
	f, err = rig.Fault("Water Pump: 70 % speed")
	require.NoError(t, err)
	assert.Equal(t, network.SlowPump{Part: "pump", Speed: 0.7}, f)
	f, err = rig.Fault("Accumulator: precharge 5 psi")
	require.NoError(t, err)
	assert.Equal(t, "accumulator", f.Faulty())
	f, err = rig.Fault("PUMP: starts at 20 psi")
	require.NoError(t, err)
	assert.Equal(t, network.DriftedSwitch{Part: "pump", CutIn: 20 * unit.PSI}, f)
	f, err = rig.Fault("tee: air 200 mL")
	require.NoError(t, err)
	assert.Equal(t, "tee", f.Faulty())
	_, err = rig.Fault("fil valve: tight")
	assert.ErrorContains(t, err, `did you mean "fill valve"`)

	pull := build(base(network.Drain{Name: "galley pull-out", At: "line"})...)
	f, err = pull.Fault("galley pull-out: tight")
	require.NoError(t, err)
	assert.Equal(t, "galley pull-out", f.Faulty(), "the rig knows the name, so it is no pair of ports")
}
