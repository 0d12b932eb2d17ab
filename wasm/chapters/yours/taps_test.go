package yours

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/sim/diagnose"
)

// bay is a time in the evening, in ms so that clocks of pages can tell it.
var bay = time.Date(2024, 10, 3, 21, 15, 30, 250e6, time.UTC)

func after(s float64) time.Time { return bay.Add(time.Duration(s * 1e9)) }

func spans(list []diagnose.Time) (s []float64) {
	for _, t := range list {
		s = append(s, t.Value.Seconds())
	}
	return s
}

func TestStartsAlone(t *testing.T) {
	var l listening
	_, ok := l.reading(nil)
	assert.False(t, ok)
	l.missed()
	l.tapped(after(0))
	_, ok = l.reading(nil)
	assert.False(t, ok, "one start says nothing yet")
	l.tapped(after(95))
	l.tapped(after(191.5))
	r, ok := l.reading(nil)
	require.True(t, ok)
	assert.Equal(t, []float64{95, 96.5}, spans(r.Every))
	assert.Empty(t, r.Rest)
	assert.Equal(t, diagnose.AtStart, r.Began)
	assert.Equal(t, bay.Truncate(time.Second), r.When)
}

func TestAMissedOneSpoilsNothing(t *testing.T) {
	var l listening
	l.tapped(after(0))
	l.tapped(after(95))
	l.missed()
	l.missed()
	l.tapped(after(285))
	l.tapped(after(380))
	r, _ := l.reading(nil)
	assert.Equal(t, []float64{95, 95}, spans(r.Every), "the stretch of 190 s is two rests, and left out")
}

func TestStartsAndStops(t *testing.T) {
	l := listening{First: stops, Both: true}
	for _, s := range []float64{0, 95, 97, 190} {
		l.tapped(after(s))
	}
	assert.Equal(t, stops, l.next())
	r, _ := l.reading(nil)
	assert.Equal(t, []float64{95, 93}, spans(r.Rest))
	assert.Equal(t, []float64{2}, spans(r.Run))
	assert.Equal(t, diagnose.AtStop, r.Began)
	l.missed() // a stop
	assert.Equal(t, starts, l.next())
	l.tapped(after(288))
	l.tapped(after(290))
	r, _ = l.reading(nil)
	assert.Equal(t, []float64{95, 93}, spans(r.Rest))
	assert.Equal(t, []float64{2, 2}, spans(r.Run))
}

// A test begins with the stop after the valves were set.
func TestFromAStop(t *testing.T) {
	l := listening{First: stops}
	l.tapped(after(0))
	assert.Equal(t, starts, l.next())
	l.Until = tap(after(720).UnixMilli())
	r, ok := l.reading(nil)
	require.True(t, ok)
	assert.Equal(t, 12*time.Minute, r.NoStart)
	l.undo()
	_, ok = l.reading(nil)
	assert.False(t, ok)
	l.tapped(after(760))
	l.tapped(after(1530))
	r, _ = l.reading(nil)
	assert.Equal(t, []float64{760}, spans(r.Rest))
	assert.Equal(t, []float64{770}, spans(r.Every))
}

// Undo takes back exactly what was done last, whatever that was, and keeping and
// taking back changes nothing.
func TestUndoAndKeep(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := listening{First: rapid.SampledFrom([]string{"", starts, stops}).Draw(t, "first"), Both: rapid.Bool().Draw(t, "both")}
		at := 0.0
		for range rapid.IntRange(0, 12).Draw(t, "n") {
			before, _ := json.Marshal(l)
			was := len(l.Taps)
			at += rapid.Float64Range(0.3, 4000).Draw(t, "later")
			if rapid.Bool().Draw(t, "missed") {
				l.missed()
			} else {
				l.tapped(after(at))
			}
			done, _ := json.Marshal(l)
			if len(l.Taps) > was {
				undone := l
				undone.undo()
				got, _ := json.Marshal(undone)
				assert.Equal(t, string(before), string(got))
			}
			var again listening
			require.NoError(t, json.Unmarshal(done, &again))
			r, ok := l.reading(nil)
			r2, ok2 := again.reading(nil)
			assert.Equal(t, ok, ok2)
			assert.Equal(t, r, r2)
		}
		r, _ := l.reading(nil)
		for _, s := range append(append(spans(r.Rest), spans(r.Run)...), spans(r.Every)...) {
			assert.Positive(t, s)
		}
	})
}
