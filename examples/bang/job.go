package main

import (
	"fmt"
	"math"
	"strings"

	"quietpump/examples/internal/ask"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/waves"
)

// A job is what was asked for, and what came of it.
type job struct {
	options
	rig    *network.Rig
	lineup network.Lineup
	at     string // joint of the tap
	source string // joint from which the water comes
	runs   map[string]bool
	place  string // joint of the accumulator

	cases  []seen  // without an accumulator, then with it
	ways   []along // the same along the way to the tap
	sizes  []size
	beside size // a small one at the tap
}

// seen is what one run showed.
type seen struct {
	name   string
	bottle unit.Volume
	rig    *network.Rig
	res    *waves.Result
	back   map[string]unit.Flow // the most that ran back through each check
	wild   bool                 // the pump would be cycling already
}

// size is how high it goes with an accumulator of a size.
type size struct {
	bottle unit.Volume
	top    unit.Pressure
}

// usual is the size of the accumulator that is tried where the rig has none.
const usual = 0.75 * unit.Litre

// sizes are those of the table.
var sizes = []unit.Volume{0.1 * unit.Litre, 0.2 * unit.Litre, 0.4 * unit.Litre, 0.75 * unit.Litre, 1.5 * unit.Litre}

// fit finds the tap, how all stands while it runs, and where the water comes from.
func (j *job) fit() error {
	var err error
	if j.lineup, err = ask.Lineup(j.rig, j.lineups); err != nil {
		return err
	}
	var taps []string
	for _, p := range j.rig.Parts() {
		switch p := p.(type) {
		case network.Fixture:
			taps = append(taps, p.Name)
			plain := !p.Toilet && !strings.Contains(strings.ToLower(p.Name), "hot")
			if strings.EqualFold(p.Name, j.tap) || j.tap == "" && plain {
				j.tap, j.at = p.Name, p.At
			}
		case network.Accumulator:
			j.place = p.At
			if j.bottle == 0 {
				j.bottle = p.Volume
			}
		}
	}
	if j.at == "" {
		return fmt.Errorf("-tap %q: the water system has no such tap; it has %s", j.tap, strings.Join(taps, ", "))
	}
	if j.bottle == 0 {
		j.bottle = usual
	}
	if j.lineup[j.tap] == (network.Setting{}) {
		j.lineup[j.tap] = network.Open(1)
	}
	j.runs = map[string]bool{}
	for _, p := range j.rig.Parts() {
		if h, ok := p.(network.Hookup); ok && j.lineup.Of(p) == network.On() {
			j.source = h.At
		}
	}
	for _, p := range j.rig.Parts() {
		p, ok := p.(network.Pump)
		if !ok || j.source != "" || j.lineup.Of(p) != network.On() {
			continue
		}
		j.source, j.runs[p.Name] = p.To, true
	}
	if j.source == "" {
		return fmt.Errorf("-lineup: neither a pump nor a hookup gives water; put one on")
	}
	if j.place == "" {
		j.place = j.source
	}
	return nil
}

// watch shuts the tap without an accumulator, with it, and with others of other sizes.
func (j *job) watch() error {
	small, err := j.shut(littleOne, j.at)
	if err != nil {
		return err
	}
	for _, x := range small.res.Joints {
		if x.Name == j.at {
			j.beside = size{littleOne, x.Highest}
		}
	}
	for _, c := range []struct {
		name   string
		bottle unit.Volume
	}{{"without an accumulator", 0}, {"with it", j.bottle}} {
		s, err := j.shut(c.bottle, j.place)
		if err != nil {
			return err
		}
		s.name = c.name
		way, err := j.way(&s)
		if err != nil {
			return err
		}
		j.cases, j.ways = append(j.cases, s), append(j.ways, way)
	}
	for _, v := range sizes {
		top := j.cases[1].res.Highest.Pressure
		if v != j.bottle {
			s, err := j.shut(v, j.place)
			if err != nil {
				return err
			}
			top = s.res.Highest.Pressure
		}
		j.sizes = append(j.sizes, size{v, top})
	}
	return nil
}

// littleOne is the size that is tried beside the tap.
const littleOne = 0.2 * unit.Litre

