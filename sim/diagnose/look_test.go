package diagnose

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"quietpump/network"
)

// What a look sees of a pair is what comes out of the half that is there: a tenth of 12 mL/min is little, and missed in a quarter.
func TestLookAtHalfOfAPair(t *testing.T) {
	half := func(at string) *theory {
		return &theory{kind: OneSuspect, suspects: []network.Suspect{{Seep: network.Seep{Part: at}}}}
	}
	pair := &theory{kind: Pair, halves: []*theory{half("tap"), half("drain")}}
	for _, h := range pair.halves {
		pair.suspects = append(pair.suspects, h.suspects...)
	}
	f := forecast{flow: 4 * float64(smallDrip), second: 0.1}
	assert.Equal(t, 1-missed, pair.shows("tap", Drip, &f))
	assert.Equal(t, 1-missedSmall, pair.shows("drain", Drip, &f))
	assert.Equal(t, imagined, pair.shows("cabinet", Drip, &f))
	assert.Equal(t, 1-missed, pair.halves[1].shows("drain", Drip, &f), "alone it lets all of it by")
	f.second = 0 // only the first half lets anything by under this lineup
	assert.Equal(t, imagined, pair.shows("drain", Drip, &f))

	for r := range inRegime {
		assert.Equal(t, r, regime(&inRegime[r]))
	}
}
