package sim

import (
	"time"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// Options of a simulation or a steady answer. The zero Options are an hour from
// rest: the tank half full, every section at its pump's cut-out, pumps at rest,
// water at 20 °C, sea level, nothing scheduled, no creep.
type Options struct {
	Until     time.Duration    // simulated span; zero: one hour
	Start     Start            // what stands at time zero
	Altitude  unit.Length      // above sea level; a gauge precharge shifts with it
	Water     hydraulics.Water // Density and Viscosity both zero: at 20 °C; no other of its fields need be given
	Schedule  []Change         // in any order
	Creep     bool             // plastic tube goes on stretching for a day after it is pressurised
	Tolerance Tolerance        // zero: Default
	Samples   []time.Duration  // times at which the record is to hold a [Sample]
	MaxSteps  int              // steps after which it gives up; zero: ten million
	Without   Layers           // speed layers to do without; zero: none
}

// Start is what stands at time zero. A part or joint that is not named stands as
// the zero Options say.
type Start struct {
	Tanks        map[string]unit.Volume      // water in each tank and waste tank
	Pressures    map[string]unit.Pressure    // at a joint; the rest of its section stands at rest with it
	Pumps        map[string]bool             // true: running
	Temperatures map[string]unit.Temperature // of each heater; zero: the Water's, or 20 °C
}

// A Change is something a hand, the weather or a timer does at a time.
type Change struct {
	At     time.Duration
	Lineup network.Lineup              // parts that are set anew; the others stay
	Heat   map[string]unit.Temperature // heaters reach this temperature now, in a straight line from the change before
	Stroke []string                    // hand pumps that are given one stroke, taking a second
}

// Tolerance is how closely a simulation is computed.
type Tolerance int

const (
	// Default keeps events within a millisecond, on more than 98 rigs in a hundred drawn at random.
	Default Tolerance = iota
	// Fine keeps them within 10 microseconds, at two to three times the steps.
	Fine
)

// Layers are ways in which a simulation saves effort; they change what an answer costs
// and, within its tolerance, not the answer. Each stands on the one before it.
type Layers uint8

const (
	// Following takes steps like those of the pump cycle before, and looks for their
	// ends where they ended then.
	Following Layers = 1 << iota
	// Gliding takes a step that repeats one of the cycle before from that one's tangent,
	// where no law bends enough to matter, instead of solving for it.
	Gliding
	// Leaping passes many pump cycles at once, where each changes from the one before as evenly as the last ones did, and
	// writes their events down from how they change; what a [Record] shows of them is simulated when it is asked for. The
	// cycle after a leap bears it out or takes it back: leaps add no more than 0.1 ms to what the events of a simulation may
	// be off by, at Fine a microsecond.
	Leaping
	// Keeping makes one factor for all of a step's iterations, or nearly, where a rig is so large and looped that
	// making it takes longest. It does not need the layers before it.
	Keeping
)
