// Package rigs holds the rigs of the house as files, for programs that carry
// them along.
package rigs

import "embed"

// Files are the rig files, by name: "twopath.rig.toml".
//
//go:embed *.rig.toml
var Files embed.FS
