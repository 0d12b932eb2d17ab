// Package network says what is plumbed to what in one vehicle, and what could be
// leaking there:
//
//	rig, err := network.New("camper", network.Tank{…}, network.Pump{…}, network.Tube{…}) // every problem at once
//	for _, path := range rig.EscapePaths(nil) {
//		fmt.Println(path.Words) // from the pump's outlet through the fill valve into the fresh tank
//	}
//
// A rig and its parts never change. How everything a hand can move stands is a
// [Lineup], what is wrong are [Faults]. Three separate things: every question of
// the job is the same rig under another lineup or another fault.
//
// No length, elevation or pressure is required. A typical value stands in for
// what was not told; [Rig.Assumed] lists each with its source.
//
// All that is said here follows from the plumbing alone. There is no time, no
// solver and no file syntax in this package.
package network
