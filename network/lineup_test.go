package network_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/network"
)

func TestParseLineup(t *testing.T) {
	for _, tt := range []struct {
		text string
		want network.Lineup
		back string // as String writes it
	}{
		{"", network.Lineup{}, ""},
		{"fill valve=shut, hookup=on, galley tap=half",
			network.Lineup{"fill valve": network.Shut(), "hookup": network.On(), "galley tap": network.Open(0.5)},
			"fill valve=shut, galley tap=half, hookup=on"},
		{"a = Closed ; b=OPEN\nc=fully open", network.Lineup{"a": network.Shut(), "b": network.Open(1), "c": network.Open(1)}, "a=shut, b=open, c=open"},
		{"tap=quarter, sink=30 %, basin=12.5%", network.Lineup{"tap": network.Open(0.25), "sink": network.Open(0.3), "basin": network.Open(0.125)}, "basin=12.5 %, sink=30 %, tap=25 %"},
		{"hose=shut at the spigot, inlet=capped, pump=off", network.Lineup{"hose": network.ShutAtSpigot(), "inlet": network.Capped(), "pump": network.Off()}, "hose=shut at spigot, inlet=capped, pump=off"},
		{"panel=Winterise, pump=untouched", network.Lineup{"panel": network.At("Winterise"), "pump": {}}, "panel=Winterise, pump=untouched"},
		{`"tap, left"=open, panel="on = off"`, network.Lineup{"tap, left": network.Open(1), "panel": network.At("on = off")}, `panel="on = off", "tap, left"=open`},
		{"a=open,,b=shut,", network.Lineup{"a": network.Open(1), "b": network.Shut()}, "a=open, b=shut"},
	} {
		l, err := network.ParseLineup(tt.text)
		require.NoError(t, err, tt.text)
		assert.Equal(t, tt.want, l, tt.text)
		assert.Equal(t, tt.back, l.String(), tt.text)
	}
}

func TestParseLineupRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"fill valve":       `lineup "fill valve": want one part=setting, such as "fill valve=shut"`,
		"a=b=c":            `lineup "a=b=c": want one part=setting, such as "fill valve=shut"`,
		"=shut":            `lineup "=shut": no part before the equals sign`,
		"a=":               `lineup: "a": no setting after the equals sign`,
		"a=shut, a=open":   `lineup: "a" is set twice; say it once`,
		"a=130 %":          `lineup: "a": opening "130 %": want 0 to 100 %`,
		"a=NaN%":           `lineup: "a": opening "NaN%": want 0 to 100 %`,
		`a="shut`:          `lineup: "a": "shut: the quotation marks do not match`,
		"a=be\x00ep":       `lineup: "a": setting "be\x00ep" has characters that cannot be seen`,
		`a"b=shut`:         `lineup "a\"b=shut": want one part=setting, such as "fill valve=shut"`,
		`a=sh"ut", b=shut`: `lineup: "a": sh"ut": a quotation mark in the middle`,
	} {
		_, err := network.ParseLineup(text)
		assert.EqualError(t, err, want, "%q", text)
	}
}

func FuzzParseLineup(f *testing.F) {
	for _, seed := range []string{"fill valve=shut, hookup=on, galley tap=half", `"tap, left"=30 %; panel="on"`, "a=1e-300 %", "half=half", "\"a\\n\"=x", "é=ü", "a=Open"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		l, err := network.ParseLineup(text)
		if err != nil {
			return
		}
		back, err := network.ParseLineup(l.String())
		require.NoError(t, err, l.String())
		require.Equal(t, l, back, l.String())
	})
}

