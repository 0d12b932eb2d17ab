//go:build !unix

package sim_test

import "time"

var began = time.Now()

// cpuTime is the time since the program began, where the processor's is not told.
func cpuTime() time.Duration { return time.Since(began) }
