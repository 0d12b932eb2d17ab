package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/diagnose"
)

// A player is a person with a stopwatch at one vehicle, and the bill of minutes.
type player struct {
	*truth
	r       *rand.Rand
	c       diagnose.Case
	opened  map[string]bool
	minutes float64
	wrong   float64 // minutes of wrong parts, for the figure at three times
	rest    float64 // as first seen, s; +Inf where none was
	fixed   map[int]bool
	looks   bool // looks are allowed
	bill    bill
}

// A bill is minutes by what they were spent on.
type bill struct{ tests, looks, covers, watches, wrong, call float64 }

func (p *player) pay(on *float64, minutes float64) {
	*on += minutes
	p.minutes += minutes
}

func newPlayer(t *truth, seed uint64, looks bool) *player {
	p := &player{truth: t, r: rand.New(rand.NewPCG(seed, 99)), opened: map[string]bool{}, fixed: map[int]bool{}, looks: looks}
	p.c = diagnose.Case{Rig: t.rig, Access: t.access}
	p.c.Readings = []diagnose.Reading{p.watch()}
	return p
}

func sec(x float64) time.Duration { return time.Duration(x * float64(time.Second)) }

// press is the error of a time between two presses.
func (p *player) pressed(x float64) []diagnose.Time {
	return []diagnose.Time{{Value: sec(math.Max(x+0.3*math.Sqrt2*p.r.NormFloat64(), 0.2))}}
}

const night = 9 * 3600.0

// watch is what people see of the pump before anything is tested, and after a step
// that did not make an end of it.
func (p *player) watch() diagnose.Reading {
	var d diagnose.Reading
	rest, run, starts := p.left().cycle(setting{}, night)
	p.rest = math.Inf(1)
	switch {
	case !starts:
		d.NoStart = sec(night)
	case math.IsInf(run, 1):
		d.NeverStops = 5 * time.Minute
		p.rest = rest
	case rest < 900:
		d.Rest = p.pressed(rest)
		p.rest = rest
		if run > 1.5 {
			d.Run = p.pressed(run)
		} else {
			d.Blip = true
		}
	case rest < 2*3600:
		d.Every = []diagnose.Time{{Value: sec(rest + run), SD: sec(10)}}
		p.rest = rest
	default:
		n := int(night/(rest+run) + p.r.Float64())
		d.Count = []diagnose.Count{{Starts: n, Within: sec(night)}}
		p.rest = rest
	}
	return d
}

// open charges a cover, once.
func (p *player) open(name string) {
	a := p.access[name]
	cover := a.Cover
	if cover == "" {
		cover = name
	}
	if !p.opened[cover] {
		p.opened[cover] = true
		p.pay(&p.bill.covers, minutes[a.Effort])
	}
}

var minutes = map[diagnose.Effort]float64{"": 3, diagnose.ByHand: 1, diagnose.Door: 3, diagnose.Screws: 8, diagnose.TakeOut: 20, diagnose.Crawl: 40}
var works = map[diagnose.Wrong]float64{"": 30, diagnose.CheapTry: 30, diagnose.Nuisance: 120, diagnose.CallOut: 480}

// settingOf is a lineup in the study's words.
func (p *player) settingOf(l network.Lineup) setting {
	s := setting{shut: map[string]bool{}}
	for name, x := range l {
		if x == network.Shut() {
			s.shut[name] = true
		}
		if name == p.hose && x == network.On() {
			s.hose = true
		}
	}
	return s
}

// acts are the faults that are left.
func (p *player) left() *truth {
	t := *p.truth
	t.at, t.sizes = nil, nil
	for i := range p.at {
		if !p.fixed[i] {
			t.at, t.sizes = append(t.at, p.at[i]), append(t.sizes, p.sizes[i])
		}
	}
	return &t
}

