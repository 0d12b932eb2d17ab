// Package hydraulics holds the laws of one thing at a time: what water is, what
// a tube, a fitting, a hole, a charge of gas, a wall or a pump does. They are
// pure functions of small values; package sim puts them together.
//
//	water := hydraulics.WaterAt(unit.Celsius(20))
//	tube, err := hydraulics.LookupTube("pex", "1/2 in")
//	f := hydraulics.Friction(re, float64(tube.Roughness/tube.Bore))
//
// Quantities with a unit are the types of package unit, all SI inside; a bare
// float64 is a pure number or has its unit in the doc comment. Flows and pressure
// drops are signed and the laws odd in them. Nothing panics on a number out of
// range: the result is NaN, or what the doc comment says.
//
// Every law names its source, and the tests beside it check the published rows
// of testdata/published one by one. What no source could be found for says
// "common practice, no source", what is recalled "from memory".
package hydraulics
