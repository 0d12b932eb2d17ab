package network_test

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// base is the smallest rig that stands; each case of the table adds to it.
func base(more ...network.Item) []network.Item {
	return append([]network.Item{
		network.Tank{Name: "tank", Ports: []string{"out"}},
		network.Pump{Name: "main", From: "out", To: "line", CutIn: 30 * unit.PSI, CutOut: 45 * unit.PSI},
		network.Fixture{Name: "tap", At: "line"},
	}, more...)
}

func tube(name, from, to string) network.Tube {
	return network.Tube{Name: name, From: from, To: to}
}

func TestEveryProblemIsTold(t *testing.T) {
	nan := unit.Pressure(math.NaN())
	for _, tt := range []struct {
		name  string
		items []network.Item
		want  []string // all of them, one a line
	}{
		{"nothing wrong", base(), nil},
		{"no parts", nil, []string{"the rig has no parts; begin with a tank, a pump and the tubes between"}},
		{"nothing given", base(nil), []string{"there is nothing here; leave it out, or give a part or joint"}},
		{"a pointer to nothing", base((*network.Tube)(nil)), []string{"there is nothing here; leave it out, or give a part or joint"}},
		{"two of one name", base(network.Drain{Name: "tap", At: "line"}), []string{
			`drain "tap": another part has this name; give each part a name of its own`}},
		{"two joints of one name", base(network.Joint{Name: "line"}, network.Joint{Name: "line", Z: 1}), []string{
			`joint "line": there are two joints of this name; say everything about it in one`}},
		{"no name", base(network.Fixture{At: "line"}), []string{
			`fixture "": it has no name; give it one that says where it is, such as "galley cold"`}},
		{"a control character", base(network.Fixture{Name: "a\x07b", At: "line"}), []string{
			`fixture "a\ab": name "a\ab" has characters that cannot be seen; write it with letters, digits and single spaces`}},
		{"space around", base(network.Fixture{Name: " b", At: "line"}), []string{
			`fixture " b": name " b" has space around it; write it with letters, digits and single spaces`}},
		{"no joint", base(network.Fixture{Name: "b"}), []string{
			`fixture "b": it names no joint for its "at"; say which joint it meets there`}},
		{"one joint twice", base(tube("loop", "line", "line")), []string{
			`tube "loop": it meets joint "line" twice; give each of its ports a joint of its own`}},
		{"a dead end", base(tube("run", "line", "galley"), tube("stub", "line", "galey")), []string{
			`joint "galey": only tube "stub" meets here (did you mean "galley"?); join another part to it; for a capped end give the joint an entry of its own`,
			`joint "galley": only tube "run" meets here (did you mean "galey"?); join another part to it; for a capped end give the joint an entry of its own`}},
		{"a capped end", base(tube("run", "line", "galley"), network.Joint{Name: "galley"}), nil},
		{"a joint apart", base(network.Joint{Name: "lime"}), []string{
			`joint "lime": no part meets here (did you mean "line"?); leave it out, or name it at a part's end`}},
		{"a tap apart", base(network.Fixture{Name: "b", At: "lien"}), []string{
			`joint "lien": nothing feeds it (did you mean "line"?); join it to the rest`}},
		{"parts apart", base(tube("run", "a", "b"), network.Fixture{Name: "c", At: "a"}, network.Fixture{Name: "d", At: "b"}), []string{
			`joint "a": nothing feeds it and 1 more that hang together with it; join it to the rest`}},
		{"a check the wrong way", base(network.Check{Name: "check", From: "hot", To: "line"}, network.Fixture{Name: "c", At: "hot"}), []string{
			`joint "hot": nothing feeds it; turn check "check" round if it points the wrong way`}},
		{"a port no position joins", base(network.Selector{Name: "panel", Ports: []string{"line", "hot"}, Positions: []network.Position{{Name: "use"}}}, network.Fixture{Name: "c", At: "hot"}), []string{
			`joint "hot": nothing feeds it; give selector "panel" a position that joins it`}},
		{"no source", []network.Item{tube("run", "a", "b"), network.Fixture{Name: "c", At: "a"}, network.Drain{Name: "d", At: "b"}}, []string{
			`the rig has no source of water; add a tank and a pump, or a hookup`}},
		{"a tank without a pump", []network.Item{network.Tank{Name: "tank", Ports: []string{"a"}}, network.Drain{Name: "d", At: "a"}}, []string{
			`the rig has no source of water; add a tank and a pump, or a hookup`}},
		{"a hookup alone", []network.Item{network.Hookup{Name: "hose", At: "a"}, network.Fixture{Name: "c", At: "a"}}, nil},
		{"a hand pump", []network.Item{network.Tank{Name: "tank", Ports: []string{"a"}}, network.HandPump{Name: "foot pump", From: "a", To: "b"}, network.Fixture{Name: "c", At: "b"}}, nil},
		{"two tanks at one joint", base(network.Tank{Name: "spare", Ports: []string{"out"}}), []string{
			`joint "out": tanks "spare" and "tank" share it; give each tank its own ports and put a tube between`}},
		{"a tank without ports", base(network.Tank{Name: "spare"}), []string{
			`tank "spare": it has no ports; name the joint of its outlet`}},
		{"cut-in above cut-out", base(network.Pump{Name: "second", From: "out", To: "line", CutIn: 50 * unit.PSI, CutOut: 45 * unit.PSI}), []string{
			`pump "second": cut-in 50 psi is above cut-out 45 psi; swap them`}},
		{"cut-in at cut-out", base(network.Pump{Name: "second", From: "out", To: "line", CutIn: 45 * unit.PSI, CutOut: 45 * unit.PSI}), []string{
			`pump "second": cut-in and cut-out are both 45 psi; set cut-in about 15 psi below cut-out`}},
		{"sensing nowhere", base(network.Pump{Name: "second", From: "out", To: "line", Sense: "lime"}), []string{
			`pump "second": its switch feels the pressure at "lime", which is no joint (did you mean "line"?); name a joint, or leave it out for the pump's outlet`}},
		{"held below its start", base(network.Pump{Name: "second", From: "out", To: "line", Hold: &network.HeldPressure{Set: 40 * unit.PSI, Start: 50 * unit.PSI, LeastSpeed: 2}}), []string{
			`pump "second": least speed is above full speed; write it as a fraction, such as 0.2`,
			`pump "second": it starts at 50 psi, not below the 40 psi that it holds; lower the start`}},
		{"a bypass upside down", base(network.Pump{Name: "second", From: "out", To: "line", Bypass: network.Bypass{Opens: 60 * unit.PSI, Full: 50 * unit.PSI}}), []string{
			`pump "second": its bypass is full at 50 psi, not above the 60 psi at which it opens; swap them`}},
		{"a curve of one point", base(network.Pump{Name: "second", From: "out", To: "line", Curve: hydraulics.PumpCurve{{Flow: unit.GPM}}}), []string{
			`pump "second": pump curve has fewer than two points; list its points from open flow to the rise at which it delivers nothing`}},
		{"a delay below zero", base(network.Pump{Name: "second", From: "out", To: "line", Delay: -time.Second}), []string{
			`pump "second": delay -1s is negative; write it above zero, or leave it out`}},
		{"precharge above cut-out", base(network.Accumulator{Name: "accumulator", At: "line", Precharge: 50 * unit.PSI}), []string{
			`accumulator "accumulator": precharge 50 psi is not below 45 psi, at which pump "main" stops: it would never take water; charge it about 3 psi below the pump's cut-in`}},
		{"no relief valve", base(network.Heater{Name: "heater", At: "line"}), []string{
			`heater "heater": it has no relief valve that stays joined to it whatever is shut; add a relief valve at joint "line", or with tube alone between`}},
		{"a relief valve behind a shutoff", base(network.Heater{Name: "heater", At: "hot"}, network.Shutoff{Name: "valve", From: "line", To: "hot"}, network.ReliefValve{Name: "relief", At: "line"}), []string{
			`heater "heater": it has no relief valve that stays joined to it whatever is shut; add a relief valve at joint "hot", or with tube alone between`}},
		{"a relief valve behind a check", base(network.Heater{Name: "heater", At: "hot"}, network.Check{Name: "check", From: "line", To: "hot"}, network.ReliefValve{Name: "relief", At: "line"}), []string{
			`heater "heater": it has no relief valve that stays joined to it whatever is shut; add a relief valve at joint "hot", or with tube alone between`}},
		{"a relief valve behind a tube", base(network.Heater{Name: "heater", At: "hot"}, tube("run", "line", "hot"), network.ReliefValve{Name: "relief", At: "line"}), nil},
		{"two ideal regulators", base(
			network.Hookup{Name: "left", At: "a"}, network.Regulator{Name: "one", From: "a", To: "line"},
			network.Hookup{Name: "right", At: "b"}, network.Regulator{Name: "two", From: "b", To: "line"}), []string{
			`regulator "two": it and regulator "one" hold one section, both without droop; give them droop, such as 5 psi at 2 gpm`}},
		{"a regulator with droop beside an ideal one", base(
			network.Hookup{Name: "left", At: "a"}, network.Regulator{Name: "one", From: "a", To: "line", Droop: 5 * unit.PSI},
			network.Hookup{Name: "right", At: "b"}, network.Regulator{Name: "two", From: "b", To: "line"}), nil},
		{"waste into nowhere", base(network.WasteTank{Name: "grey tank"}, network.Fixture{Name: "b", At: "line", Into: "gray tank"}), []string{
			`fixture "b": it drains into "gray tank", which is no part of the rig (did you mean "grey tank"?); add the waste tank, or leave it out for the ground`}},
		{"waste into the fresh tank", base(network.Appliance{Name: "b", At: "line", Into: "tank"}), []string{
			`appliance "b": it drains into "tank", which is a tank and no waste tank; add the waste tank, or leave it out for the ground`}},
		{"waste onto the ground", base(network.Fixture{Name: "b", At: "line", Into: "ground"}), nil},
		{"an unknown size", base(network.Tube{Name: "run", From: "line", To: "b", Size: "7/16 in"}, network.Drain{Name: "c", At: "b"}), []string{
			`tube "run": pex tube "7/16 in": no such size (want 3/8 in, 1/2 in, 5/8 in, 3/4 in, 1 in); write a trade size, or bore, roughness and compliance outright`}},
		{"an unknown material", base(network.Tube{Name: "run", From: "line", To: "b", Material: "pecs"}, network.Drain{Name: "c", At: "b"}), []string{
			`tube "run": unknown tube material "pecs" (did you mean "pex"?); write a trade size, or bore, roughness and compliance outright`}},
		{"a negative length", base(network.Tube{Name: "run", From: "line", To: "b", Length: -1}, network.Drain{Name: "c", At: "b"}), []string{
			`tube "run": length is negative; write it above zero, or leave it out for a typical value`}},
		{"smooth, below the datum", base(network.Tube{Name: "run", From: "line", To: "b", Roughness: -1}, network.Drain{Name: "c", At: "b"}, network.Joint{Name: "b", Z: -0.2}), nil},
		{"no number", base(network.Fixture{Name: "b", At: "line", RatedAt: nan}, network.Joint{Name: "line", Z: unit.Length(math.Inf(1))}), []string{
			`fixture "b": rated at is not a number; write a number with its unit, or leave it out`,
			`joint "line": z is not a number; write a number with its unit, or leave it out`}},
		{"no stretch", base(network.Elastic{Name: "lump", At: "line"}), []string{
			`elastic "lump": it has no compliance; give it one, or leave the part out`}},
		{"a selector of nothing", base(network.Selector{Name: "panel", Ports: []string{"line"}}), []string{
			`selector "panel": it has one port; name the joints of its ports, 2 to 12`,
			`selector "panel": it has no positions; say for each position of its handle which ports it joins`}},
		{"a selector's positions", base(tube("run", "line", "a"), network.Selector{Name: "panel", Ports: []string{"line", "a"}, Positions: []network.Position{
			{Name: "", Joins: [][2]string{{"line", "a"}}}, {Name: "use", Joins: [][2]string{{"line", "aa"}}}, {Name: "use"}, {Name: "open"}, {Name: "half"}, {Name: "fill", Joins: [][2]string{{"a", "a"}}}}}), []string{
			`selector "panel": a position cannot be called "half", which means something else in a lineup; call it what is written at the handle`,
			`selector "panel": a position cannot be called "open", which means something else in a lineup; call it what is written at the handle`,
			`selector "panel": position "fill" joins "a" to itself; name two of its ports`,
			`selector "panel": position "use" joins "aa", which is none of its ports (did you mean "a"?); name two of its ports`,
			`selector "panel": position 1 has no name; call it what is written at the handle`,
			`selector "panel": two positions are called "use"; give each a name of its own`}},
		{"tolerances", base(network.Tolerance{Part: "tank", Field: "capacity", SD: 0.01}, network.Tolerance{Part: "line", Field: "z", SD: 0.1}, network.Tolerance{Part: "main", Field: "bypass.opens", SD: 1},
			network.Tolerance{Part: "main", Field: "cutin", SD: 1}, network.Tolerance{Part: "mian", Field: "cut_in", SD: 1}, network.Tolerance{Part: "main", Field: "cut_out", SD: -1}), []string{
			`pump "main": the tolerance of its cut out is no positive number; write it after ±, in the unit of the value`,
			`pump "main": it has no "cutin" to be uncertain of (did you mean "cut_in"?); name one of its fields`,
			`tolerance of "mian": no part or joint has this name (did you mean "main"?); name one that is in the rig`}},
		{"all at once", []network.Item{network.Pump{Name: "main", From: "out", To: "line", CutIn: 50 * unit.PSI, CutOut: 45 * unit.PSI}, network.Heater{Name: "heater", At: "line"}}, []string{
			`the rig has no source of water; add a tank and a pump, or a hookup`,
			`heater "heater": it has no relief valve that stays joined to it whatever is shut; add a relief valve at joint "line", or with tube alone between`,
			`pump "main": cut-in 50 psi is above cut-out 45 psi; swap them`,
			`joint "out": only pump "main" meets here; join another part to it; for a capped end give the joint an entry of its own`}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			rig, err := network.New("rig", tt.items...)
			if tt.want == nil {
				require.NoError(t, err)
				return
			}
			require.Error(t, err)
			assert.Nil(t, rig)
			assert.ElementsMatch(t, tt.want, strings.Split(err.Error(), "\n"))
			var problems network.Problems
			require.True(t, errors.As(err, &problems))
			for _, p := range problems {
				assert.NotEmpty(t, p.Fix, "%v says what to do", p)
			}
		})
	}
}