// test does a test and returns its reading.
func (p *player) test(c *diagnose.Choice) diagnose.Reading {
	d := diagnose.Reading{Lineup: c.Lineup}
	switch c.For {
	case diagnose.ACup:
		p.pay(&p.bill.tests, 4)
		v := p.drawdown() * (1 - 0.25*(1-math.Sqrt(p.r.Float64()))) * (1 + 0.05*p.r.NormFloat64())
		d.Cup = []unit.Uncertain[unit.Volume]{{Value: unit.Volume(math.Max(v, 1e-7))}}
		return d
	case diagnose.Charge:
		p.open(c.Part)
		p.pay(&p.bill.tests, 5)
		d.Precharge = []unit.Uncertain[unit.Pressure]{{Value: unit.Pressure(math.Max(p.charge+p.bias+0.5*psi*p.r.NormFloat64(), 0))}}
		return d
	}
	s := p.settingOf(c.Lineup)
	for _, name := range sorted(c.Lineup) {
		if name != "pump" {
			p.open(name)
			p.pay(&p.bill.tests, 1)
		}
	}
	t := p.left()
	if s.hose {
		gain := t.tankGain(s) * c.Watch.Seconds() / p.area
		read := func(h float64) unit.Uncertain[unit.Length] {
			return unit.Uncertain[unit.Length]{Value: unit.Length(h + 0.0005*p.r.NormFloat64())}
		}
		d.Level = []diagnose.Level{{Tank: "fresh tank", Height: read(0.1)}, {Tank: "fresh tank", At: c.Watch, Height: read(0.1 + gain)}}
		p.pay(&p.bill.tests, 5+c.Watch.Minutes())
		return d
	}
	rest, run, starts := t.cycle(s, c.Watch.Seconds())
	p.pay(&p.bill.tests, 1+(math.Min(rest, c.Watch.Seconds())+5)/60)
	switch {
	case !starts:
		d.NoStart = c.Watch
	case math.IsInf(run, 1):
		d.NeverStops = 5 * time.Minute
	default:
		d.Rest = p.pressed(rest)
		if run > 1.5 {
			d.Run = p.pressed(run)
		}
	}
	return d
}

// see goes and looks.
func (p *player) see(at string, what diagnose.For, spent float64) diagnose.Reading {
	if _, known := p.access[at]; known {
		p.open(at)
	}
	p.pay(&p.bill.looks, spent)
	seen := p.r.Float64() < p.left().sees(at, what)
	answer := diagnose.No
	if seen {
		answer = diagnose.Yes
	}
	return diagnose.Reading{Look: []diagnose.Look{{At: at, For: what, Saw: answer}}}
}

// sees is the chance that a look at a place sees what it is for: it misses 5 %, or 25 % of what is below 3 mL/min, and sees what
// is not there 2 %.
func (t *truth) sees(at string, what diagnose.For) float64 {
	not := 1 - 0.02
	for i, a := range t.at {
		one := *t
		one.at = []place{a}
		if !one.shows(at, what) {
			continue
		}
		if what != diagnose.LeftOn && t.sizes[i] < 3*mlpm {
			not *= 0.25
		} else {
			not *= 0.05
		}
	}
	return 1 - not
}

// lookMinutes is what a look takes beside its cover.
func lookMinutes(c *diagnose.Choice) float64 {
	switch {
	case c.For == diagnose.LeftOn:
		return 3
	case c.Part == "strainer" || c.Part == "fill hose":
		return 4
	case c.Part == "pump bay" || c.Part == "galley cabinet" || c.Part == "bathroom":
		return 2
	}
	return 1.5
}

// verify is the watch that follows a cure or a swap, minutes.
func (p *player) verify() float64 {
	if math.IsInf(p.rest, 1) {
		return 30
	}
	return math.Min(math.Max(1.75*p.rest, 120), 1800) / 60
}

// mend swaps or cures a part and says whether the pump is quiet then. joints are a connection's. What makes an end of
// a fault, and the watch after it, is everybody's and not counted.
func (p *player) mend(part string, do diagnose.Doing, joints []string) bool {
	right := false
	fix := func(i int, by float64) {
		if !p.fixed[i] && (by >= 1 || p.r.Float64() < by) {
			right, p.fixed[i] = true, true
		}
	}
	switch {
	case part == "" && do == diagnose.DoSwap: // a technician
		if p.kind != "outside" {
			p.pay(&p.bill.call, 480)
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
		p.open(part)
		parts := []string{part}
		if part == diagnose.EveryTap {
			parts = p.taps
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

func sorted(l network.Lineup) []string {
	var names []string
	for k := range l {
		names = append(names, k)
	}
	slices.Sort(names)
	return names
}

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
