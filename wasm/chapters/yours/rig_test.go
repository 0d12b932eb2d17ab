package yours

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/sim/diagnose"
	"quietpump/wasm/drawing"
)

// each goes through every combination of answers to the questions from the i-th on.
func each(a answers, i int, do func(answers)) {
	if i == len(questions) {
		do(a)
		return
	}
	for _, v := range []string{yes, no} {
		a[questions[i].Key] = v
		each(a, i+1, do)
	}
}

// Whatever is there and is not, there is a rig, without a warning that nobody could
// do anything about.
func TestEveryCombinationOfPartsIsARig(t *testing.T) {
	seen := map[system]bool{}
	each(answers{}, 0, func(a answers) {
		s := a.system()
		if seen[s] {
			return
		}
		seen[s] = true
		rig, err := s.rig()
		require.NoError(t, err, "%v", a)
		for _, k := range []struct {
			there bool
			part  string
		}{{s.Accumulator, "accumulator"}, {s.PumpCheck, "pump check"}, {s.Inlet, "hose inlet"}, {s.FillValve && s.Inlet, "fill valve"}, {s.PickUp, "pick-up valve"},
			{s.Heater, "heater"}, {s.Bypass && s.Heater, "bypass valve"}, {s.Toilet, "toilet valve"}, {s.Appliance, "icemaker or washer"}} {
			_, ok := rig.Part(k.part)
			assert.Equal(t, k.there, ok, "%s: %v", k.part, a)
		}
		assert.NotEmpty(t, rig.Assumed(), "typical values are marked as such")
	})
	assert.Len(t, seen, 576, "an inlet without and with a fill valve, or none; a heater likewise; six more: 3·3·2⁶")
}

// Before anything is answered all stays open: the rig and those it could be instead
// are drawn and reckoned with, the likeliest with the largest share.
func TestWhatNobodyCanSeeStaysOpen(t *testing.T) {
	p, err := answers{}.plumbing()
	require.NoError(t, err)
	_, err = drawing.Lay(p.Rig)
	require.NoError(t, err)
	left := 1.0
	for _, o := range p.Others {
		assert.Positive(t, o.Share)
		left -= o.Share
	}
	assert.Len(t, p.Others, 3)
	assert.Greater(t, left, 0.2)
	assert.Equal(t, "Reckoned with and without: an accumulator, a one-way valve behind the pump and a fill valve. Taken to be there: a hose inlet, a water heater, "+
		"a toilet that flushes with this water and an outside shower. Taken not to be there: a pick-up valve, a heater bypass and an icemaker or washer.", p.Assumed)
	c := diagnose.Case{Rig: p.Rig, Others: p.Others, Readings: []diagnose.Reading{{Every: []diagnose.Time{{Value: 95 * time.Second}}}}}
	open, err := diagnose.From(t.Context(), c, diagnose.Options{})
	require.NoError(t, err)
	a := answers{}
	for _, q := range questions {
		a[q.Key] = yes
	}
	known, err := a.plumbing()
	require.NoError(t, err)
	assert.Empty(t, known.Others)
	assert.Empty(t, known.Assumed)
	c.Rig, c.Others = known.Rig, nil
	told, err := diagnose.From(t.Context(), c, diagnose.Options{})
	require.NoError(t, err)
	assert.Greater(t, float64(open.Size.High/open.Size.Low), float64(told.Size.High/told.Size.Low), "answers narrow the size")
}

// A question under a part that is not there is not asked, and at most ten are.
func TestQuestions(t *testing.T) {
	assert.Len(t, answers{}.asked(), 10)
	assert.Len(t, answers{"inlet": no, "heater": no}.asked(), 8)
	for _, q := range questions {
		assert.Contains(t, picture(q.Key), "<svg", q.Key)
		assert.True(t, strings.HasSuffix(q.Ask, "?"), q.Ask)
		assert.NotEmpty(t, q.Where)
	}
	assert.Equal(t, -1, answers{"accumulator": yes, "pump check": no, "inlet": no, "pick-up": cant, "heater": no, "toilet": no, "outside shower": no, "appliance": no}.left())
}
