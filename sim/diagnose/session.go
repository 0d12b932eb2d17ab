package diagnose

import (
	"context"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"time"

	"quietpump/network"
	"quietpump/sim"
)

// Options of a belief. The zero Options are the ordinary case.
type Options struct {
	Sim  sim.Options // water, altitude, levels; its span and samples are the belief's own
	Seed uint64      // of the draws of the tolerances; the same seed gives the same belief
	// NoLooks leaves looks out of the advice: nobody can get there, or see.
	NoLooks bool
	// Like is an earlier session of the same rig, whose draws, cycles and simulations
	// serve again: with it a belief is the same and comes sooner. A session and those
	// begun like it are for one goroutine.
	Like *Session
}

// A Session computes a belief in slices for its caller. It is for one goroutine.
type Session struct {
	c    Case
	opts Options
	base network.Lineup // as the rig was first watched
	*memory

	evs     []evidence
	weigher *weigher
	list    []weighed

	b    *Belief
	todo []func() error // what is left, in order

	draws    []draw // sizes by world
	anchored map[anchorKey]anchor
	planner  *planner
	all      []*world // those worlds that are weighed, in the order they were drawn
	kept     map[[3]int]*unitCycle
}

// A memory is what the readings do not change.
type memory struct {
	stood     string // as the rig was first watched
	rigs      []rigOf
	lineups   []network.Lineup
	drawn     []*world
	blocks    []int          // how many worlds there were after each drawing
	ids       map[string]int // of theories
	simulated map[simulatedKey]anchor
}

// id numbers a theory by its name.
func (m *memory) id(name string) int {
	if m.ids[name] == 0 {
		m.ids[name] = len(m.ids) + 1
	}
	return m.ids[name]
}

// recall takes over what an earlier session worked out, if it is of the same rig.
func (s *Session) recall(o *Session) bool {
	if o.memory == nil || o.c.Rig != s.c.Rig || !slices.Equal(o.c.Others, s.c.Others) || o.stood != s.base.String() ||
		o.opts.Seed != s.opts.Seed || !reflect.DeepEqual(o.opts.Sim, s.opts.Sim) {
		return false
	}
	s.memory = o.memory
	return true
}

// slice is about how long one Advance works.
const slice = 2 * time.Millisecond

// From computes the belief of a case, or stops when ctx is done. The same case,
// seed and options give the same belief, whatever the number of cores. It refuses
// what cannot be, every problem at once.
func From(ctx context.Context, c Case, opts Options) (*Belief, error) {
	s, err := Begin(c, opts)
	if err != nil {
		return nil, err
	}
	for {
		done, err := s.Advance()
		if err != nil {
			return nil, err
		}
		if done {
			return s.Belief(), nil
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
	}
}

// Begin prepares a belief to be computed in slices.
func Begin(c Case, opts Options) (*Session, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	s := &Session{c: c, opts: opts, b: &Belief{}, anchored: map[anchorKey]anchor{}}
	if len(c.Readings) > 0 {
		s.base = c.Readings[0].Lineup
	}
	s.todo = []func() error{s.prepare}
	return s, nil
}

// Advance does some 2 ms of work and reports whether the belief is complete. How
// much it does at a time changes nothing of the belief.
func (s *Session) Advance() (done bool, err error) {
	for began := time.Now(); len(s.todo) > 0; {
		next := s.todo[0]
		s.todo = s.todo[1:]
		if err := next(); err != nil {
			s.todo = nil
			return true, err
		}
		if time.Since(began) >= slice {
			break
		}
	}
	return len(s.todo) == 0, nil
}

// Belief returns the belief, complete once Advance has said so.
func (s *Session) Belief() *Belief { return s.b }

// then puts work before what is left to do.
func (s *Session) then(work ...func() error) { s.todo = append(work, s.todo...) }

// check says everything that keeps a case from being used.
func (c *Case) check() error {
	if c.Rig == nil {
		return errors.New("the case has no rig; read one from a rig file")
	}
	var errs []error
	sum := 0.0
	for i, a := range c.Others {
		if a.Rig == nil || !(a.Share >= 0 && a.Share <= 1) {
			errs = append(errs, fmt.Errorf("alternative %d needs a rig and a share between 0 and 1", i+1))
		}
		sum += a.Share
	}
	if sum > 1 {
		errs = append(errs, fmt.Errorf("the alternatives' shares add up to %.3g; leave something to the rig itself", sum))
	}
	hasPump := false
	for _, p := range c.Rig.Parts() {
		hasPump = hasPump || p.Kind() == "pump"
	}
	if !hasPump {
		errs = append(errs, fmt.Errorf("rig %q has no pump that starts by itself, so nothing can be told from its starts; add a [[pump]]", c.Rig.Name()))
	}
	for i, r := range c.Readings {
		if err := errors.Join(r.check(c.Rig), c.Rig.CheckLineup(r.Lineup)); err != nil {
			errs = append(errs, fmt.Errorf("reading %d: %w", i+1, err))
		} else if _, err := cyclingPump(c.Rig, r.Lineup); err != nil && hasPump && r.sawPump() {
			errs = append(errs, fmt.Errorf("reading %d: %w", i+1, err))
		}
	}
	for i, d := range c.Done {
		if d.Before < 0 || d.Before > len(c.Readings) {
			errs = append(errs, fmt.Errorf("step %d was done after %d readings of %d", i+1, d.Before, len(c.Readings)))
		}
	}
	return errors.Join(errs...)
}

// sawPump reports whether a pump was seen to start or run.
func (r Reading) sawPump() bool {
	return len(r.Rest)+len(r.Run)+len(r.Every)+len(r.Count)+len(r.Cup)+len(r.CutIn)+len(r.CutOut) > 0 || r.Blip || r.NeverStops > 0
}
