package diagnose

import (
	"maps"
	"math"
	"slices"

	"quietpump/network"
)

// testSteps makes the tests of a view: a stopwatch where a pump runs, the tank's
// level on the hose where none does.
func (s *Session) testSteps(v int, ref float64) []step {
	view := s.rigs[0].views[v]
	var handles []string
	for _, name := range slices.Sorted(maps.Keys(view.lineup)) {
		p, ok := s.c.Rig.Part(name)
		if ok && view.lineup.Of(p) != s.base.Of(p) && p.Kind() != "pump" {
			handles = append(handles, name)
		}
	}
	var covers []string
	turn := 0.0
	for _, h := range handles {
		covers = append(covers, s.c.access(h).Cover)
		turn++ // to turn it, and back: common practice, no source
	}
	if view.runs {
		return []step{s.stopwatch(v, ref, handles, covers, turn)}
	}
	return s.levelTests(v, handles, covers, turn)
}

// watchFor is how long to watch a pump that rests for so long, s: one and a half to
// two rests.
func watchFor(ref float64) float64 { return min(max(1.75*ref, 120), 3600) }

// stopwatch is a test by the time to the next start.
func (s *Session) stopwatch(v int, ref float64, handles, covers []string, turn float64) step {
	view := s.rigs[0].views[v]
	watch := watchFor(ref)
	edges := []float64{0.5 * ref, 0.8 * ref, 1.25 * ref, watch}
	st := step{covers: covers}
	st.Do, st.Lineup, st.Watch = DoTest, view.lineup, seconds(math.Ceil(watch/30)*30)
	watch = st.Watch.Seconds()
	edges[3] = watch
	st.Words = "Watch the pump for " + people(st.Watch)
	if len(handles) > 0 {
		st.Words = "Shut " + and(handles) + ", let the pump fill the lines and stop, and watch it for " + people(st.Watch)
		for _, h := range handles {
			if view.lineup[h] != network.Shut() {
				st.Words = "Set " + view.lineup.String() + ", let the pump stop, and watch it for " + people(st.Watch)
			}
		}
	}
	st.Words += ". Stay beside it."
	st.shows = []string{
		"it starts much sooner", "it starts sooner", "it starts as before", "it starts later",
		"no start in " + people(st.Watch),
	}
	st.spent = func(p point) float64 {
		f := s.forecast(p, v)
		return 1 + turn + (min(f.rest, watch)+5)/60
	}
	st.chance = func(p point) []float64 {
		out := make([]float64, len(st.shows))
		f := s.forecast(p, v)
		if s.list[p.theory].twist.draws {
			q := math.Exp(-watch / 1800)
			return []float64{(1 - q) / 4, (1 - q) / 4, (1 - q) / 4, (1 - q) / 4, q}
		}
		slip(out, func(k int) float64 {
			if !f.starts {
				return bool01(k == 4)
			}
			below := func(edge float64) float64 { return phi(math.Log(edge/f.rest) / 0.03) }
			switch k {
			case 0:
				return below(edges[0])
			case 4:
				return 1 - below(edges[3])
			}
			return max(below(edges[k])-below(edges[k-1]), 0)
		})
		return out
	}
	return st
}

// slip fills in chances with the share that a slip of the hand has.
func slip(out []float64, of func(k int) float64) {
	sum := 0.0
	for k := range out {
		out[k] = (1-broad)*of(k) + broad/float64(len(out))
		sum += out[k]
	}
	for k := range out {
		out[k] /= sum
	}
}