func TestOfResolvesWhatIsUntouched(t *testing.T) {
	rig := coach()
	l := network.Lineup{"galley tap": network.On(), "suction shutoff": network.Off(), "hose": network.Shut(), "toilet valve": network.Open(0)}
	for name, want := range map[string]network.Setting{
		"fill valve": network.Shut(), "heater shutoff": network.Open(1), "pump": network.On(), "shower head": network.Shut(),
		"low-point drain": network.Shut(), "icemaker": network.Shut(), "heater check": {}, "fresh tank": {},
		"galley tap": network.Open(1), "suction shutoff": network.Shut(), "hose": network.ShutAtSpigot(), "toilet valve": network.Shut(),
	} {
		p, _ := rig.Part(name)
		assert.Equal(t, want, l.Of(p), name)
	}
	hose, _ := rig.Part("hose")
	assert.Equal(t, network.Off(), network.Lineup(nil).Of(hose))
	panel := build(panelItems()...)
	p, _ := panel.Part("panel")
	assert.Equal(t, network.At("use"), network.Lineup(nil).Of(p))
	assert.Equal(t, network.At("fill"), network.Lineup{"panel": network.At("FILL")}.Of(p))
	mixer, _ := panel.Part("mixer")
	assert.Equal(t, network.Shut(), network.Lineup(nil).Of(mixer))
	assert.Equal(t, network.At("hot"), network.Lineup{"mixer": network.At("hot")}.Of(mixer))
}

func TestCheckLineup(t *testing.T) {
	rig := build(panelItems()...)
	require.NoError(t, rig.CheckLineup(nil))
	require.NoError(t, rig.CheckLineup(network.Lineup{"panel": network.At("rinse"), "front": network.Off(), "city water": network.Capped()}))
	for _, tt := range []struct {
		lineup network.Lineup
		want   string
	}{
		{network.Lineup{"pannel": network.At("use")}, `lineup of "pannel": the rig has no such part (did you mean "panel"?); name a part of the rig`},
		{network.Lineup{"panel": network.At("rince")}, `selector "panel": it cannot stand "rince" (did you mean "rinse"?); set it to use, fill, rinse`},
		{network.Lineup{"tank": network.Shut()}, `tank "tank": it cannot stand "shut"; a tank is not moved by hand: leave it out`},
		{network.Lineup{"front": network.Shut()}, `pump "front": it cannot stand "shut"; set it to on, off`},
		{network.Lineup{"city water": network.Open(0.5)}, `hookup "city water": it cannot stand "half"; set it to on, off, capped, shut at spigot`},
		{network.Lineup{"spout": network.Open(1.5)}, `fixture "spout": it cannot stand "150 %"; set it to open, half, shut`},
		{network.Lineup{"spout": network.Open(math.NaN())}, `fixture "spout": it cannot stand "NaN %"; set it to open, half, shut`},
		{network.Lineup{"mixer": network.At("warm")}, `mixer "mixer": it cannot stand "warm"; set it to open, half, shut, hot, cold`},
	} {
		assert.EqualError(t, rig.CheckLineup(tt.lineup), tt.want)
	}
}

func TestRigReadsTheOwnersWords(t *testing.T) {
	rig := coach()
	l, err := rig.Lineup("city water=on, FILL VALVE=closed, water pump=off, shower head=on")
	require.NoError(t, err)
	assert.Equal(t, network.Lineup{"hose": network.On(), "fill valve": network.Shut(), "pump": network.Off(), "shower head": network.Open(1)}, l)
	_, err = rig.Lineup("hose=on, city water=off")
	assert.EqualError(t, err, `lineup: "hose" is set twice; say it once`)
	_, err = rig.Lineup("tap=on") // four taps: which?
	assert.ErrorContains(t, err, `lineup of "tap": the rig has no such part`)
}

func TestKindOf(t *testing.T) {
	for word, want := range map[string]string{
		"line": "tube", "valve": "shutoff", "faucet": "fixture", "fresh tank": "tank", "hose": "hookup", "city water": "hookup", "City  Water": "hookup",
		"check_valve": "check", "vacuum_breaker": "vacuum breaker", "tube": "tube",
	} {
		kind, ok := network.KindOf(word)
		assert.True(t, ok, word)
		assert.Equal(t, want, kind, word)
	}
	_, ok := network.KindOf("flux valve")
	assert.False(t, ok)
}
