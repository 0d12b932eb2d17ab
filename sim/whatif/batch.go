package whatif

import (
	"context"
	"fmt"
	"runtime"
	"strconv"
	"strings"
	"sync"
)

// A Batch is how much work is spread over cores and machines. The zero Batch
// does all of it here, on every core.
type Batch struct {
	Shard Shard
	Cores int // zero: all there are
	// Progress is told, one call at a time, how many of this shard's pieces are
	// done; nil: nobody is.
	Progress func(done, of int)
}

// A Shard is one of Count machines that share the work: it does every Count-th
// piece, beginning with Index. The zero Shard does all.
type Shard struct{ Index, Count int }

// ParseShard reads "3/16": the shard of index 3, from 0, of 16.
func ParseShard(text string) (Shard, error) {
	index, count, ok := strings.Cut(strings.TrimSpace(text), "/")
	i, err := strconv.Atoi(index)
	n, err2 := strconv.Atoi(count)
	s := Shard{i, n}
	if !ok || err != nil || err2 != nil || n < 1 || s.check() != nil {
		return Shard{}, fmt.Errorf("shard %q: want its index from 0 and how many there are, such as 3/16", text)
	}
	return s, nil
}

func (s Shard) check() error {
	if s.Count < 0 || s.Index < 0 || s.Index >= max(s.Count, 1) {
		return fmt.Errorf("whatif: shard %d of %d: the index counts from 0 to one less than the count", s.Index, s.Count)
	}
	return nil
}

// pieces is how many of n pieces are the shard's.
func (s Shard) pieces(n int) int {
	step := max(s.Count, 1)
	return max(0, (n-s.Index+step-1)/step)
}

// Each calls f for those of the indices 0 to n−1 that are the shard's, several at
// a time, in ascending order of their beginning. It stops at the first error and
// when ctx is done, lets calls under way end, and returns the error of the lowest
// index, or the context's. What a call computes must follow from its index alone;
// then the number of cores changes nothing.
func (b Batch) Each(ctx context.Context, n int, f func(i int) error) error {
	if err := b.Shard.check(); err != nil {
		return err
	}
	step, of := max(b.Shard.Count, 1), b.Shard.pieces(n)
	cores := b.Cores
	if cores <= 0 {
		cores = runtime.GOMAXPROCS(0)
	}
	var (
		mu     sync.Mutex
		next   = b.Shard.Index
		done   int
		failed = n
		first  error
	)
	var group sync.WaitGroup
	for range min(cores, of) {
		group.Go(func() {
			for {
				mu.Lock()
				i := next
				stop := i >= n || first != nil || ctx.Err() != nil
				if !stop {
					next += step
				}
				mu.Unlock()
				if stop {
					return
				}
				err := f(i)
				mu.Lock()
				if err != nil && i < failed {
					failed, first = i, err
				}
				done++
				if b.Progress != nil {
					b.Progress(done, of)
				}
				mu.Unlock()
			}
		})
	}
	group.Wait()
	if first != nil {
		return first
	}
	if done < of {
		return fmt.Errorf("whatif: stopped after %d of %d: %w", done, of, ctx.Err())
	}
	return nil
}
