package diagnose

import (
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// A Belief is what the readings of a case say together, and what to do next.
type Belief struct {
	Size       Size         // of what gets away, whatever lets it by
	Hypotheses []Hypothesis // most believed first; their beliefs add up to 1
	Groups     []Group      // those that no test that is left can part, most believed first
	Next       []Choice     // the one that brings a proved-quiet pump soonest first; it is the advice
	Refused    []Refusal    // what was kept from being advised, and why
	Findings   []Finding
	Assumed    []Assumed // not told: what matters most first
	Otherwise  []string  // where the odds of a leading one halved or doubled would change the advice: how
	Effective  float64   // how many of the draws of the tolerances speak
}

// Assumed is a value that nobody told, and how much of the size's doubt it makes.
type Assumed struct {
	network.Assumption         // of no part where no rig file tells such a thing
	Share              float64 // 0 to 1; squared correlation with the logarithm of the size
	Told               bool    // the value was told, without ±: only how far it could be off is assumed
}

// Kind is a kind of hypothesis.
type Kind string

// Kinds of hypothesis.
const (
	OneSuspect Kind = "suspect"
	Benign     Kind = "benign"
	Pair       Kind = "pair"
	Healthy    Kind = "healthy" // nothing is wrong
	None       Kind = "none"    // none of these
)

// A Hypothesis is one thing that could be behind the readings.
type Hypothesis struct {
	Name     string // in the owner's words
	Kind     Kind
	Cause    Cause             // of a benign one
	Suspects []network.Suspect // what seeps: of a pair two
	Parts    []string          // at fault, in order of Suspects
	Ends     []network.Destination
	Prior    float64
	Belief   float64
	// Low to High is the 95 % interval of its size, at Size.At; zero for what has none.
	Low, Mid, High unit.Flow
	Faults         network.Faults // at Mid, to be simulated; where the cause is a fault
	Rest, Run      time.Duration  // as predicted as the rig was first watched; zero: no start
	Worst          string         // the reading that it fits worst, in words; empty where it fits
}

// Cause is a benign cause.
type Cause string

// The benign causes.
const (
	Cooling      Cause = "heater cooling"
	Warming      Cause = "heater heating"
	LostAir      Cause = "lost accumulator charge"
	LostCushion  Cause = "lost heater cushion"
	AirInLines   Cause = "trapped air"
	AirDissolves Cause = "air dissolving"
	TubeCreeps   Cause = "tube still stretching"
	NarrowSwitch Cause = "narrow or drifted switch"
	PumpSlow     Cause = "slow pump"
	NotQuiteShut Cause = "tap not quite shut"
	HandlesOn    Cause = "shower handles left on"
	Draws        Cause = "appliance drawing"
	BypassOpens  Cause = "bypass opening on the hose"
	ParkPressure Cause = "park pressure rising"
)

// A Group is what no test that is left can part.
type Group struct {
	Names  []string // of hypotheses, most believed first
	Belief float64
}

// A Choice is a step that could be taken next.
type Choice struct {
	Do       Doing
	Part     string // looked at, cured or swapped; of a test empty
	For      For    // of a look or test
	Words    string
	Lineup   network.Lineup // of a test
	Watch    time.Duration  // how long to watch
	Minutes  float64        // of this step
	Total    float64        // minutes to a proved-quiet pump on average, beginning with it
	Bits     float64        // how much it tells of which hypothesis is true, on average
	Outcomes []Outcome      // likeliest first
	Cautions []string
}

// An Outcome is something that a step could show.
type Outcome struct {
	Words  string
	Chance float64
	Then   string // who leads then
}

// A Refusal is a lineup that is never advised.
type Refusal struct {
	Rule   Rule
	Lineup network.Lineup
	Words  string
}

// Rule is why a lineup is refused.
type Rule string

// The rules of refusal.
const (
	NoSuction    Rule = "pump powered with its suction shut or its tank empty"
	HeaterShutIn Rule = "heater shut in"
	DryElement   Rule = "heating on while bypassed or drained"
	RunsOn       Rule = "pump would run on or chatter"
	NoRegulator  Rule = "hose on without a regulator"
	OverRating   Rule = "pressure above the weakest rating"
	SwitchScrew  Rule = "turning the pump's switch screw"
)
