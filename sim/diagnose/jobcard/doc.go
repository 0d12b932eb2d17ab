// Package jobcard reads and writes job cards: a rig, what was watched on it, and
// what was done about it, as a text file that a person keeps.
//
//	rig = "coach.rig.toml"               # beside the card
//
//	[facts]
//	frozen = "yes"
//
//	[access]
//	"fill valve" = "by hand"
//	pump = { effort = "a few screws", cover = "pump bay panel" }
//
//	[[reading]]
//	lineup = "hookup=off"
//	rest = ["95 s", "97 s ± 2"]
//	run = "1.1 s"
//
//	[[reading]]
//	lineup = "hookup=off, heater shutoff=shut"
//	no_start = "20 min"
//
// is read by
//
//	card, err := jobcard.Read("coach.card.toml")
//	belief, err := diagnose.From(ctx, card.Case, diagnose.Options{})
//
// The rig may stand in the card itself, as [rig] with the sections of a rig file
// inside it: [[rig.tank]], or rig.tank = [{…}]. What is unusual about it is told
// by part, in the words of rig files, and overrides the file:
//
//	[unusual.pump]
//	cut_in = "26 psi ± 2"                # read on a gauge
//	cut_out = "± 8 psi"                  # the file's value, but less sure
//
// What is not known about the plumbing are alternatives, each with its share, as
// a rig file of its own or as what differs:
//
//	[[alternative]]
//	words = "no check before the heater"
//	where = "heater bay"                 # one could look there
//	share = 0.3
//	without = ["heater check"]
//	with.tube = [{ name = "heater link", from = "cold trunk", to = "heater in" }]
//
// Readings have the fields of [diagnose.Reading] as keys, in the order they were
// taken; one value may stand for a list of one. A [[done]] tells of a part that
// was cured or swapped, or of a hold test; the readings above it in the file came before, unless
// readings_before says how many did.
//
// Everything that is wrong is told at once, with file, line and column.
// [Append] adds a reading and touches nothing else. The same content may be
// JSON. [Schema] describes both for editors.
package jobcard
