package diagnose

import (
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// A Reading is what was watched under one lineup, each thing as often as it was.
// A Reading of nothing says nothing.
type Reading struct {
	Lineup network.Lineup
	When   time.Time // when the watch began; zero: not told
	Began  Began     // what the watch began with; zero: a pump stop
	Heater Heater    // what the water heater was doing; zero: not told

	Rest       []Time        // from the pump's stop to its next start
	Run        []Time        // from its start to its stop
	Every      []Time        // from start to start, where neither rest nor run was timed
	Count      []Count       // so many starts in so long
	Blip       bool          // it runs too briefly to be timed
	NeverStops time.Duration // it ran so long without a stop; zero: not watched
	NoStart    time.Duration // it stayed quiet so long; zero: not watched

	// Cup is water drawn slowly from just after the pump stopped until it started.
	// A zero SD means cupSD of it.
	Cup       []unit.Uncertain[unit.Volume]
	Jug       []Jug
	CutIn     []unit.Uncertain[unit.Pressure] // read on a gauge as the pump starts
	CutOut    []unit.Uncertain[unit.Pressure] // … and as it stops
	Precharge []unit.Uncertain[unit.Pressure] // of the accumulator, by tyre gauge
	Gauge     []Gauge
	Level     []Level
	Look      []Look
}

// A Time is a time that was watched. A zero SD means the error of two presses.
type Time struct {
	Value time.Duration
	SD    time.Duration // one standard deviation
}

// Began is what a watch began with.
type Began string

// Beginnings of a watch.
const (
	AtStop  Began = ""         // a pump stop that was seen
	AtStart Began = "start"    // a pump start
	Anytime Began = "any time" // neither
)

// Heater is what the water heater was doing during a watch.
type Heater string

// What a heater does.
const (
	HeaterUnknown Heater = ""
	HeaterSettled Heater = "settled" // off and cold, or bypassed
	HeaterWarming Heater = "heating"
	HeaterCooling Heater = "cooling" // switched off within the last hours, or between two heatings
)

// A Count is a number of starts in a time.
type Count struct {
	Starts int
	Within time.Duration
}

// A Jug is the time to fill a vessel at a full tap.
type Jug struct {
	Tap    string // fixture; empty: any
	Volume unit.Volume
	Time   Time
}

// A Gauge is a pressure read at a joint, so long after the watch began. A zero
// SD means 0.5 psi; a bias of 2 psi is shared by all gauges of a card.
type Gauge struct {
	Joint    string
	At       time.Duration
	Pressure unit.Uncertain[unit.Pressure]
}

// By is how a level was read.
type By string

// Ways to read a level.
const (
	ByRule  By = ""      // a height was measured
	ByLamp  By = "lamp"  // a lamp is lit up to a share of the tank
	BySpill By = "spill" // the tank spills
)

// A Level is what was read of a tank, so long after the watch began. What a tank
// gained is told by two Levels of one Reading.
type Level struct {
	Tank     string
	At       time.Duration
	By       By
	Height   unit.Uncertain[unit.Length] // ByRule: above any fixed mark; a zero SD means 0.5 mm
	Lamp     float64                     // ByLamp: share of the tank up to which lamps are lit, of 0, ⅓, ⅔, 1
	Spilling Told                        // BySpill
	Spilt    unit.Uncertain[unit.Volume] // BySpill: caught since the watch began; zero: not caught
}

// For is what a look or a test is for.
type For string

// What one looks for; and what a test other than a stopwatch reads.
const (
	Drip   For = "drip"
	Warm   For = "warm" // a tube that should be cold is warm
	Hiss   For = "hiss"
	LeftOn For = "left on" // handles, a tap, a pedal, a selector not as they should stand

	ACup    For = "cup"    // Reading.Cup
	Charge  For = "charge" // Reading.Precharge
	ALevel  For = "level"  // Reading.Level, before and after the watch
	AtPumps For = ""       // the pump's next start, or none
)

// A Look is a thing that was looked for at a part, joint or place. A look that
// could not be taken says nothing.
type Look struct {
	At  string
	For For
	Saw Told // Unsaid: it could not be seen
}
