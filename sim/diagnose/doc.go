// Package diagnose says how much water gets away, and what each part that could
// be letting it by would look like, from how often the pump starts:
//
//	model, err := sim.Compile(rig)
//	answer, err := diagnose.First(ctx, model, diagnose.Reading{
//		Rest: []diagnose.Time{{Value: 95 * time.Second}},
//		Run:  []diagnose.Time{{Value: 1200 * time.Millisecond}},
//	}, diagnose.Options{})
//	fmt.Println(unit.US.SayBetween(answer.Size.Low, answer.Size.High))
//
// The size follows in up to three ways that do not share their weak points: the
// water that storage gives up, over the rest; the water that the pump delivers,
// over its run; a cup drawn by hand, over the rest. Where they disagree the rig
// is not as it was told, and [Answer.Findings] says in which direction.
//
// A stopwatch gives the size and not the place: every suspect's seep can be
// sized so that it explains the rest. First does that for each by simulation,
// and returns what differs.
package diagnose
