package jobcard

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim/diagnose"
)

// Writing and reading is the identity for cards that tell any of what there is
// to tell, to the last bit.
func TestReadWriteReadIsTheIdentity(t *testing.T) {
	rig, err := rigfile.Read("../../../testdata/rigs/twopath.rig.toml")
	require.NoError(t, err)
	other, err := rigfile.Read("../../../testdata/rigs/bypass.rig.toml")
	require.NoError(t, err)
	rapid.Check(t, func(t *rapid.T) {
		g := gen{t, rig}
		card := &Card{Case: diagnose.Case{Rig: rig}}
		card.Facts = diagnose.Facts{
			Frozen: g.told(), Worked: g.told(), Debris: g.told(), Plunger: g.told(), Creeps: g.told(),
			PumpAge: rapid.SampledFrom([]float64{0, 0.5, 12}).Draw(t, "age"),
		}
		for range rapid.IntRange(0, 2).Draw(t, "replaced") {
			card.Facts.Replaced = append(card.Facts.Replaced, g.name())
		}
		for range rapid.IntRange(0, 3).Draw(t, "accesses") {
			if card.Access == nil {
				card.Access = map[string]diagnose.Access{}
			}
			card.Access[g.name()] = diagnose.Access{
				Effort:  diagnose.Effort(rapid.SampledFrom(append([]string{""}, efforts...)).Draw(t, "effort")),
				Minutes: g.maybeSpan(), Cover: rapid.SampledFrom([]string{"", "lid \"A\"", "größe"}).Draw(t, "cover"),
				Wrong: rapid.SampledFrom([]diagnose.Wrong{"", diagnose.CheapTry, diagnose.CallOut}).Draw(t, "wrong"), Work: g.maybeSpan(),
			}
		}
		for range rapid.IntRange(0, 4).Draw(t, "readings") {
			card.Readings = append(card.Readings, g.reading())
		}
		for range rapid.IntRange(0, 2).Draw(t, "dones") {
			do := rapid.SampledFrom([]diagnose.Doing{diagnose.DoCure, diagnose.DoSwap, diagnose.DoQuiet}).Draw(t, "do")
			part := ""
			if do != diagnose.DoQuiet {
				part = g.name()
			}
			card.Done = append(card.Done, diagnose.Done{
				Do: do, Part: part,
				Before: rapid.IntRange(0, len(card.Readings)).Draw(t, "before"), Words: rapid.SampledFrom([]string{"", "new\tone"}).Draw(t, "note"),
				After: rapid.SampledFrom([]diagnose.After{diagnose.NotKnown, diagnose.Quiet, diagnose.Same}).Draw(t, "then"),
			})
		}
		if rapid.Bool().Draw(t, "unsure of the plumbing") {
			card.Others = []diagnose.Alternative{{Rig: other, Share: 0.25, Words: "another coach", Where: g.name()}}
		}
		for _, marshal := range []func(*Card) []byte{Marshal, MarshalJSON} {
			text := marshal(card)
			again, err := Parse("again", text, nil)
			if err != nil {
				t.Fatalf("%v\n%s", err, text)
			}
			require.Equal(t, card.Rig, again.Rig)
			require.Equal(t, card.Facts, again.Facts)
			require.Equal(t, card.Access, again.Access)
			require.Equal(t, card.Done, again.Done)
			require.Equal(t, len(card.Others), len(again.Others))
			for i := range card.Others {
				require.Equal(t, card.Others[i].Rig.Parts(), again.Others[i].Rig.Parts())
				require.Equal(t, card.Others[i].Share, again.Others[i].Share)
			}
			require.Equal(t, len(card.Readings), len(again.Readings))
			for i := range card.Readings {
				require.Equal(t, card.Readings[i], untexted(again.Readings[i]), "%s", text)
			}
			require.Equal(t, string(text), string(marshal(again)))
		}
	})
}

// untexted is a reading without the texts that quantities were told by.
func untexted(r diagnose.Reading) diagnose.Reading {
	for i := range r.Cup {
		r.Cup[i].Text = ""
	}
	for _, list := range [][]unit.Uncertain[unit.Pressure]{r.CutIn, r.CutOut, r.Precharge} {
		for i := range list {
			list[i].Text = ""
		}
	}
	for i := range r.Gauge {
		r.Gauge[i].Pressure.Text = ""
	}
	for i := range r.Level {
		r.Level[i].Height.Text, r.Level[i].Spilt.Text = "", ""
	}
	return r
}

type gen struct {
	*rapid.T
	rig *network.Rig
}

