package diagnose_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"quietpump/sim/diagnose"
)

// pairsWith is the belief of all pairs of which a part is one half.
func pairsWith(b *diagnose.Belief, part string) float64 {
	sum := 0.0
	for _, h := range b.Hypotheses {
		if h.Kind == diagnose.Pair && slices.Contains(h.Parts, part) {
			sum += h.Belief
		}
	}
	return sum
}

// A cure that made the rest four and a half times as long took: what was cured is one half of a pair, whatever the other is.
func TestCureOfOneHalf(t *testing.T) {
	c := coach(t)
	c.Done = []diagnose.Done{{Do: diagnose.DoCure, Part: "fill valve", Before: 1}}
	after := diagnose.Reading{Rest: rest(95 * 4.5)} // seen twice: once may be a slip of the thumb
	c.Readings = append(c.Readings, after, after)
	b := from(t, c)
	assert.Greater(t, pairsWith(b, "fill valve"), 0.4)
	assert.Less(t, belief(b, "fill valve"), 0.1, "cured or not, alone it would not start the pump every seven minutes")
	assert.NotEqual(t, "fill valve", b.Next[0].Part, "it is well now")

	c.Readings[1].Rest, c.Readings[2].Rest = rest(95), rest(95)
	b = from(t, c)
	assert.Less(t, pairsWith(b, "fill valve"), 0.2, "the rest is as it was: no half of anything was cured")
}

// A pump is swapped with its switch: that is one piece of work and is told so.
func TestPumpIsSwappedWithItsSwitch(t *testing.T) {
	seen := diagnose.Reading{Look: []diagnose.Look{{At: "pump", For: diagnose.Drip, Saw: diagnose.Yes}}}
	b := from(t, diagnose.Case{Rig: rigOf(t, "camper"), Readings: []diagnose.Reading{{Rest: rest(400)}, seen}})
	assert.Greater(t, cause(b, diagnose.NarrowSwitch), 0.005, "a look can be mistaken")
	assert.Equal(t, diagnose.DoSwap, b.Next[0].Do)
	assert.True(t, strings.HasSuffix(b.Next[0].Words, "and its switch"), "%q", b.Next[0].Words)
}
