package yours

import (
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
		}{{s.Accumulator, "accumulator"}, {s.PumpCheck, "pump check"}, {s.Inlet, "hookup"}, {s.FillValve && s.Inlet, "fill valve"}, {s.PickUp, "pick-up valve"},
			{s.Heater, "heater"}, {s.Bypass && s.Heater, "bypass valve"}, {s.Toilet, "toilet valve"}, {s.Appliance, "icemaker or washer"}} {
			_, ok := rig.Part(k.part)
			assert.Equal(t, k.there, ok, "%s: %v", k.part, a)
		}
		assert.NotEmpty(t, rig.Assumed(), "typical values are marked as such")
	})
	assert.Len(t, seen, 576, "two with an inlet and two without … : 3·3·2⁶")
}

func TestLaysOut(t *testing.T) {
	rig, err := answers{}.plumbing()
	require.NoError(t, err)
	_, err = drawing.Lay(rig.Rig)
	assert.NoError(t, err)
	began := time.Now()
	b, err := diagnose.From(t.Context(), diagnose.Case{Rig: rig.Rig, Others: rig.Others, Readings: []diagnose.Reading{{Every: []diagnose.Time{{Value: 95 * time.Second}}}}}, diagnose.Options{})
	require.NoError(t, err)
	t.Log(time.Since(began))
	for _, h := range b.Hypotheses[:8] {
		t.Log(h.Name, diagnose.Chance(h.Belief))
	}
	t.Log(b.Size.Low, b.Size.High, b.Next[0].Words)
}
