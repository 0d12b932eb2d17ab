//go:build unix

package sim_test

import (
	"syscall"
	"time"
)

// cpuTime is the processor time that the program has taken.
func cpuTime() time.Duration {
	var used syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &used) != nil {
		return 0
	}
	return time.Duration(used.Utime.Nano() + used.Stime.Nano())
}
