package diagnose

import (
	"fmt"
	"slices"

	"quietpump/hydraulics/unit"
)

// Looks miss 5 %, a quarter below three millilitres a minute, and see what is not
// there in 2 %.
const (
	missed      = 0.05
	missedSmall = 0.25
	smallDrip   = 3 * unit.MillilitrePerMinute
	imagined    = 0.02
)

// looked is a thing that was looked for.
func looked(l Look) evidence {
	answer := func(p float64) float64 {
		if l.Saw == No {
			return 1 - p
		}
		return p
	}
	return evidence{
		absent: answer(imagined),
		what:   fmt.Sprintf("%s at %s: %s", l.For, l.At, l.Saw),
		likely: func(_ *world, t *theory, _ *unitCycle, f *forecast) float64 {
			return answer(t.shows(l.At, l.For, f))
		},
	}
}

// shows is the chance that a look at a place sees what it is for. Of a pair it sees what comes out of the half that is there, which may be
// little where both together are much.
func (t *theory) shows(at string, what For, f *forecast) float64 {
	there, flow := false, f.flow
	switch what {
	case Drip, Hiss:
		if len(t.halves) == 2 {
			flow = 0
			for k, share := range [...]float64{1 - f.second, f.second} {
				if t.halves[k].showsAt(at) {
					flow += f.flow * share
				}
			}
		}
		there = flow > 0 && t.showsAt(at)
	case Warm:
		there = t.cause == HandlesOn && t.showsAt(at)
	case LeftOn:
		there = (t.cause == NotQuiteShut || t.cause == HandlesOn) && (at == EveryTap || t.showsAt(at))
	}
	if !there {
		return imagined
	}
	if what != LeftOn && flow < float64(smallDrip) {
		return 1 - missedSmall
	}
	return 1 - missed
}

// EveryTap is where a look or a cure is that goes round every tap, pedal and handle.
const EveryTap = "taps, pedal and handles"

// showsAt says whether what a theory lets by comes out at a part, joint or place.
func (t *theory) showsAt(at string) bool {
	for _, s := range t.suspects {
		if s.Seep.Part == at || s.Place == at || slices.Contains(s.At, at) || s.Name == at {
			return true
		}
	}
	for _, r := range t.remedy {
		if r.part == at && at != "" && (t.cause == NotQuiteShut || t.cause == HandlesOn) {
			return true
		}
	}
	return slices.Contains(t.comesOut, at)
}
