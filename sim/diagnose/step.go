package diagnose

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"quietpump/network"
)

// A step is a choice as the planner weighs it.
type step struct {
	Choice
	shows  []string                // words of its outcomes
	chance func(p point) []float64 // of each outcome
	spent  func(p point) float64   // minutes, beside those of covers
	covers []string
	heals  func(t *theory) float64 // chance that it makes an end of a theory
}

// A point is a particle with its theory.
type point struct {
	theory int
	particle
}

// minutesOf is what an effort costs.
func minutesOf(e Effort) float64 {
	switch e {
	case ByHand:
		return 1
	case Door:
		return 3
	case Screws:
		return 8
	case TakeOut:
		return 20
	case Crawl:
		return 40
	}
	return math.Inf(1)
}

func minutesWrong(w Wrong) float64 {
	switch w {
	case CheapTry:
		return 30
	case CallOut:
		return 480
	}
	return 120
}

// access is what it takes to reach a part, joint or place, judged by its kind
// where nobody said: common practice, no source.
func (c *Case) access(name string) Access {
	a := c.Access[name]
	p, isPart := c.Rig.Part(name)
	if a.Effort == "" {
		a.Effort = Door
		if isPart {
			switch p := p.(type) {
			case network.Fixture, network.Mixer, network.Hookup, network.Appliance, network.VacuumBreaker, network.Selector:
				a.Effort = ByHand
			case network.Pump, network.Accumulator, network.Strainer, network.Filter, network.Check:
				a.Effort = Screws
			case network.ReliefValve, network.Drain, network.Shutoff:
				a.Effort = Door
			default:
				_ = p
				a.Effort = Screws
			}
		} else if name == string(network.ToBellyPan) {
			a.Effort = TakeOut
		}
	}
	if a.Cover == "" {
		a.Cover = name
	}
	if a.Wrong == "" {
		a.Wrong = Nuisance
		if isPart {
			switch p.Kind() {
			case "check", "drain", "fixture", "vacuum breaker", "filter":
				a.Wrong = CheapTry
			case "selector", "relief valve", "heater":
				a.Wrong = CallOut
			}
		} else {
			a.Wrong = CheapTry
		}
	}
	return a
}

// reach is the minutes to open a cover.
func (a Access) reach() float64 {
	if a.Minutes > 0 && a.Effort != Cant {
		return a.Minutes.Minutes()
	}
	return minutesOf(a.Effort)
}

func (a Access) work() float64 {
	if a.Work > 0 {
		return a.Work.Minutes()
	}
	return minutesWrong(a.Wrong)
}

// candidates lists the lineups that could tell something: those that hands can
// set from the one the rig was found in, with what each must be reached for.
func (s *Session) candidates() []network.Lineup {
	var shutoffs []string
	var list []network.Lineup
	add := func(set map[string]network.Setting) {
		l := network.Lineup{}
		for k, x := range s.base {
			l[k] = x
		}
		for k, x := range set {
			l[k] = x
		}
		list = append(list, l)
	}
	list = append(list, s.base)
	pumpsOff := map[string]network.Setting{}
	for _, p := range s.c.Rig.Parts() {
		if p.Kind() == "pump" {
			pumpsOff[p.ID()] = network.Off()
		}
	}
	with := func(more map[string]network.Setting) map[string]network.Setting {
		m := map[string]network.Setting{}
		for k, x := range pumpsOff {
			m[k] = x
		}
		for k, x := range more {
			m[k] = x
		}
		return m
	}
	for _, p := range s.c.Rig.Parts() {
		if s.c.access(p.ID()).Effort == Cant {
			continue
		}
		switch p := p.(type) {
		case network.Shutoff:
			if s.base.Of(p).Opening() > 0 {
				shutoffs = append(shutoffs, p.Name)
				add(map[string]network.Setting{p.Name: network.Shut()})
			}
		case network.Selector:
			for _, pos := range p.Positions {
				if pos.Name != s.base.Of(p).Word() {
					add(map[string]network.Setting{p.Name: network.At(pos.Name)})
				}
			}
		}
	}
	for _, p := range s.c.Rig.Parts() {
		if h, ok := p.(network.Hookup); ok && s.base.Of(h) != network.On() {
			add(with(map[string]network.Setting{h.Name: network.On()}))
			for _, v := range shutoffs {
				add(with(map[string]network.Setting{h.Name: network.On(), v: network.Shut()}))
			}
		}
	}
	const mostTogether = 6
	for i := range min(len(shutoffs), mostTogether) {
		for j := range i {
			add(map[string]network.Setting{shutoffs[i]: network.Shut(), shutoffs[j]: network.Shut()})
		}
	}
	return list
}

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

