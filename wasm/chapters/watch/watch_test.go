package watch_test

import (
	"context"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/wasm/chapters/stage"
	"quietpump/wasm/chapters/watch"
	"quietpump/wasm/desk"
	"quietpump/wasm/frame"
	"quietpump/wasm/scene"
	"quietpump/wasm/sheet"
)

// A wall is a clock that the test turns.
type wall struct{ t time.Time }

func newWall() *wall { return &wall{time.Date(2024, 6, 1, 12, 0, 0, 0, time.UTC)} }

// play lets a chapter go on for so many of the reader's seconds.
func (w *wall) play(c desk.Chapter, s float64) {
	for end := w.t.Add(time.Duration(s * 1e9)); w.t.Before(end); w.t = w.t.Add(time.Second / 30) {
		c.Advance(w.t, 0)
	}
}

func begin(t *testing.T) *watch.Chapter {
	t.Helper()
	c, err := watch.New()
	require.NoError(t, err)
	return c
}

// finding is the answer in a note.
func finding(c desk.Chapter, sys unit.System) string {
	for _, b := range c.Sheet(frame.Look{Units: sys}).Blocks {
		if w, ok := b.(sheet.Words); ok && w.Style == sheet.Finding {
			return w.Text
		}
	}
	return ""
}

func next(c desk.Chapter) { c.Do(sheet.Event{Do: "next"}) }

func TestSixSteps(t *testing.T) {
	c, w := begin(t), newWall()
	for step, want := range []struct{ title, found string }{
		{"Every tap is shut, and the pump sleeps", "Quiet for 22 min, at 42 psi."},
		{"Water leaves, and the pressure sinks", "The pump "},
		{"Shut again: the pump fills up and stops", "Quiet for "},
		{"One part lets a little by, and nobody sees it", "At 28 psi the pump started, by itself."},
		{"The switch cannot tell a leak from a tap", "Quiet for 2.3 min, then it runs for "},
		{"What it costs to leave it", "The pump starts 620 times a day, and no tap was opened."},
	} {
		w.play(c, 14)
		s := c.Sheet(frame.Look{})
		assert.Equal(t, want.title, s.Title)
		assert.Contains(t, finding(c, unit.US), want.found, "step %d", step+1)
		require.NotNil(t, s.Next)
		assert.NotEmpty(t, s.Say)
		next(c)
	}
	w.play(c, 30)
	assert.Equal(t, "Tight again, and the pump sleeps", c.Sheet(frame.Look{}).Title)
	assert.Contains(t, finding(c, unit.US), "Quiet for ")
	assert.Equal(t, "Watch it from the beginning", c.Sheet(frame.Look{}).Next.Text)
	next(c)
	assert.Equal(t, "Every tap is shut, and the pump sleeps", c.Sheet(frame.Look{}).Title)
}

// What it says of the cycle is what the library computes of it.
func TestSaysWhatTheLibrarySays(t *testing.T) {
	rig, err := stage.Rig("nosuction")
	require.NoError(t, err)
	m, err := sim.Compile(rig)
	require.NoError(t, err)
	f, err := rig.Fault("fill valve: 120 mL/min at 45 psi, orifice")
	require.NoError(t, err)
	rec, err := m.Simulate(context.Background(), nil, network.Faults{f}, sim.Options{Until: time.Hour})
	require.NoError(t, err)
	c, w := begin(t), newWall()
	for range 4 {
		next(c)
	}
	w.play(c, 60)
	assert.Contains(t, finding(c, unit.US), "Quiet for "+scene.Span(rec.Events[2].At-rec.Events[1].At)+",")
}

func TestKeepsItsPlace(t *testing.T) {
	c, w := begin(t), newWall()
	for range 4 {
		next(c)
	}
	w.play(c, 20)
	data, err := c.Keep()
	require.NoError(t, err)
	again := begin(t)
	require.NoError(t, again.Restore(data))
	assert.Equal(t, c.Sheet(frame.Look{}).Title, again.Sheet(frame.Look{}).Title)
	w.play(again, 20)
	assert.Contains(t, finding(again, unit.US), "Quiet for 2.3 min")
	for _, bad := range []string{``, `{`, `{"step":9}`, `{"step":1,"seep":"x","stage":{"rig":"none"}}`, `{"step":1,"seep":"nothing such","stage":{"rig":"camper"}}`} {
		kept := again.Sheet(frame.Look{}).Title
		assert.Error(t, again.Restore([]byte(bad)), bad)
		assert.Equal(t, kept, again.Sheet(frame.Look{}).Title)
	}
}

// Any rig of the house can be watched, with any of its own parts seeping.
func TestLinks(t *testing.T) {
	for _, rig := range []string{"bench30", "bypass", "camper", "noaccumulator", "nosuction", "twopath", "twopumps"} {
		c, w := begin(t), newWall()
		require.NoError(t, c.Follow(desk.Link{Chapter: "watch", Rig: rig}), rig)
		for range 7 {
			w.play(c, 1)
			s := c.Sheet(frame.Look{Units: unit.Metric})
			assert.NotEmpty(t, s.Title)
			next(c)
		}
	}
	c := begin(t)
	require.NoError(t, c.Follow(desk.Link{Rig: "twopath", Fault: "toilet valve: 30 mL/min at 45 psi", Rate: 60}))
	assert.Equal(t, "One part lets a little by, and nobody sees it", c.Sheet(frame.Look{}).Title)
	for _, bad := range []desk.Link{{Rig: "yacht"}, {Fault: "roof: 3 gpm"}, {Fault: "accumulator: precharge 0 psi"}} {
		assert.Error(t, c.Follow(bad))
	}
	assert.Equal(t, "One part lets a little by, and nobody sees it", c.Sheet(frame.Look{}).Title)
}

// Whatever the reader does, in whatever order, the note stands and nothing breaks.
func TestWords(t *testing.T) {
	c, w := begin(t), newWall()
	for range 7 {
		for _, b := range c.Sheet(frame.Look{}).Blocks {
			list, _ := b.(sheet.Buttons)
			for _, button := range list.List {
				if button.Do == "turn" {
					c.Do(sheet.Event{Do: "turn", Arg: button.Arg})
				}
			}
		}
		w.play(c, 2)
		for _, look := range []frame.Look{{}, {Units: unit.Metric}} {
			s := c.Sheet(look)
			line, err := s.Line()
			require.NoError(t, err)
			for _, word := range []string{"error", "invalid", "please", "NaN", "Inf"} {
				assert.NotContains(t, strings.ToLower(line), strings.ToLower(word)+" ")
			}
		}
		next(c)
	}
}
