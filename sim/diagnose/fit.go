package diagnose

import (
	"errors"
	"math"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
)

// A fitter sizes a seep so that a simulation meets the readings.
type fitter struct {
	model  *sim.Model
	lineup network.Lineup
	faults network.Faults // besides the seep
	opts   sim.Options
	target float64 // s
	every  bool    // target is from start to start, else the rest
}

// fitTolerance is how closely the target is met, relative; far below a press.
const fitTolerance = 1e-5

// fit solves for the size of a seep, beginning at start: by secants of slope −1
// between the logarithms of size and time, kept between sizes known to be too
// small and too large. Its errors are errNoStart and errNoStop where no size will
// do.
func (f fitter) fit(seep network.Seep, start unit.Flow) (unit.Flow, cycle, error) {
	lo, hi := math.Log(float64(smallestSeep)), math.Log(float64(largestSeep))
	x := min(max(math.Log(float64(start)), lo), hi)
	horizon := time.Duration((3*f.target + 1) * float64(time.Second))
	failed := errNoStart
	for range 100 {
		seep.Ref = unit.Flow(math.Exp(x))
		c, err := oneCycle(f.model, f.lineup, f.with(seep), f.opts, horizon)
		step := 0.0
		switch {
		case errors.Is(err, errNoStart):
			lo, step = x, math.Log(4)
		case errors.Is(err, errNoStop):
			hi, step, failed = x, -math.Log(4), err
		case err != nil:
			return 0, c, err
		default:
			t := c.rest
			if f.every {
				t += c.run
			}
			step = math.Log(t / f.target)
			if math.Abs(step) < fitTolerance {
				return seep.Ref, c, nil
			}
			if step > 0 {
				lo = x
			} else {
				hi = x
			}
		}
		next := x + step
		if next <= lo || next >= hi {
			next = (lo + hi) / 2
		}
		if hi-lo < fitTolerance {
			break
		}
		x = next
	}
	return 0, cycle{}, failed
}

func (f fitter) with(seep network.Seep) network.Faults {
	return append(append(make(network.Faults, 0, len(f.faults)+1), f.faults...), seep)
}
