//go:build unix

// Package cputime tells what the program has taken of the processor: on a busy machine
// that is all a benchmark can go by.
package cputime

import (
	"syscall"
	"time"
)

// Used is the processor time that all threads of the program have taken so far.
func Used() time.Duration {
	var used syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &used) != nil {
		return 0
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}
