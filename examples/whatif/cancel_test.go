//go:build unix

package main

import (
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"

	"quietpump/examples/internal/ask"
)

// Interrupted at any instant it ends, says so, and leaves no goroutine.
func TestInterrupted(t *testing.T) {
	ours := make(chan os.Signal, 100) // or an interrupt that comes too early ends the test
	signal.Notify(ours, os.Interrupt)
	defer signal.Stop(ours)
	<-time.After(time.Millisecond) // until the runtime listens for signals
	before := goleak.IgnoreCurrent()
	defer goleak.VerifyNone(t, before)
	for at := range 8 {
		var problem strings.Builder
		ended := make(chan int, 1)
		go func() { ended <- run([]string{"-n", "100000"}, nil, io.Discard, &problem) }()
		time.Sleep(time.Duration(at) * time.Millisecond)
		for code, waits := 0, true; waits; {
			require.NoError(t, syscall.Kill(os.Getpid(), syscall.SIGINT))
			select {
			case code = <-ended:
				waits = false
				assert.Equal(t, ask.Failed, code)
				assert.Contains(t, problem.String(), "stopped after")
			case <-time.After(5 * time.Millisecond):
			}
		}
	}
}