// shut shuts the tap with an accumulator of a size at a joint; zero: without.
func (j *job) shut(bottle unit.Volume, at string) (seen, error) {
	s := seen{bottle: bottle, back: map[string]unit.Flow{}}
	var err error
	if s.rig, err = j.refitted(bottle, at); err != nil {
		return s, err
	}
	m, err := sim.Compile(s.rig)
	if err != nil {
		return s, err
	}
	o := sim.Options{Start: sim.Start{Pumps: j.runs}}
	still, err := m.Steady(j.lineup, nil, o)
	if err != nil {
		return s, err
	}
	s.wild = still.Cycles
	r, err := waves.Begin(m, j.lineup, nil, waves.Options{
		Until: j.until, From: &still.Sample, Rig: o, Walls: j.walls,
		Moves: []waves.Move{{Over: j.over, Lineup: network.Lineup{j.tap: network.Shut()}}},
	})
	if err != nil {
		return s, err
	}
	var checks []string
	for _, p := range s.rig.Parts() {
		if p.Kind() == "check" {
			checks = append(checks, p.ID())
		}
	}
	for finished := false; !finished; {
		finished = r.Advance(1)
		for _, name := range checks {
			if q, ok := r.Flow(name); ok && -q > s.back[name] {
				s.back[name] = -q
			}
		}
	}
	s.res = r.Result()
	return s, nil
}

// refitted is the rig with one accumulator of a size at a joint, or with none.
func (j *job) refitted(bottle unit.Volume, at string) (*network.Rig, error) {
	var items []network.Item
	for _, p := range j.rig.Parts() {
		if a, ok := p.(network.Accumulator); ok {
			if bottle == 0 || a.At != at {
				continue
			}
			a.Volume = bottle
			p, bottle = a, 0
		}
		items = append(items, p)
	}
	for _, x := range j.rig.Joints() {
		items = append(items, x)
	}
	if bottle > 0 {
		items = append(items, network.Accumulator{Name: "one more accumulator", At: at, Volume: bottle})
	}
	return network.New(j.rig.Name(), items...)
}

// along is what a run showed along the way from the source to the tap.
type along struct {
	x                      []unit.Length
	start, highest, lowest []unit.Pressure
	stops                  []stop
}

type stop struct {
	at   unit.Length
	name string
}

// way lays the tubes from the source to the tap end to end.
func (j *job) way(s *seen) (a along, err error) {
	legs := waves.Way(s.rig, j.lineup, j.source, j.at)
	if legs == nil {
		return a, fmt.Errorf("no tube leads from %q to the %s", j.source, j.tap)
	}
	tubes := map[string]*waves.Tube{}
	for i := range s.res.Tubes {
		tubes[s.res.Tubes[i].Name] = &s.res.Tubes[i]
	}
	base := unit.Length(0)
	for _, l := range legs {
		t := tubes[l.Tube.Name]
		n := len(t.X)
		from, to := l.Tube.From, l.Tube.To
		if l.Back {
			from, to = to, from
		}
		if len(a.stops) == 0 {
			a.stops = append(a.stops, stop{0, from})
		}
		for i := range n {
			k := i
			if l.Back {
				k = n - 1 - i
			}
			x := base + t.X[i]
			if len(a.x) > 0 { // tubes meet where one ends and the next begins: a hair apart
				x = max(x, unit.Length(math.Nextafter(float64(a.x[len(a.x)-1]), math.Inf(1))))
			}
			a.x = append(a.x, x)
			a.start, a.highest, a.lowest = append(a.start, t.Start[k]), append(a.highest, t.Highest[k]), append(a.lowest, t.Lowest[k])
		}
		base += l.Tube.Length
		a.stops = append(a.stops, stop{base, to})
	}
	a.stops[len(a.stops)-1].name = j.tap
	return a, nil
}

// low is the lowest pressure on the way, and how far along it.
func (a *along) low() (p unit.Pressure, at unit.Length) {
	p = unit.Pressure(math.Inf(1))
	for i, x := range a.lowest {
		if x < p {
			p, at = x, a.x[i]
		}
	}
	return p, at
}

// count is how often a thing happened.
func (s *seen) count(what sim.What) (n int) {
	for _, e := range s.res.Events {
		if e.What == what {
			n++
		}
	}
	return n
}
