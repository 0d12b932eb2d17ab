// Package diagnose names the part that lets water by, from how often the pump
// starts, and says what to do next:
//
//	b, err := diagnose.From(ctx, diagnose.Case{Rig: rig, Readings: []diagnose.Reading{{
//		Rest: []diagnose.Time{{Value: 95 * time.Second}},
//		Run:  []diagnose.Time{{Value: 1200 * time.Millisecond}},
//	}}}, diagnose.Options{})
//	fmt.Println(b.Hypotheses[0].Name, diagnose.Chance(b.Hypotheses[0].Belief))
//	fmt.Println(b.Next[0].Words)
//
// Everything that could be behind the readings competes: each part on an escape
// path of one's own rig, weeping connections, benign causes such as a heater that
// cools, pairs of these, a healthy rig, and none of these. Each is computed on the
// rig as it stood in every reading, over many draws of its tolerances: a cycle by
// the quadrature of the store's curve over the flow that gets away, section by
// section, set right by a simulation of that hypothesis under that lineup
// (TestQuadratureAgainstSimulation measures what is left). The size is solved to
// the readings in every draw and integrated around the fit.
//
// A stopwatch gives the size and not the place: every suspect's seep can be sized
// so that it explains the rest. What parts the suspects are valves that are shut,
// and looks; they compete by the minutes they take and save (Heckerman, Breese and
// Rommelse, Comm. ACM 38(3), 1995). Lineups that could do harm are refused before
// any of that, see [Rule].
package diagnose
