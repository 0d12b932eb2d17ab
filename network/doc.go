// Package network says what is plumbed to what in one vehicle: the rig and its
// parts, how everything a hand can move stands (the lineup), and what is wrong
// (the faults). Three separate things: every question of the job is the same
// rig under another lineup or another fault.
package network