func bool01(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// suctionShut is how long the suction may be shut on the hose, s: common practice,
// no source.
const suctionShut = 600.0

// levelTests watch a tank on the hose with the pump off: 4 sd of a difference of
// two readings of its level.
func (s *Session) levelTests(v int, handles, covers []string, turn float64) []step {
	view := s.rigs[0].views[v]
	hose := false
	for _, p := range s.c.Rig.Parts() {
		if h, ok := p.(network.Hookup); ok && view.lineup.Of(h) == network.On() {
			hose = true
		}
	}
	area := s.area("")
	size := float64(s.b.Size.Mid)
	if !hose || area == 0 || !(size > 0) {
		return nil
	}
	least := 4 * math.Sqrt2 * float64(levelSD) * area
	watch := math.Ceil(least/size/300) * 300
	if watch > 4*3600 {
		return nil
	}
	for _, p := range s.c.Rig.Parts() {
		if q, ok := p.(network.Pump); ok && watch > suctionShut && !view.reachesTank(q.From) {
			return nil
		}
	}
	st := step{covers: covers}
	st.Do, st.For, st.Lineup, st.Watch = DoTest, ALevel, view.lineup, seconds(watch)
	st.Words = "Pump off. Put the hose on through its regulator"
	var shut []string
	for _, h := range handles {
		if p, _ := s.c.Rig.Part(h); p.Kind() == "shutoff" {
			shut = append(shut, h)
		}
	}
	if len(shut) > 0 {
		st.Words += ", shut " + and(shut)
	}
	st.Words += ", and measure the level of the tank now and after " + people(st.Watch) + ". Stay beside it."
	st.shows = []string{"the tank rises", "the tank stays"}
	st.spent = func(point) float64 { return 5 + turn + watch/60 }
	st.chance = func(p point) []float64 {
		out := make([]float64, 2)
		gain := p.size * s.cycleAt(p, v).tank * watch
		rises := phi((gain - least/2) / (least / 4))
		slip(out, func(k int) float64 {
			if k == 0 {
				return rises
			}
			return 1 - rises
		})
		return out
	}
	return []step{st}
}

// storeSteps measure what storage gives up: a cup drawn from a pump stop to the
// next start, where the rig may run as it was found, and the accumulator's charge.
func (s *Session) storeSteps(asFound bool) []step {
	var list []step
	base := s.view(s.base)
	cup, charge := false, false
	for _, r := range s.c.Readings {
		cup, charge = cup || len(r.Cup) > 0, charge || len(r.Precharge) > 0
	}
	view := s.rigs[0].views[base]
	ref := 0.0
	if view.runs {
		c := cycleOf(view, s.rigs[0].middle, &theory{}, leak{joint: view.pump.To}, view.falls(leak{joint: view.pump.To}), s.rigs[0].pumps)
		ref = c.drawdown
	}
	if asFound && !cup && ref > 0 {
		st := step{}
		st.Do, st.For, st.Lineup = DoTest, ACup, s.base
		st.Words = "Draw a cup: as soon as the pump stops, open a tap a trickle and catch the water until the pump starts. Stay beside it."
		st.shows = []string{"far less than it should", "less", "about as much as it should", "more"}
		st.spent = func(point) float64 { return 4 }
		edges := [...]float64{0.4 * ref, 0.75 * ref, 1.35 * ref}
		st.chance = func(p point) []float64 {
			out := make([]float64, 4)
			c := s.cycleAt(p, base)
			v := c.drawdown * s.all[p.world].yield
			slip(out, func(k int) float64 {
				if !c.starts || v <= 0 {
					return 0.25
				}
				below := func(e float64) float64 { return phi(math.Log(e/v) / 0.08) }
				switch k {
				case 0:
					return below(edges[0])
				case 3:
					return 1 - below(edges[2])
				}
				return below(edges[k]) - below(edges[k-1])
			})
			return out
		}
		list = append(list, st)
	}
	for _, p := range s.c.Rig.Parts() {
		acc, ok := p.(network.Accumulator)
		a := s.c.access(p.ID())
		if !ok || charge || a.Effort == Cant {
			continue
		}
		off := "Pump off"
		for _, p := range s.c.Rig.Parts() {
			if _, hookup := p.(network.Hookup); hookup && s.base.Of(p) == network.On() {
				off = "Pump off, hose off"
			}
		}
		st := step{covers: []string{a.Cover}}
		st.Do, st.For, st.Part, st.Lineup = DoTest, Charge, acc.Name, s.atRest()
		st.Words = off + ", pressure let out at a tap: read the charge of " + quoted(acc.Name) + " with a tyre gauge. Stay beside it."
		st.shows = []string{"the charge is low", "the charge holds"}
		st.spent = func(point) float64 { return 5 }
		limit := float64(acc.Precharge) * 0.8
		st.chance = func(p point) []float64 {
			out := make([]float64, 2)
			at, told := s.all[p.world].charge(&s.list[p.theory].theory)
			slip(out, func(k int) float64 {
				low := phi((limit - at - s.all[p.world].bias) / float64(gaugeSD))
				if !told {
					low = 0
				}
				if k == 0 {
					return low
				}
				return 1 - low
			})
			return out
		}
		list = append(list, st)
		break
	}
	return list
}

// atRest is how the rig was found, with nothing that could put it under pressure.
func (s *Session) atRest() network.Lineup {
	l := maps.Clone(s.base)
	if l == nil {
		l = network.Lineup{}
	}
	for _, p := range s.c.Rig.Parts() {
		if k := p.Kind(); k == "pump" || k == "hookup" {
			l[p.ID()] = network.Off()
		}
	}
	return l
}
