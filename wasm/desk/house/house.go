// Package house puts the chapters of the demo together.
package house

import (
	"quietpump/wasm/browsertest/trial"
	"quietpump/wasm/desk"
)

// Chapters are the demo's, in the order they are read.
func Chapters() []desk.Chapter {
	return []desk.Chapter{trial.New("watch")}
}
