package whatif_test

import (
	"context"
	"errors"
	"runtime"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"

	"quietpump/sim/whatif"
)

// Stopped at any instant, before it begins, at any piece or at any time between,
// an ensemble returns with what it has, and leaves no goroutine.
func TestCancelAtAnyInstant(t *testing.T) {
	defer goleak.VerifyNone(t)
	rig, faults := coach(t)
	study := whatif.Study{Rig: rig, Faults: faults}
	const count = 24
	for at := range count + 2 {
		ctx, cancel := context.WithCancel(context.Background())
		if at == 0 {
			cancel()
		}
		study.Batch = whatif.Batch{Cores: 4, Progress: func(done, _ int) {
			if done == at {
				cancel()
			}
		}}
		table, err := study.Ensemble(ctx, whatif.Draws{Count: count, Seed: 3})
		stopped(t, table, err, count)
		cancel()
	}
	for at := range 20 {
		ctx, cancel := context.WithTimeout(context.Background(), time.Duration(at)*150*time.Microsecond)
		study.Batch = whatif.Batch{Cores: 4}
		table, err := study.Ensemble(ctx, whatif.Draws{Count: count, Seed: 3})
		stopped(t, table, err, count)
		cancel()
	}
}

func stopped(t *testing.T, table *whatif.Table, err error, count int) {
	t.Helper()
	if err == nil {
		require.Len(t, table.Rows, count)
		return
	}
	assert.True(t, errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded), err.Error())
}

// An error, or a caller that gives up, ends all workers before Each returns.
func TestEachLeavesNobodyBehind(t *testing.T) {
	defer goleak.VerifyNone(t)
	wrong := errors.New("wrong")
	for at := range 50 {
		var under atomic.Int32
		err := whatif.Batch{Cores: 8}.Each(context.Background(), 50, func(i int) error {
			under.Add(1)
			defer under.Add(-1)
			runtime.Gosched()
			if i == at {
				return wrong
			}
			return nil
		})
		assert.ErrorIs(t, err, wrong)
		assert.Zero(t, under.Load(), "calls under way end first")
	}
}
