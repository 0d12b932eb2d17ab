package find

import "math"

// A bill is the minutes of a search. Watching costs what it takes; the rest is by
// these rules, which hold for the reader and for the shortest search alike: common
// practice, no source.
type bill struct {
	Watching float64 `json:"watching"` // min
	Hands    float64 `json:"hands"`    // valves turned, looks taken, cups drawn, cures tried
	Wrong    float64 `json:"wrong"`    // work on parts that were sound
	Guesses  int     `json:"guesses"`  // those parts
}

const (
	turnMinutes  = 1   // to get to a valve and turn it
	lookMinutes  = 2   // to look for a drip
	cupMinutes   = 4   // to draw a cup as slowly as it has to be
	wrongMinutes = 30  // to take out a part and put it back
	callMinutes  = 480 // to have somebody come who finds it by other means
)

func (b bill) total() float64 { return b.Watching + b.Hands + b.Wrong }

// Minutes are told whole, and never as none.
func minutes(x float64) int { return int(math.Max(math.Round(x), 1)) }
