package main

import (
	"math"
	"slices"

	"quietpump/sim/diagnose"
)

// verify is the watch that follows a cure or a swap, minutes.
func (p *player) verify() float64 {
	if math.IsInf(p.rest, 1) {
		return 30
	}
	return math.Min(math.Max(1.75*p.rest, 120), 1800) / 60
}

// mend swaps or cures a part and says whether the pump is quiet then. joints are a connection's. Work on a part that is
// at fault, and the watch after it, is everybody's and not counted; what of it was a cure that did not take is billed
// apart.
func (p *player) mend(part string, do diagnose.Doing, joints []string) bool {
	right := false
	fix := func(i int, by float64) {
		if p.fixed[i] {
			return
		}
		right = true
		if by >= 1 || p.roll("mend "+p.at[i].part+p.at[i].look).Float64() < by {
			p.fixed[i] = true
		}
	}
	switch {
	case part == "" && do == diagnose.DoSwap: // a technician
		if p.kind != "outside" {
			p.pay(&p.bill.call, technician)
		}
		for i := range p.at {
			p.fixed[i] = true
		}
		return true
	case do == diagnose.DoSwap && joints == nil || len(joints) > 0:
		name := part
		if len(joints) > 0 {
			for _, a := range p.places {
				if slices.Contains(a.joints, joints[0]) {
					name = a.look
				}
			}
		}
		p.open(name)
		for i, a := range p.at {
			mine := a.part == part && len(joints) == 0 || len(joints) > 0 && len(a.joints) > 0 && slices.ContainsFunc(a.joints, func(j string) bool { return slices.Contains(joints, j) })
			if mine || p.cause == "switch" && part == "pump" {
				fix(i, 1)
			}
		}
		if !right {
			w := works[p.access[name].Wrong]
			p.pay(&p.bill.wrong, w)
			p.wrong += w
		}
	default: // a cure
		parts := []string{part}
		if part == diagnose.EveryTap {
			parts = p.taps
		}
		for _, name := range parts {
			p.open(name)
		}
		for i, a := range p.at {
			here := slices.Contains(parts, a.part)
			switch {
			case p.cause == "tap" && here, p.cause == "charge" && part == p.gasAt, p.cause == "cooling" && part == p.heater:
				fix(i, 1)
			case p.kind != "benign" && here:
				fix(i, cures)
			}
		}
		if right && p.cause == "cooling" {
			p.cooling = 0
		}
		if right && !p.quiet() {
			p.bill.vain += 2*float64(len(parts)) + p.verify()
		}
		if !right {
			p.pay(&p.bill.tests, 2*float64(len(parts)))
			if part == p.heater && part != "" { // it was waited for in vain
				p.pay(&p.bill.watches, 90)
			}
		}
	}
	if p.quiet() {
		return true
	}
	if !right {
		p.pay(&p.bill.watches, p.verify())
	}
	return false
}

// cures is how often a cure makes an end of a seep: common practice, no source.
const cures = 0.3

// hold watches for half an hour and says whether the pump is quiet; that it is was everybody's to see.
func (p *player) hold() bool {
	if p.quiet() {
		return true
	}
	p.pay(&p.bill.watches, 30)
	return false
}

// quiet says whether nothing is left that starts the pump in a night.
func (p *player) quiet() bool {
	if p.kind == "healthy" || len(p.fixed) == len(p.at) {
		return true
	}
	_, _, starts := p.left().cycle(setting{}, night)
	return !starts
}
