package find

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/wasm/chapters/stage"
)

// systems are the rigs that a fault may hide in, by their names in links.
var systems = []string{"nosuction", "twopath", "bypass", "twopumps"}

// A riddle is a water system with one part that lets a little by. The same seed is
// the same riddle.
type riddle struct {
	seed     uint64
	system   string
	rig      *network.Rig
	model    *sim.Model
	suspects []network.Suspect // that could be named
	guilty   int               // of the suspects
	seep     network.Seep
	seen     cycle    // with every tap shut, as it was found
	shows    []string // parts, joints and places where a look sees its water
}

// Bounds of a riddle's rest, s: short enough to be watched, and long enough to be
// timed; and of its seep.
const (
	leastRest = 20.0
	mostRest  = 300.0
	leastSeep = 15 * unit.MillilitrePerMinute
	mostSeep  = 400 * unit.MillilitrePerMinute
)

// draw hides a fault. What starts no pump in the time is drawn again.
func draw(seed uint64) (*riddle, error) {
	r := rand.New(rand.NewPCG(seed, 11))
	q := &riddle{seed: seed, system: systems[(seed+uint64(len(systems))-1)%uint64(len(systems))]}
	var err error
	if q.rig, err = stage.Rig(q.system); err != nil {
		return nil, err
	}
	if q.model, err = sim.Compile(q.rig); err != nil {
		return nil, err
	}
	q.suspects = q.rig.Suspects(nil)
	var unseen []int // what drips nowhere: two riddles in three are of these
	for i := range q.suspects {
		if _, seen := q.spot(i); !seen {
			unseen = append(unseen, i)
		}
	}
	for range 200 {
		q.guilty = r.IntN(len(q.suspects))
		if len(unseen) > 0 && r.IntN(3) > 0 {
			q.guilty = unseen[r.IntN(len(unseen))]
		}
		size := float64(leastSeep) * math.Pow(float64(mostSeep/leastSeep), r.Float64())
		q.seep = q.suspects[q.guilty].Seep
		q.seep.Ref, q.seep.At = unit.Flow(size), 45*unit.PSI
		if q.seen, err = q.watch(nil, 2*mostRest); err != nil {
			return nil, err
		}
		if q.seen.starts && q.seen.rest >= leastRest && q.seen.rest <= mostRest && !math.IsInf(q.seen.run, 1) {
			q.shows = places(q.rig, &q.suspects[q.guilty])
			return q, nil
		}
	}
	return nil, fmt.Errorf("find: nothing hides in the %s that could be timed", q.system)
}

// places are where the water of a suspect shows: at the suspect itself where it comes
// out, and at what it meets after it.
func places(rig *network.Rig, s *network.Suspect) []string {
	if s.Role == network.WeepConnections {
		return append([]string{s.Place}, s.At...)
	}
	var all []string
	for _, path := range rig.EscapePaths(nil) {
		if path.Suspect.Name != s.Name {
			continue
		}
		after := path.Parts[slices.Index(path.Parts, s.Seep.Part)+1:]
		all = append(all, after...)
		if path.To != network.ToFreshTank {
			all = append(all, path.Where)
		}
		if path.To != network.ToFreshTank || len(after) == 0 {
			all = append(all, s.Seep.Part)
		}
	}
	return all
}

// spot is where one looks for a suspect's drip; false of what drips nowhere.
func (q *riddle) spot(i int) (at string, ok bool) {
	s := &q.suspects[i]
	if s.Role == network.WeepConnections {
		if s.Place != "" {
			return s.Place, true
		}
		return s.At[0], true
	}
	for _, path := range q.rig.EscapePaths(nil) {
		if path.Suspect.Name == s.Name && path.To != network.ToFreshTank {
			ok = true
		}
	}
	return s.Seep.Part, ok
}

// A cycle is what a stopwatch tells of a lineup, s: how long the pump is quiet from
// its stop, and how long it runs then, +Inf where it does not stop.
type cycle struct {
	starts    bool
	rest, run float64
}

// watch simulates the riddle under a lineup for no longer than span, s, from where a
// pump has just stopped.
func (q *riddle) watch(lineup network.Lineup, span float64) (cycle, error) {
	rec, err := q.simulate(lineup, network.Faults{q.seep}, span)
	if err != nil {
		return cycle{}, err
	}
	return first(rec), nil
}

func (q *riddle) simulate(lineup network.Lineup, faults network.Faults, span float64) (*sim.Record, error) {
	return q.model.Simulate(context.Background(), lineup, faults, sim.Options{Until: time.Duration(span * 1e9)})
}

// first is the first whole cycle of a record, or as much of it as there is.
func first(rec *sim.Record) cycle {
	c := cycle{run: math.Inf(1)}
	from, start := 0.0, -1.0
	for _, e := range rec.Events {
		switch {
		case e.What == sim.PumpStarts && start < 0:
			start = e.At
			c.starts, c.rest = true, e.At-from
		case e.What == sim.PumpStops && start < 0: // it was running: from here it is quiet
			from = e.At
		case e.What == sim.PumpStops:
			c.run = e.At - start
			return c
		}
	}
	return c
}
