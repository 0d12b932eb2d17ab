package main

import (
	"fmt"
	"hash/fnv"
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
	dice    uint64         // of all that is left to chance
	rolled  map[string]int // how often, by what
	c       diagnose.Case
	opened  map[string]bool
	minutes float64
	wrong   float64 // minutes of wrong parts, for the figure at three times
	rest    float64 // as first seen, s; +Inf where none was
	fixed   map[int]bool
	looks   bool // looks are allowed
	bill    bill
}

// A bill is minutes by what they were spent on; vain is cures of a part at fault that did not take, in no sum.
type bill struct{ tests, looks, covers, watches, wrong, call, vain float64 }

func (p *player) pay(on *float64, minutes float64) {
	*on += minutes
	p.minutes += minutes
}

// newPlayer is one who has watched the pump once.
func newPlayer(t *truth, dice uint64, looks bool) *player {
	p := &player{truth: t, dice: dice, rolled: map[string]int{}, opened: map[string]bool{}, fixed: map[int]bool{}, looks: looks}
	p.c = diagnose.Case{Rig: t.rig, Access: t.access}
	p.c.Readings = []diagnose.Reading{p.watch()}
	return p
}

// instead is one who saw the same at first, of another hidden truth that shows it.
func (p *player) instead(t *truth, dice uint64) *player {
	o := newPlayer(t, dice, p.looks)
	o.c.Readings = p.c.Readings[:1:1]
	return o
}

// roll is the chance that something takes, the n-th time that it is done the same for whoever does it: two who play the
// same vehicle differ by what they do and not by their luck.
func (p *player) roll(what string) *rand.Rand {
	p.rolled[what]++
	h := fnv.New64a()
	fmt.Fprint(h, what, p.rolled[what])
	return rand.New(rand.NewPCG(p.dice, h.Sum64()))
}

func sec(x float64) time.Duration { return time.Duration(x * float64(time.Second)) }

// pressSD is the error of a time between two presses, s.
const pressSD = 0.3 * math.Sqrt2

func pressed(x float64, r *rand.Rand) []diagnose.Time {
	return []diagnose.Time{{Value: sec(math.Max(x+pressSD*r.NormFloat64(), 0.2))}}
}

const night = 9 * 3600.0

// watch is what people see of the pump before anything is tested, and after a step
// that did not make an end of it.
func (p *player) watch() diagnose.Reading {
	var d diagnose.Reading
	r := p.roll("watch")
	rest, run, starts := p.left().cycle(setting{}, night)
	p.rest = math.Inf(1)
	switch {
	case !starts:
		d.NoStart = sec(night)
	case math.IsInf(run, 1):
		d.NeverStops = 5 * time.Minute
		p.rest = rest
	case rest < 900:
		d.Rest = pressed(rest, r)
		p.rest = rest
		if run > 1.5 {
			d.Run = pressed(run, r)
		} else {
			d.Blip = true
		}
	case rest < 2*3600:
		d.Every = []diagnose.Time{{Value: sec(rest + run), SD: sec(10)}}
		p.rest = rest
	default:
		n := int(night/(rest+run) + r.Float64())
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
	r := p.roll(string(c.For) + c.Part + c.Lineup.String())
	switch c.For {
	case diagnose.ACup:
		p.pay(&p.bill.tests, 4)
		v := p.drawdown() * (1 - 0.25*(1-math.Sqrt(r.Float64()))) * (1 + 0.05*r.NormFloat64())
		d.Cup = []unit.Uncertain[unit.Volume]{{Value: unit.Volume(math.Max(v, 1e-7))}}
		return d
	case diagnose.Charge:
		p.open(c.Part)
		p.pay(&p.bill.tests, 5)
		d.Precharge = []unit.Uncertain[unit.Pressure]{{Value: unit.Pressure(math.Max(p.charge+p.bias+0.5*psi*r.NormFloat64(), 0))}}
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
			return unit.Uncertain[unit.Length]{Value: unit.Length(h + 0.0005*r.NormFloat64())}
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
		d.Rest = pressed(rest, r)
		if run > 1.5 {
			d.Run = pressed(run, r)
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
	seen := p.roll(string(what)+at).Float64() < p.left().sees(at, what)
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

func sorted(l network.Lineup) []string {
	var names []string
	for k := range l {
		names = append(names, k)
	}
	slices.Sort(names)
	return names
}
