package main

import (
	"slices"

	"quietpump/sim/diagnose"
)

// byInformation takes the step that tells most a minute, and acts on 85 %.
func (p *player) byInformation(b *diagnose.Belief) *diagnose.Choice {
	var act, best *diagnose.Choice
	for i := range b.Next {
		c := &b.Next[i]
		switch c.Do {
		case diagnose.DoTest, diagnose.DoLook:
			if c.Bits < 0.02 {
				continue
			}
			if best == nil || c.Bits/c.Minutes > best.Bits/best.Minutes {
				best = c
			}
		case diagnose.DoSwap, diagnose.DoQuiet, diagnose.DoCure:
			if act == nil && c.Bits == 0 {
				act = c
			}
		}
	}
	if act != nil && (best == nil || len(b.Groups) > 0 && b.Groups[0].Belief >= 0.85) {
		return act
	}
	return best
}

// byOrder goes down a list, looks at each or swaps it where it cannot be seen, until the pump is quiet or one is left.
func (p *player) byOrder(rate func(a place) float64) {
	list := slices.Clone(p.places)
	slices.SortStableFunc(list, func(a, b place) int {
		x, y := rate(a), rate(b)
		switch {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	done := map[int]bool{}
	swap := func(k int) bool {
		done[k] = true
		return p.mend(list[k].part, diagnose.DoSwap, list[k].joints)
	}
	if p.looks {
		for k, a := range list {
			if a.tap { // closing it properly is tried first
				p.pay(&p.bill.tests, 1)
				if p.cause == "tap" && p.at[0].part == a.part {
					p.fixed[0] = true
					return
				}
			}
			if k == len(list)-1 {
				break
			}
			d := p.see(a.look, diagnose.Drip, lookMinutes(&diagnose.Choice{Part: a.look}))
			if d.Look[0].Saw == diagnose.Yes && swap(k) {
				return
			}
		}
	}
	for k := range list {
		if !done[k] && swap(k) {
			return
		}
	}
	p.mend("", diagnose.DoSwap, nil)
}
