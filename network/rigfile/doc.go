// Package rigfile reads and writes rigs as files, and says everything that is
// wrong with one at once. A small camper is a text like this:
//
//	[rig]
//	name = "Small camper"
//
//	[[tank]]
//	name = "fresh tank"
//	ports = ["tank out"]
//
//	[[pump]]
//	name = "pump"
//	from = "tank out"
//	to = "pump out"
//
//	[[tube]]
//	name = "galley line"
//	from = "pump out"
//	to = "galley"
//
//	[[fixture]]
//	name = "galley tap"
//	at = "galley"
//
// and is read by
//
//	rig, err := rigfile.Read("camper.rig.toml")
//
// Each kind of part is a section of its own, named by its word in network with
// underscores: [[hand_pump]], [[relief_valve]]. Owners' words do as well:
// [[line]], [[valve]], [[faucet]], [[fresh_tank]], [[hose]], [[city_water]].
// The keys are the fields of the part's type in snake_case; parts may also be
// written as rows, tube = [{…}, {…}], ahead of the first section. Quantities
// are texts with a unit ("6 ft", "30 psi ± 4", where ± is 95 %, two standard
// deviations), counts and coefficients plain numbers. Joints come into being
// where parts name them; [[joint]] tells an elevation or a place.
//
// No length, elevation or pressure has to be told. A typical value stands in,
// is listed by [network.Rig.Assumed], and is not written back; only a [[joint]]
// that tells no z stands at the datum. Roughness may be
// "smooth", a heater's expansion "none"; other zeros that would mean "not told"
// are refused with what to write instead.
//
// The same content may be JSON, {"rig": {"name": …}, "tube": [{…}, …]}; a text
// that opens with a brace is read as that, a file named .json written so.
// [Schema] describes both for editors.
package rigfile
