// Package repair says what comes after the part is named: what it costs to leave
// it, how to cure it, how to swap it, and how long a quiet pump proves it.
//
//	job := repair.Job{Model: model, Lineup: lineup, Seep: seep, Low: low, High: high}
//	waiting, err := job.Waiting(ctx)          // water, battery, starts, and how long until a tank is empty or spills
//	cures, err := job.Cures()                 // to be tried before a swap
//	sheet, err := job.Worksheet(ctx)          // the swap, step by step, on this rig
//	hold, err := job.Hold(job.Low / 10)       // how long it must be quiet afterwards
//	proof, err := job.Proves(15*time.Minute)  // what a quiet quarter hour has already proved
//
// Everything follows from the rig by simulation and from its plumbing by
// elevation; what cannot be computed is a fact of the trade and carries its
// source as a [Note]. Cautions stand beside the step they belong to. Local codes
// and a licensed or certified technician have the last word.
package repair
