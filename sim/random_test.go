package sim_test

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"quietpump/sim"
	"quietpump/sim/internal/rigs"
)

var (
	rigCount  = flag.Int("rigs", 120, "random rigs to compute")
	fineCount = flag.Int("rigs.fine", 24, "random rigs to compare with Fine")
	rigFirst  = flag.Uint64("rigs.first", 1, "seed of the first of them")
)

// Random rigs of every part kind, 5 to 200 joints, from any start, under any
// lineup, with any faults: each has a steady answer within 30 Newton iterations a
// solve, and each can be simulated; no number in either is NaN, the ledger closes,
// and nothing hangs or panics.
func TestRandomRigs(t *testing.T) {
	count := *rigCount
	if testing.Short() {
		count = min(count, 24)
	}
	var wg sync.WaitGroup
	seeds := make(chan uint64)
	var mu sync.Mutex
	bad, most, restarts, solves, steps := 0, 0, 0, 0, 0
	for range runtime.GOMAXPROCS(0) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for seed := range seeds {
				still, rec, err := randomRig(seed)
				mu.Lock()
				if err != nil {
					bad++
					if bad <= 40 {
						t.Errorf("seed %d: %v", seed, err)
					}
				}
				if still != nil {
					solves++
					most = max(most, still.Effort.Newton)
					restarts += still.Effort.Restarts
				}
				if rec != nil {
					restarts += rec.Effort.Restarts
					steps += rec.Effort.Steps
				}
				mu.Unlock()
			}
		}()
	}
	for i := range count {
		seeds <- *rigFirst + uint64(i)
	}
	close(seeds)
	wg.Wait()
	t.Logf("%d rigs, %d bad; steady answers: %d, at most %d Newton iterations over all of one's rounds; simulations: %d steps; solves begun again: %d",
		count, bad, solves, most, steps, restarts)
}

// Rigs that once had no answer: a way round through a regulator in a section that
// nothing holds, where rounding became pressure; a port of an empty tank at which
// water hovered; pumps that chatter with many valves; an event after which another
// turned out to come first; a section that was pulled back to its start once its
// devices had found rest; a trickle that opened and shut a dry tank's port five hundred
// times a second; rounding that a wide way handed to and fro, or left in the ledger; a
// chatter that a switch's delay slows down to less than five starts a second; flows that
// Newton left in steps that had to answer for a smaller one; a regulator that could be held
// shut no longer and was shut again at once, by a valve that moved with it; a seep that had
// to vanish, where ports without loss made ten thousand cubic metres a second of it; two
// that the first mending of the regulator sent elsewhere and back; a told flow for which
// Newton was asked for less than rounding leaves; two devices that took turns ever more
// slowly, and were let go before the slowness had come to anything; a look ahead that
// filled a bottle beyond its last gas.
func TestRigsThatOnceFailed(t *testing.T) {
	for _, seed := range []uint64{108861, 109993, 108774, 108934, 107595, 201729, 304127, 305098, 308404, 403313, 406683, 706011, 800200, 801385, 810522, 903367, 925213, 931270, 978254, 994058, 908359, 923750, 946936, 1049575} {
		_, rec, err := randomRig(seed)
		require.NoError(t, err, "seed %d", seed)
		require.Less(t, rec.Effort.Steps, 20_000, "seed %d", seed)
	}
}

func randomRig(seed uint64) (still *sim.Still, rec *sim.Record, err error) {
	defer func() {
		if p := recover(); p != nil {
			buf := make([]byte, 1500)
			err = fmt.Errorf("panic: %v\n%s", p, buf[:runtime.Stack(buf, false)])
		}
	}()
	size := rand.New(rand.NewPCG(seed, 0))
	joints := int(math.Round(5 * math.Pow(40, size.Float64())))
	c, err := rigs.Random(seed, joints)
	if err != nil {
		return nil, nil, err
	}
	m, err := sim.Compile(c.Rig)
	if err != nil {
		return nil, nil, err
	}
	still, err = m.Steady(c.Lineup, c.Faults, c.Options)
	if err != nil {
		return nil, nil, fmt.Errorf("steady of %d joints: %w", joints, err)
	}
	if still.Effort.Restarts > 0 {
		return still, nil, fmt.Errorf("steady of %d joints: more than 30 Newton iterations", joints)
	}
	if err := finite(c, &still.Sample); err != nil {
		return still, nil, fmt.Errorf("steady of %d joints: %w", joints, err)
	}
	rec, err = m.Simulate(context.Background(), c.Lineup, c.Faults, c.Options)
	if err != nil {
		return still, rec, fmt.Errorf("simulation of %d joints: %w", joints, err)
	}
	if rec.Effort.Restarts > 0 {
		return still, rec, fmt.Errorf("simulation of %d joints: %d solves of more than 30 Newton iterations", joints, rec.Effort.Restarts)
	}
	for i := range rec.Samples {
		if err := finite(c, &rec.Samples[i]); err != nil {
			return still, rec, fmt.Errorf("sample at %g s: %w", rec.Samples[i].At, err)
		}
	}
	// Beside 1e-9 of the water moved, what the stand-ins of storeless sections hold.
	l := &rec.Ledger
	moved := l.Moved
	for _, v := range l.Stored {
		moved = math.Max(moved, math.Abs(v))
	}
	if !(math.Abs(l.Closure) <= 1e-9*moved+1e-11) {
		return still, rec, fmt.Errorf("ledger of %d joints: closure %g of %g m³", joints, l.Closure, moved)
	}
	return still, rec, nil
}

func finite(c *rigs.Case, s *sim.Sample) error {
	for _, j := range c.Rig.Joints() {
		if p, ok := s.Pressure(j.Name); ok && !(math.Abs(float64(p)) < 1e20) {
			return fmt.Errorf("pressure %v at %q", float64(p), j.Name)
		}
	}
	for _, p := range c.Rig.Parts() {
		if q, ok := s.Flow(p.ID()); ok && !(math.Abs(float64(q)) < 1) {
			return fmt.Errorf("flow %v through %q", float64(q), p.ID())
		}
	}
	return nil
}

// The same seed is the same case.
func TestRandomRigsAreReproducible(t *testing.T) {
	a, err := rigs.Random(7, 30)
	require.NoError(t, err)
	b, err := rigs.Random(7, 30)
	require.NoError(t, err)
	require.Equal(t, a, b)
}
