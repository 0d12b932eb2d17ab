package sim

import "quietpump/sim/internal/kernel"

// What is a kind of event, in the words of records.
type What string

// The kinds of event.
const (
	PumpStarts       What = "pump starts"
	PumpStops        What = "pump stops"
	PumpRunsDry      What = "pump runs dry"
	TankFull         What = "tank full"
	TankEmpty        What = "tank empty" // the water is at its outlet
	TankWet          What = "tank wet"   // water stands over the outlet again
	AccumulatorEmpty What = "accumulator empty"
	AccumulatorFills What = "accumulator fills"
	ReliefOpens      What = "relief opens"
	ReliefShuts      What = "relief shuts"
	Scheduled        What = "schedule"
)

// An Event is something that happened to a part at a time.
type Event struct {
	At   float64 `json:"at_s"` // s since the start
	Part string  `json:"part"` // name; for a scheduled change of the lineup the first part it names, for one of temperature each heater
	What What    `json:"what"`
}

const (
	emitPumpStarts kernel.Emit = iota + 1
	emitPumpStops
	emitTankFull
	emitTankEmpty
	emitTankWet
	emitAccumulatorEmpty
	emitAccumulatorFills
	emitReliefOpens
	emitReliefShuts
)

var emitted = [...]What{
	emitPumpStarts: PumpStarts, emitPumpStops: PumpStops,
	emitTankFull: TankFull, emitTankEmpty: TankEmpty, emitTankWet: TankWet,
	emitAccumulatorEmpty: AccumulatorEmpty, emitAccumulatorFills: AccumulatorFills,
	emitReliefOpens: ReliefOpens, emitReliefShuts: ReliefShuts,
}
