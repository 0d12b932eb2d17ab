package stage_test

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/wasm/chapters/stage"
	"quietpump/wasm/frame"
	"quietpump/wasm/sheet"
)

func same(rig *network.Rig) (*network.Rig, error) { return rig, nil }

func TestKeepAndRestore(t *testing.T) {
	s, err := stage.New("twopath")
	require.NoError(t, err)
	f, err := s.Live.Rig().Fault("toilet valve: 240 mL/min at 45 psi")
	require.NoError(t, err)
	require.NoError(t, s.Live.Break(network.Faults{f}))
	require.NoError(t, s.Turn("galley cold tap"))
	require.NoError(t, s.Live.Fill("fresh tank", 50*unit.Litre))
	s.Live.SetRate(42)
	s.Live.Pass(37)
	data, err := s.Keep()
	require.NoError(t, err)
	again, err := stage.New("camper")
	require.NoError(t, err)
	require.NoError(t, again.Restore(data, same))
	assert.Equal(t, "twopath", again.Name)
	assert.Equal(t, s.Live.Lineup(), again.Live.Lineup())
	assert.Equal(t, "toilet valve: 240 mL/min at 45 psi", again.Live.Faults()[0].String())
	assert.Equal(t, 42.0, again.Live.Rate())
	assert.InDelta(t, s.Live.Time(), again.Live.Time(), 0.5)
	a, b := s.Live.Account(), again.Live.Account()
	assert.InDelta(t, float64(a.Tanks), float64(b.Tanks), 1e-6)
	assert.InDelta(t, float64(a.Drawn), float64(b.Drawn), 1e-6)
	assert.Equal(t, s.Live.Running("pump"), again.Live.Running("pump"))
	p, _ := s.Live.Sample().Pressure(s.Live.Gauge())
	q, _ := again.Live.Sample().Pressure(again.Live.Gauge())
	assert.InDelta(t, p.PSI(), q.PSI(), 3, "it goes on from about where it was")
	for _, bad := range []string{`{`, `{"rig":"yacht"}`, `{"rig":"camper","faults":["roof: 1 gpm"]}`, `{"rig":"camper","lineup":"roof=open"}`} {
		assert.Error(t, again.Restore([]byte(bad), same), bad)
		assert.Equal(t, "twopath", again.Name)
	}
}

// Every button of the hands does what it says, and once more is as it was.
func TestHands(t *testing.T) {
	for _, name := range []string{"twopath", "twopumps", "bypass"} {
		s, err := stage.New(name)
		require.NoError(t, err)
		before := s.Hands()
		require.NotEmpty(t, before.List)
		for i, b := range before.List {
			mine, problem := s.Do(sheet.Event{Do: b.Do, Arg: b.Arg})
			assert.True(t, mine)
			require.NoError(t, problem, b.Text)
			after := s.Hands().List[i]
			assert.NotEqual(t, b.Text, after.Text, "%s: it now offers the other way", name)
			for range 4 { // a selector has more positions than two
				if s.Hands().List[i].Text != b.Text {
					_, problem = s.Do(sheet.Event{Do: after.Do, Arg: after.Arg})
					require.NoError(t, problem)
				}
			}
			assert.Equal(t, b.Text, s.Hands().List[i].Text)
		}
	}
}

func TestClock(t *testing.T) {
	s, err := stage.New("camper")
	require.NoError(t, err)
	for arg, want := range map[string]float64{"0": 1, "1": 600, "0.64": 60, "2": 600, "-1": 1} {
		mine, problem := s.Do(sheet.Event{Do: "rate", Arg: arg})
		assert.True(t, mine)
		assert.NoError(t, problem)
		assert.InDelta(t, want, s.Live.Rate(), 1)
	}
	rate := s.Live.Rate()
	for _, bad := range []string{"", "fast", "NaN"} {
		_, problem := s.Do(sheet.Event{Do: "rate", Arg: bad})
		assert.NoError(t, problem)
		assert.Equal(t, rate, s.Live.Rate())
	}
	mine, _ := s.Do(sheet.Event{Do: "sing"})
	assert.False(t, mine)
}

func TestHappened(t *testing.T) {
	s, err := stage.New("nosuction")
	require.NoError(t, err)
	require.NoError(t, s.Turn("galley cold tap"))
	s.Live.Pass(6)
	assert.Equal(t, "The pump starts, at 28 psi.", s.Happened(unit.US))
	require.NoError(t, s.Turn("galley cold tap"))
	s.Live.Pass(60)
	assert.Equal(t, "The pump stops, at 2.9 bar.", s.Happened(unit.Metric))
	s.Live.SetRate(600)
	assert.Empty(t, s.Happened(unit.US))
}

func TestLikeliest(t *testing.T) {
	for rig, want := range map[string]string{"nosuction": "fill valve", "twopath": "fill valve", "camper": "pump", "noaccumulator": "pump", "bypass": "fill valve", "bench30": "fill valve"} {
		r, err := stage.Rig(rig)
		require.NoError(t, err)
		s, ok := stage.Likeliest(r)
		assert.True(t, ok)
		assert.Equal(t, want, s.Seep.Part, rig)
	}
}

func Example() {
	s, err := stage.New("nosuction")
	if err != nil {
		fmt.Println(err)
		return
	}
	now := time.Date(2024, 6, 1, 12, 0, 0, 0, time.UTC)
	s.Live.SetRate(60)
	for range 120 {
		s.Advance(now, 3*time.Millisecond)
		now = now.Add(time.Second / 60)
	}
	f := &frame.Frame{Paper: frame.Box{X1: 800, Y1: 600}, Free: frame.Box{X1: 800, Y1: 600}, Now: now}
	s.Draw(f)
	fmt.Println(f.Changed, f.Still.Words)
	// Output: true The Trailer without a suction shutoff. The pressure is 42 psi. The pump rests; it starts at 28 psi and stops at 42 psi.
}
