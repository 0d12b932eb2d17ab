package main

import (
	"context"
	"errors"
	"fmt"

	"quietpump/network"
	"quietpump/sim/diagnose"
)

// connectionJoints are the joints of the connections that a choice means.
func connectionJoints(b *diagnose.Belief, c *diagnose.Choice) []string {
	for _, h := range b.Hypotheses {
		for _, s := range h.Suspects {
			if s.Role == network.WeepConnections && s.Seep.Part == c.Part && c.Do == diagnose.DoSwap {
				return s.At
			}
		}
	}
	return nil
}

// take does what a choice says; it reports whether the pump is quiet.
func (p *player) take(b *diagnose.Belief, c *diagnose.Choice) (quiet bool) {
	switch c.Do {
	case diagnose.DoTest:
		p.c.Readings = append(p.c.Readings, p.test(c))
	case diagnose.DoLook:
		p.c.Readings = append(p.c.Readings, p.see(c.Part, c.For, lookMinutes(c)))
	case diagnose.DoQuiet:
		if p.hold() {
			return true
		}
		p.c.Done = append(p.c.Done, diagnose.Done{Do: c.Do, Before: len(p.c.Readings), After: diagnose.Same})
		p.c.Readings = append(p.c.Readings, p.watch())
	default:
		if p.mend(c.Part, c.Do, connectionJoints(b, c)) {
			return true
		}
		p.c.Done = append(p.c.Done, diagnose.Done{Do: c.Do, Part: c.Part, Before: len(p.c.Readings)})
		p.c.Readings = append(p.c.Readings, p.watch())
	}
	return false
}

// believe asks the tool.
func (p *player) believe(ctx context.Context) (*diagnose.Belief, error) {
	key := fmt.Sprint(p.c.Readings, p.c.Done, p.looks)
	if b, known := p.asked[key]; known {
		return b, nil
	}
	s, err := diagnose.Begin(p.c, diagnose.Options{NoLooks: !p.looks, Like: p.like})
	for done := false; err == nil && !done; err = errors.Join(err, ctx.Err()) {
		done, err = s.Advance()
	}
	if err != nil {
		return nil, err
	}
	p.like, p.asked[key] = s, s.Belief()
	return s.Belief(), nil
}

// mostTaken ends what goes nowhere, with a technician.
const mostTaken = 60

// byTool follows the advice to the end.
func (p *player) byTool(ctx context.Context, choose func(b *diagnose.Belief) *diagnose.Choice) (first, last *diagnose.Belief, err error) {
	for range mostTaken {
		b, err := p.believe(ctx)
		if err != nil {
			return first, last, err
		}
		if first == nil {
			first = b
		}
		last = b
		c := choose(b)
		if c == nil {
			break
		}
		if p.take(b, c) {
			return first, last, nil
		}
	}
	p.mend("", diagnose.DoSwap, nil)
	return first, last, nil
}

// advice is what the tool says.
func (p *player) advice(b *diagnose.Belief) *diagnose.Choice {
	if len(b.Next) == 0 {
		return nil
	}
	return &b.Next[0]
}

// everything does every test and look that is offered, looks that are offered again included, and returns the belief
// then.
func (p *player) everything(ctx context.Context) (*diagnose.Belief, error) {
	for range mostTaken {
		b, err := p.believe(ctx)
		if err != nil {
			return nil, err
		}
		offered := false
		for i := range b.Next {
			c := &b.Next[i]
			if c.Do == diagnose.DoTest || c.Do == diagnose.DoLook {
				offered = true
				p.take(b, c)
			}
		}
		if !offered {
			return b, nil
		}
	}
	return p.believe(ctx)
}