func (g gen) told() diagnose.Told {
	return rapid.SampledFrom([]diagnose.Told{diagnose.Unsaid, diagnose.Yes, diagnose.No}).Draw(g.T, "told")
}

func (g gen) name() string { return rapid.SampledFrom(partsOf(g.rig)).Draw(g.T, "part") }

func (g gen) span() time.Duration {
	return time.Duration(rapid.Int64Range(1, 1e14).Draw(g.T, "ns"))
}

func (g gen) maybeSpan() time.Duration {
	if rapid.Bool().Draw(g.T, "not told") {
		return 0
	}
	return g.span()
}

func (g gen) times() (list []diagnose.Time) {
	for range rapid.IntRange(0, 2).Draw(g.T, "times") {
		list = append(list, g.time())
	}
	return list
}

func (g gen) time() diagnose.Time {
	x := diagnose.Time{Value: g.span()}
	if rapid.Bool().Draw(g.T, "±") {
		x.SD = g.span()
	}
	return x
}

func uncertainly[Q unit.Quantity](g gen, most float64) unit.Uncertain[Q] {
	u := unit.Uncertain[Q]{Value: Q(rapid.Float64Range(most*1e-6, most).Draw(g.T, "value"))}
	if rapid.Bool().Draw(g.T, "±") {
		u.SD = rapid.Float64Range(most*1e-6, most).Draw(g.T, "sd")
	}
	return u
}

func pressures(g gen) (list []unit.Uncertain[unit.Pressure]) {
	for range rapid.IntRange(0, 2).Draw(g.T, "pressures") {
		list = append(list, uncertainly[unit.Pressure](g, 1e6))
	}
	return list
}

// reading draws a reading of some of everything.
func (g gen) reading() diagnose.Reading {
	t := g.T
	r := diagnose.Reading{
		Blip: true, NeverStops: g.maybeSpan(), NoStart: g.maybeSpan(),
		Began:  rapid.SampledFrom([]diagnose.Began{diagnose.AtStop, diagnose.AtStart, diagnose.Anytime}).Draw(t, "began"),
		Heater: rapid.SampledFrom([]diagnose.Heater{diagnose.HeaterUnknown, diagnose.HeaterSettled, diagnose.HeaterCooling}).Draw(t, "heater"),
		Rest:   g.times(), Run: g.times(), Every: g.times(),
		CutIn: pressures(g), CutOut: pressures(g), Precharge: pressures(g),
	}
	if rapid.Bool().Draw(t, "a lineup") {
		r.Lineup = network.Lineup{"fill valve": network.Open(float64(rapid.IntRange(1, 100).Draw(t, "percent")) / 100), "hookup": network.ShutAtSpigot()}
	}
	if rapid.Bool().Draw(t, "when") {
		r.When = time.Unix(rapid.Int64Range(0, 4e9).Draw(t, "unix"), rapid.Int64Range(0, 999).Draw(t, "ns")).UTC()
	}
	for range rapid.IntRange(0, 2).Draw(t, "several") {
		r.Count = append(r.Count, diagnose.Count{Starts: rapid.IntRange(1, 1e6).Draw(t, "starts"), Within: g.span()})
		r.Cup = append(r.Cup, uncertainly[unit.Volume](g, 1e-3))
		r.Jug = append(r.Jug, diagnose.Jug{Tap: "basin tap", Volume: unit.Volume(rapid.Float64Range(1e-9, 1).Draw(t, "jug")), Time: g.time()})
		r.Gauge = append(r.Gauge, diagnose.Gauge{Joint: "manifold", At: g.maybeSpan(), Pressure: uncertainly[unit.Pressure](g, 1e6)})
		r.Look = append(r.Look, diagnose.Look{At: g.name(), For: diagnose.Hiss, Saw: g.told()})
		l := diagnose.Level{Tank: "fresh tank", At: g.maybeSpan(), By: rapid.SampledFrom([]diagnose.By{diagnose.ByRule, diagnose.ByLamp, diagnose.BySpill}).Draw(t, "by")}
		switch l.By {
		case diagnose.ByRule:
			l.Height = uncertainly[unit.Length](g, 1)
		case diagnose.ByLamp:
			l.Lamp = float64(rapid.IntRange(0, 3).Draw(t, "lamp")) / 3
		case diagnose.BySpill:
			l.Spilling, l.Spilt = diagnose.Yes, uncertainly[unit.Volume](g, 1)
		}
		r.Level = append(r.Level, l)
	}
	return r
}