// stopwatch is a test by the time to the next start.
func (s *Session) stopwatch(v int, ref float64, handles, covers []string, turn float64) step {
	view := s.rigs[0].views[v]
	watch := min(max(1.75*ref, 120), 3600)
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
// next start, and the accumulator's charge.
func (s *Session) storeSteps() []step {
	var list []step
	base := s.view(s.base)
	cup, charge := false, false
	for _, r := range s.c.Readings {
		cup, charge = cup || len(r.Cup) > 0, charge || len(r.Precharge) > 0
	}
	view := s.rigs[0].views[base]
	ref := 0.0
	if view.runs {
		c := cycleOf(view, s.middle(0), &theory{}, leak{joint: view.pump.To}, view.falls(leak{joint: view.pump.To}), s.rigs[0].pumps)
		ref = c.drawdown
	}
	if !cup && ref > 0 {
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
		st := step{covers: []string{a.Cover}}
		st.Do, st.For, st.Part, st.Lineup = DoTest, Charge, acc.Name, s.base
		st.Words = "Pump off, pressure let out at a tap: read the charge of " + quoted(acc.Name) + " with a tyre gauge. Stay beside it."
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

// lookSteps are the things that one can go and see.
func (s *Session) lookSteps() []step {
	var list []step
	if s.opts.NoLooks {
		return nil
	}
	done := map[string]bool{}
	looked := map[string]int{}
	for _, r := range s.c.Readings {
		for _, l := range r.Look {
			if l.Saw == Unsaid {
				continue
			}
			key := string(l.For) + l.At
			looked[key]++
			// What was not seen may have been missed, and what was seen may have been
			// something else: one looks again, once.
			done[key] = looked[key] > 1
		}
	}
	base := s.view(s.base)
	look := func(at string, what For, words string, minutes float64, cover string) {
		if done[string(what)+at] || math.IsInf(minutes, 1) {
			return
		}
		done[string(what)+at] = true
		st := step{}
		st.Do, st.Part, st.For, st.Words, st.Lineup = DoLook, at, what, words, s.base
		if cover != "" {
			st.covers = []string{cover}
		}
		st.shows = []string{"seen", "not seen"}
		st.spent = func(point) float64 { return minutes }
		st.chance = func(p point) []float64 {
			f := s.forecast(p, base)
			x := s.list[p.theory].shows(at, what, f.flow, s.cycleAt(p, base).acts)
			return []float64{x, 1 - x}
		}
		list = append(list, st)
	}
	round := false
	for i := range s.list {
		round = round || s.list[i].cause == NotQuiteShut || s.list[i].cause == HandlesOn
	}
	if round {
		look(wholeRound, LeftOn, "Go round every tap, the toilet's pedal and the outside shower: is each one shut properly, handles and not the head alone?", 3, "")
	}
	for i := range s.list {
		t := &s.list[i].theory
		if t.kind != OneSuspect {
			continue
		}
		u := t.suspects[0]
		part := u.Seep.Part
		a := s.c.access(part)
		switch u.Role {
		case network.WeepConnections:
			at := u.Place
			if at == "" {
				at = u.At[0]
			}
			a = s.c.access(at)
			if a.Effort != Cant {
				look(at, Drip, "Look with a lamp and a dry tissue for a wet connection in the "+at, 2, a.Cover)
			}
		case network.PumpHeadValves, network.FillValve, network.OtherValve:
			if slices.Contains(t.ends, network.ToFreshTank) {
				at := s.spot(t)
				a = s.c.access(at)
				if a.Effort != Cant {
					look(at, Drip, s.backWords(at), 4, a.Cover)
				}
			} else if a.Effort != Cant {
				look(part, Drip, "Look for a drip behind "+quoted(part), 2, a.Cover)
			}
		default:
			if a.Effort != Cant {
				look(part, Drip, "Look for a drip at "+quoted(part)+" and feel it with a dry tissue", 1.5, a.Cover)
			}
		}
	}
	for _, o := range s.c.Others {
		if o.Where != "" && s.c.access(o.Where).Effort != Cant {
			st := step{}
			st.Do, st.Part, st.For, st.Lineup = DoLook, o.Where, LeftOn, s.base
			st.Words = "Go and look at " + quoted(o.Where) + ": " + o.Words + "?"
			st.covers = []string{s.c.access(o.Where).Cover}
			st.shows = []string{"yes", "no"}
			st.spent = func(point) float64 { return 3 }
			first, last := s.worldsOfRig(o.Rig)
			st.chance = func(p point) []float64 {
				if p.world >= first && p.world < last {
					return []float64{1 - missed, missed}
				}
				return []float64{imagined, 1 - imagined}
			}
			list = append(list, st)
		}
	}
	return list
}

func (s *Session) worldsOfRig(rig *network.Rig) (first, last int) {
	for k := range s.rigs {
		last = first + len(s.rigs[k].worlds)
		if s.rigs[k].rig == rig {
			return first, last
		}
		first = last
	}
	return 0, 0
}

// spot is the place where a theory's water could be seen best on its way back.
func (s *Session) spot(t *theory) string {
	for _, at := range t.comesOut {
		if p, ok := s.c.Rig.Part(at); ok && p.Kind() == "strainer" {
			return at
		}
	}
	if len(t.comesOut) > 0 {
		return t.comesOut[len(t.comesOut)-1]
	}
	return t.suspects[0].Seep.Part
}

// backWords say how to see water that comes back to the tank.
func (s *Session) backWords(at string) string {
	p, ok := s.c.Rig.Part(at)
	if ok {
		switch p.(type) {
		case network.Strainer:
			return "Pump off, lines under pressure, suction shut or tank low: open " + quoted(at) + " and look whether water comes back through the pump"
		case network.Pump:
			return "Pump off, lines under pressure, tank low: loosen the suction hose at " + quoted(at) + " over a cloth and look whether water comes back"
		case network.Selector:
			if !s.suctionSide(at) {
				break
			}
			return "Pump off, lines under pressure: set " + quoted(at) + " to pick-up, hold the pick-up hose in a cup, and look whether water comes back"
		}
	}
	return "Lines under pressure: look where water would run into the tank, at the end of " + quoted(at)
}

// suctionSide says whether a selector chooses what the pump draws from.
func (s *Session) suctionSide(name string) bool {
	v := newView(s.c.Rig, s.base)
	p, _ := s.c.Rig.Part(name)
	return v.runs && slices.ContainsFunc(p.Joints(), func(j string) bool { return v.section(j) == v.section(v.pump.From) })
}

// cureSteps are what may make an end of it without a new part.
func (s *Session) cureSteps(ref float64) []step {
	var list []step
	watch := min(max(1.75*ref, 120), 3600) / 60
	done := map[string]bool{}
	for _, d := range s.c.Done {
		if d.Do == DoCure {
			done[d.Part] = true
		}
	}
	flushed := map[string]bool{}
	for i := range s.list {
		t := &s.list[i].theory
		if t.kind != OneSuspect {
			continue
		}
		u := t.suspects[0]
		part := u.Seep.Part
		if done[part] || flushed[part] || s.c.access(part).Effort == Cant {
			continue
		}
		st := step{}
		st.Do, st.Part, st.Lineup = DoCure, part, s.base
		chance := 0.0
		switch u.Role {
		case network.ToiletValve, network.Tap, network.DrainValve:
			st.Words = "Open " + quoted(part) + " fully for half a minute, then close it properly"
			chance = 0.3
		case network.FillValve, network.OtherValve:
			st.Words = "Open " + quoted(part) + " and let it run at full flow for half a minute, then close it properly"
			chance = 0.3
		default:
			continue
		}
		flushed[part] = true
		st.covers = []string{s.c.access(part).Cover}
		st.shows = []string{"the pump stays quiet", "it goes on as before"}
		st.spent = func(point) float64 { return 2 + watch }
		st.heals = func(o *theory) float64 {
			// Debris is taken as the commonest cause: common practice, no source.
			if o.kind == OneSuspect && o.suspects[0].Seep.Part == part {
				return chance
			}
			if (o.cause == NotQuiteShut || o.cause == HandlesOn) && o.showsAt(part) {
				return 0.9
			}
			return 0
		}
		list = append(list, st)
	}
	return list
}

// cycleAt and forecast are what a point predicts under a view.
func (s *Session) cycleAt(p point, v int) *unitCycle {
	key := [3]int{p.theory, p.world, v}
	if c, ok := s.kept[key]; ok {
		return c
	}
	worlds, of := s.all, s.allOf
	c := s.cycle(&s.list[p.theory].theory, of[p.world], worlds[p.world], v)
	s.kept[key] = &c
	return &c
}

func (s *Session) forecast(p point, v int) forecast {
	return s.cycleAt(p, v).at(p.size)
}

// people says a time as people do.
func people(d time.Duration) string {
	switch {
	case d >= 90*time.Minute:
		return fmt.Sprintf("%.2g h", d.Hours())
	case d >= 2*time.Minute:
		return fmt.Sprintf("%.0f min", d.Minutes())
	}
	return fmt.Sprintf("%.0f s", d.Seconds())
}

func and(names []string) string {
	q := make([]string, len(names))
	for i, n := range names {
		q[i] = quoted(n)
	}
	if len(q) > 1 {
		return strings.Join(q[:len(q)-1], ", ") + " and " + q[len(q)-1]
	}
	return strings.Join(q, "")
}

// cautions of a step: short, beside the step they belong to.
func (s *Session) cautions(c *Choice) []string {
	var list []string
	touches := func(kind string) bool {
		for name := range c.Lineup {
			if p, ok := s.c.Rig.Part(name); ok && p.Kind() == kind && c.Lineup.Of(p) != s.base.Of(p) {
				return true
			}
		}
		return false
	}
	hose := false
	suction := false
	for _, p := range s.c.Rig.Parts() {
		switch p := p.(type) {
		case network.Hookup:
			hose = hose || c.Lineup.Of(p) == network.On()
		case network.Pump:
			suction = suction || c.Do == DoTest && !newView(s.c.Rig, c.Lineup).reachesTank(p.From)
		}
	}
	switch c.Do {
	case DoTest:
		list = append(list, "Stay beside it; do not leave it, and do not sleep on it.")
		if hose {
			list = append(list, "Hose through a regulator, no higher than the weakest part bears. First see that the tank's overflow and vent are free and lead outdoors. Hose off while chlorine or antifreeze is in the lines.")
		}
		if suction {
			list = append(list, "The suction is shut: pull the pump's fuse and try a tap first. Regulate the hose low, someone at the strainer, ten minutes at most.")
		}
		if touches("shutoff") || touches("selector") {
			list = append(list, "Heater off on gas and electric; set every valve back when done.")
		}
	case DoLook:
		p, ok := s.c.Rig.Part(c.Part)
		if _, strainer := p.(network.Strainer); ok && (strainer || p.Kind() == "pump") && c.For == Drip {
			list = append(list, "Pull the pump's fuse and try a tap. Water of the tank runs out here: shut the suction or keep a bowl under it. Parts and hands clean; flush after.")
		}
		if ok && p.Kind() == "relief valve" {
			list = append(list, "Look and do not touch: it can spit scalding water. Never plug or defeat a relief valve.")
		}
	case DoCure:
		if p, ok := s.c.Rig.Part(c.Part); ok && (p.Kind() == "fixture" || p.Kind() == "drain" || p.Kind() == "shutoff" || p.Kind() == "selector") {
			list = append(list, "Hot water scalds: heater off first where it can come out.")
		}
		if p, ok := s.c.Rig.Part(c.Part); ok && (p.Kind() == "accumulator" || p.Kind() == "heater") {
			list = append(list, "Pull the pump's fuse and try a tap. Heater off on gas and electric, cool, pressure let out through a hot tap and not by the relief lever; not on again until water runs from the hot tap.")
		}
	case DoSwap:
		list = append(list,
			"Pull the pump's fuse and try a tap: a switch on one of several panels, a relay or a phone app is not isolation; shore power off too.",
			"Heater off on gas and electric, cool, pressure let out through a hot tap and not by the relief lever; not on again until water runs from the hot tap.",
			"Parts listed for drinking water; sanitise after opening. Local codes and a licensed or certified technician have the last word.")
		if p, ok := s.c.Rig.Part(c.Part); ok && p.Kind() == "relief valve" {
			list = append(list, "Never plug or defeat a relief valve.")
		}
	}
	return list
}
