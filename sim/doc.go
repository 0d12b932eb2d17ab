// Package sim computes a rig: the steady answer, and a simulation through hours
// with every start and stop of the pump.
//
//	model, err := sim.Compile(rig)
//	rec, err := model.Simulate(ctx, lineup, faults, sim.Options{Until: time.Hour})
//	for _, e := range rec.Events { … }
//
// Water in the stores (tanks, accumulators, heaters, the stretch of tubes) is the
// state; pressures and flows follow from it at every instant by Newton's method.
// Because volumes are the state, the ledger closes whatever the step size. Steps
// are those of an L-stable Runge–Kutta method of order 4; events are met by
// adjusting the step's length and never by moving the state.
package sim
