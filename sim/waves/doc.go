// Package waves computes what happens in milliseconds: the pressure wave that runs
// through a rig's tubes when a tap is shut, a pump starts or a check falls to.
//
//	res, err := waves.Simulate(ctx, model, lineup, faults, waves.Options{
//		Moves: []waves.Move{{Over: 50 * time.Millisecond, Lineup: network.Lineup{"galley tap": network.Shut()}}},
//	})
//	fmt.Println(res.Highest.Pressure, res.Highest.Tube)
//
// Package sim takes the water as one stiff column, which in minutes it is. Here each
// tube is cut into reaches that a wave passes in one step (the method of
// characteristics), with the speed its wall and its water give it; what joins tubes is
// taken by sim's own laws, so that a run in which nobody moves anything stays where
// sim's steady answer stands, to 1e-9. It is of first order in the step.
//
// What it leaves out, or takes as it may not be:
//
//   - Walls are elastic and at rest: plastic damps a wave more than this (its creep is
//     left out), and a tube that is not clipped jumps, which takes more out of it.
//   - Friction is that of steady flow and what a change of flow adds to it (Brunone);
//     fittings' losses are spread along their tube.
//   - Each tube is a whole number of reaches long; [Grid] says by how much that is off.
//   - Where water boils a cavity opens at that place and shuts without a bubble left
//     (discrete vapour cavities). That it tears apart is to be believed; the height of the
//     spikes when cavities shut is not, and comes out too high rather than too low.
//     Dissolved air, which cushions them, is left out.
//   - A pump delivers evenly, without the strokes of its lobes.
//   - Levels of tanks stand still, and heaters keep their temperature.
package waves
