//go:build !unix

// Package cputime tells what the program has taken of the processor: on a busy machine
// that is all a benchmark can go by.
package cputime

import "time"

var began = time.Now()

// Used is the time since the program began, where the processor's is not told.
func Used() time.Duration { return time.Since(began) }