func TestTooManyParts(t *testing.T) {
	items := make([]network.Item, 200_001)
	for i := range items {
		items[i] = network.VacuumBreaker{Name: joint(i), At: "line"}
	}
	_, err := network.New("rig", items...)
	assert.EqualError(t, err, "200001 parts are more than 200000; split the rig")
}

func TestProblemsSayWhichItem(t *testing.T) {
	_, err := network.New("rig", base(network.Drain{Name: "tap", At: "line"})...)
	var problems network.Problems
	require.ErrorAs(t, err, &problems)
	assert.Equal(t, 4, problems[0].Item)
	assert.Nil(t, network.Problems{}.Err())
}

func TestWarnings(t *testing.T) {
	hose := []network.Item{network.Hookup{Name: "hose", At: "inlet"}, network.Check{Name: "inlet check", From: "a", To: "line"}}
	for _, tt := range []struct {
		name  string
		items []network.Item
		want  []string
	}{
		{"none", base(append(hose, network.Regulator{Name: "regulator", From: "inlet", To: "a"})...), nil},
		{"no regulator", base(append(hose, tube("run", "inlet", "a"))...), []string{
			`hookup "hose": no regulator stands between it and the rig; put one at the spigot; parks reach over 100 psi`}},
		{"a check after the switch", []network.Item{
			network.Tank{Name: "tank", Ports: []string{"out"}}, network.Pump{Name: "pump", From: "out", To: "a"},
			network.Check{Name: "second check", From: "a", To: "b"}, network.Fixture{Name: "tap", At: "b"}}, []string{
			`check "second check": it stands after the switch of pump "pump"; let the switch feel the pressure behind the check, or expect it to start at other pressures than the line's`}},
		{"the switch behind the check", []network.Item{
			network.Tank{Name: "tank", Ports: []string{"out"}}, network.Pump{Name: "pump", From: "out", To: "a", Sense: "b"},
			network.Check{Name: "second check", From: "a", To: "b"}, network.Fixture{Name: "tap", At: "b"}}, nil},
		{"a weak pump", base(network.Pump{Name: "second", From: "out", To: "line", CutIn: 40 * unit.PSI, CutOut: 60 * unit.PSI, Curve: hydraulics.Line(unit.GPM, 55*unit.PSI)}), []string{
			`pump "second": its curve ends at 55 psi, and it stops at 60 psi only; it may never stop: give the curve up to where it delivers nothing`}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			rig, err := network.New("rig", tt.items...)
			require.NoError(t, err)
			var got []string
			for _, w := range rig.Warnings() {
				got = append(got, w.Error())
			}
			assert.Equal(t, tt.want, got)
		})
	}
}
