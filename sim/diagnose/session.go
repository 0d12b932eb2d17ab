package diagnose

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"quietpump/hydraulics"
	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/whatif"
)

// Options of a belief. The zero Options are the ordinary case.
type Options struct {
	Sim  sim.Options // water, altitude, levels; its span and samples are the belief's own
	Seed uint64      // of the draws of the tolerances; the same seed gives the same belief
	// NoLooks leaves looks out of the advice: nobody can get there, or see.
	NoLooks bool
}

// A Session computes a belief in slices for its caller. It is for one goroutine.
type Session struct {
	c    Case
	opts Options
	base network.Lineup // as the rig was first watched
	rigs []rigOf

	lineups []network.Lineup
	evs     []evidence
	list    []weighed

	b    *Belief
	todo []func() error // what is left, in order

	anchored map[anchorKey]anchor
	planner  *planner
	all      []*world // all worlds, and each one's rig
	allOf    []int
	kept     map[[3]int]*unitCycle
}

// A rigOf is one rig that could be the real one, with what is drawn of it.
type rigOf struct {
	rig    *network.Rig
	share  float64
	views  []*view
	knobs  []knob
	pumps  map[string]*delivery
	worlds []*world
	z      [][]float64
	model  *sim.Model
	parts  []network.Part
}

// slice is about how long one Advance works.
const slice = 2 * time.Millisecond

// Draws of the tolerances: at first, and at most.
const (
	fewDraws  = 96
	mostDraws = 4 * fewDraws
)

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

// prepare lists the theories and the evidence, and draws the worlds.
func (s *Session) prepare() error {
	left := 1.0
	for _, a := range s.c.Others {
		left -= a.Share
	}
	rigs := []rigOf{{rig: s.c.Rig, share: left}}
	for _, a := range s.c.Others {
		rigs = append(rigs, rigOf{rig: a.Rig, share: a.Share})
	}
	for _, r := range rigs {
		if r.share <= 0 {
			continue
		}
		if err := s.ready(&r); err != nil {
			return err
		}
		s.rigs = append(s.rigs, r)
	}
	for i, r := range s.c.Readings {
		v := s.view(r.Lineup)
		s.evs = append(s.evs, evidences(i, r, v, s.c.Rig, s.area)...)
		for _, j := range r.Jug {
			s.evs = append(s.evs, s.jug(i, v, j))
		}
	}
	for _, t := range theories(&s.c, s.base) {
		if t.kind != None {
			t.comesOut = comesOut(s.c.Rig, s.base, &t)
		}
		s.list = append(s.list, weighed{theory: t})
	}
	s.doneWeights()
	work := s.draw(fewDraws)
	for i := range s.list {
		if s.list[i].kind != None {
			work = append(work, func() error { s.anchorReadings(i); return nil })
		}
	}
	work = append(work, s.weighAll)
	s.then(work...)
	return nil
}

// ready prepares a rig.
func (s *Session) ready(r *rigOf) error {
	var err error
	if r.model, err = sim.Compile(r.rig); err != nil {
		return err
	}
	r.parts = r.rig.Parts()
	r.knobs = knobs(r.rig, s.base)
	r.pumps = map[string]*delivery{}
	for _, p := range r.parts {
		if p, ok := p.(network.Pump); ok {
			r.pumps[p.Name] = deliveryOf(p)
		}
	}
	if !storesGas(r.rig, s.base) {
		if p, err := cyclingPump(r.rig, s.base); err == nil {
			in, out := band(p)
			w := worldOf(r.rig, r.parts, r.knobs, make([]float64, extras+len(r.knobs)))
			tight := 0.0
			for i := range w.stores {
				tight += w.stores[i].holds(float64(out)) - w.stores[i].holds(float64(in))
			}
			r.knobs = append(r.knobs, airKnob(p.To, unit.Volume(tight), in, out))
		}
	}
	for _, l := range s.lineups {
		r.views = append(r.views, newView(r.rig, l))
	}
	return nil
}

// view returns the number of a lineup's view, made once.
func (s *Session) view(l network.Lineup) int {
	key := l.String()
	for i, o := range s.lineups {
		if o.String() == key {
			return i
		}
	}
	s.lineups = append(s.lineups, l)
	for i := range s.rigs {
		s.rigs[i].views = append(s.rigs[i].views, newView(s.rigs[i].rig, l))
	}
	return len(s.lineups) - 1
}

// area of a tank, m²; of an unknown one that of the rig's first.
func (s *Session) area(name string) float64 {
	for _, p := range s.c.Rig.Parts() {
		if t, ok := p.(network.Tank); ok && (t.Name == name || name == "") {
			return float64(t.Capacity) / float64(t.Height)
		}
	}
	return 0
}

// drawn is how many worlds are drawn in one slice.
const drawn = 16

// draw plans the drawing of n worlds, each score evenly spread over its range
// (Latin hypercube: McKay, Beckman and Conover, Technometrics 21 (1979) 239), shared
// over the rigs.
func (s *Session) draw(n int) []func() error {
	left := n
	var work []func() error
	for k := range s.rigs {
		r := &s.rigs[k]
		m := max(int(math.Round(float64(n)*r.share)), 8)
		if k == len(s.rigs)-1 {
			m = max(left, 8)
		}
		left -= m
		dim := extras + len(r.knobs)
		random := rand.New(rand.NewPCG(s.opts.Seed, uint64(k)))
		order := make([][]int, dim)
		for i := range order {
			order[i] = random.Perm(m)
		}
		r.worlds, r.z = make([]*world, m), make([][]float64, m)
		for first := 0; first < m; first += drawn {
			work = append(work, func() error {
				for d := first; d < min(first+drawn, m); d++ {
					z := make([]float64, dim)
					for i := range z {
						z[i] = distuv.UnitNormal.Quantile((float64(order[i][d]) + 0.5) / float64(m))
					}
					r.worlds[d], r.z[d] = worldOf(r.rig, r.parts, r.knobs, z), z
				}
				return nil
			})
		}
	}
	return work
}

// worlds lists all worlds, rig after rig, and for each its rig.
func (s *Session) worlds() (list []*world, of []int) {
	for k := range s.rigs {
		for _, w := range s.rigs[k].worlds {
			list, of = append(list, w), append(of, k)
		}
	}
	return list, of
}

// An anchorKey names what a simulation anchors: a theory under a lineup.
type anchorKey struct {
	theory string
	view   int
}

// An anchor is what a simulation said beside the quadrature.
type anchor struct {
	rest, run float64 // times the quadrature's
	starts    bool
	told      bool
}

// cycle is a theory's cycle in a world of rig k under view v, set right by its
// simulation.
func (s *Session) cycle(t *theory, k int, w *world, v int) unitCycle {
	r := &s.rigs[k]
	view := r.views[v]
	if len(t.leaks) == 0 {
		return unitCycle{restTimes: 1, runTimes: 1}
	}
	c := cycleOf(view, w, t, t.leaks[0], view.falls(t.leaks[0]), r.pumps)
	if len(t.leaks) == 2 {
		b := cycleOf(view, w, t, t.leaks[1], view.falls(t.leaks[1]), r.pumps)
		share := 0.15 + 0.7*w.severity
		c = pairOf(&c, &b, share)
	}
	if a, ok := s.anchored[anchorKey{t.name, v}]; ok && a.told {
		switch {
		case !a.starts:
			c.starts = false
		case c.starts:
			c.restTimes, c.runTimes = a.rest, a.run
		}
	}
	return c
}

// anchorReadings simulates a theory under each lineup that was watched.
func (s *Session) anchorReadings(i int) {
	seen := map[int]bool{}
	for _, e := range s.evs {
		if !seen[e.view] {
			seen[e.view] = true
			s.anchorOne(&s.list[i].theory, e.view, s.sizeGuess(&s.list[i].theory))
		}
	}
}

// sizeGuess is a size from the first reading that tells one, in the middle world.
func (s *Session) sizeGuess(t *theory) float64 {
	w := s.middle(0)
	for _, e := range s.evs {
		if e.size == nil {
			continue
		}
		c := s.cycle(t, 0, w, e.view)
		if size, _ := e.size(w, &c); size > 0 {
			return min(max(size, t.low), t.high)
		}
	}
	return math.Sqrt(t.low * t.high)
}

// middle is the world of a rig with every score in its middle.
func (s *Session) middle(k int) *world {
	r := &s.rigs[k]
	return worldOf(r.rig, r.parts, r.knobs, make([]float64, extras+len(r.knobs)))
}

// anchorOne simulates a theory of a size under a lineup on the middle rig, and
// keeps what the simulator says beside the quadrature. Causes that are no fault
// of the simulator's stay with the quadrature.
func (s *Session) anchorOne(t *theory, v int, size float64) {
	key := anchorKey{t.name, v}
	if _, done := s.anchored[key]; done || t.flat || t.twist != (twist{}) || len(t.leaks) != 1 {
		return
	}
	w := s.middle(0)
	c := s.cycle(t, 0, w, v)
	r := &s.rigs[0]
	view := r.views[v]
	if !c.starts || !view.runs || !view.suction {
		return
	}
	f := c.at(size)
	if math.IsInf(f.run, 1) {
		size /= 4
		f = c.at(size)
	}
	a := anchor{rest: 1, run: 1, starts: true}
	faults := s.faults(t, size, w)
	horizon := 10*f.rest + 60
	got, err := whatif.FirstCycle(r.model, view.lineup, faults, s.opts.Sim, time.Duration(horizon*float64(time.Second)))
	switch {
	case errors.Is(err, whatif.ErrNoStart):
		a.told, a.starts = true, false
	case err == nil:
		a.told = true
		a.rest, a.run = got.Rest/f.rest, got.Run/f.run
		if !(a.run > 0.2 && a.run < 5) {
			a.run = 1
		}
	}
	s.anchored[key] = a
}

// faults are a theory of a size as the simulator has it.
func (s *Session) faults(t *theory, size float64, w *world) network.Faults {
	var list network.Faults
	share := 1 / float64(max(len(t.leaks), 1))
	for _, l := range t.leaks {
		seep := l.seep
		seep.Seep = hydraulics.Seep{Ref: unit.Flow(size * share), At: sizeAt, Exp: w.exponent}
		list = append(list, seep)
	}
	list = append(list, w.faults...)
	in, out, _ := w.bandUnder(t)
	for _, p := range s.c.Rig.Parts() {
		switch p := p.(type) {
		case network.Accumulator:
			if t.twist.charge {
				list = append(list, network.LostCharge{Part: p.Name, Precharge: unit.Pressure(0.35 * float64(p.Precharge))})
			}
		case network.Pump:
			if t.twist.slow {
				list = append(list, network.SlowPump{Part: p.Name, Speed: 0.5})
			}
			if t.twist.span {
				list = append(list, network.DriftedSwitch{Part: p.Name, CutIn: unit.Pressure(in), CutOut: unit.Pressure(out)})
			}
		}
	}
	if t.twist.air && len(t.leaks) > 0 {
		list = append(list, network.TrappedAir{Joint: t.leaks[0].joint, Volume: 0.45 * unit.Litre})
	}
	if !s.simulable(list) {
		return nil
	}
	return list
}

func (s *Session) simulable(list network.Faults) bool { return s.c.Rig.CheckFaults(list) == nil }

// jug is the time to fill a vessel at a full tap: it measures the pump.
func (s *Session) jug(i, v int, j Jug) evidence {
	read := j.Time.Value.Seconds()
	sd := j.Time.SD.Seconds()
	if sd == 0 {
		sd = math.Sqrt2 * Press
	}
	sd = math.Hypot(sd, cupSD*read)
	flow := math.NaN()
	if lineup, ok := s.tapOpen(j.Tap, s.lineups[v]); ok {
		pumps := map[string]bool{}
		if p, err := cyclingPump(s.c.Rig, lineup); err == nil {
			pumps[p.Name] = true
		}
		o := s.opts.Sim
		o.Start.Pumps = pumps
		if still, err := s.rigs[0].model.Steady(lineup, nil, o); err == nil {
			for name := range pumps {
				if q, ok := still.Flow(name); ok {
					flow = float64(q)
				}
			}
		}
	}
	pump, _ := cyclingPump(s.c.Rig, s.base)
	return evidence{reading: i, view: v, what: fmt.Sprintf("%s in %s at a full tap", unit.US.Format(j.Volume, 2), short(read)),
		likely: func(w *world, t *theory, c *unitCycle, f *forecast) float64 {
			if !(flow > 0) {
				return 1
			}
			scale := 1.0
			if x, ok := w.pumps[pump.Name]; ok {
				scale = x.scale
			}
			if t.twist.slow {
				scale *= 0.3 + 0.4*w.severity
			}
			return blend(density(read, float64(j.Volume)/(flow*scale), sd), wideOf(read, sd))
		}}
}

// tapOpen is a lineup with a tap open.
func (s *Session) tapOpen(tap string, l network.Lineup) (network.Lineup, bool) {
	out := network.Lineup{}
	for k, x := range l {
		out[k] = x
	}
	for _, p := range s.c.Rig.Parts() {
		if p.Kind() == "fixture" && (tap == "" || p.ID() == tap) {
			out[p.ID()] = network.Open(1)
			return out, true
		}
	}
	return nil, false
}

// comesOut lists where a theory's water would be seen: what it meets after the
// part that lets it by, and where it leaves.
func comesOut(rig *network.Rig, base network.Lineup, t *theory) []string {
	var list []string
	add := func(name string) {
		if name != "" && !slices.Contains(list, name) {
			list = append(list, name)
		}
	}
	for _, s := range t.suspects {
		for _, path := range rig.EscapePaths(base) {
			if seepKey(path.Suspect.Seep) != seepKey(s.Seep) || s.Role == network.WeepConnections {
				continue
			}
			after := false
			for _, name := range path.Parts {
				if after {
					add(name)
				}
				after = after || name == s.Seep.Part
			}
			if path.To != network.ToFreshTank {
				add(path.Where)
			}
			if path.To == network.ToGround || path.To == network.ToBellyPan || path.To == network.ToHose {
				add(string(path.To))
			}
		}
	}
	return list
}

// doneWeights takes into account what happened after what was done: a part that
// was swapped or cured and left the trouble as it was is hardly at fault.
func (s *Session) doneWeights() {
	for _, d := range s.c.Done {
		for i := range s.list {
			x := &s.list[i]
			switch {
			case !x.mendedBy(d):
			case d.After == Same:
				x.prior *= x.survives(d)
			case d.After == Quiet && d.Before == len(s.c.Readings):
				x.prior /= survivesSwap
			}
		}
	}
}

// halves is what is left of a pair's prior after what was done: all of it unless
// both halves were swapped and nothing changed.
func (s *Session) halves(a, b *theory) float64 {
	left := [2]float64{1, 1}
	for _, d := range s.c.Done {
		for k, t := range [...]*theory{a, b} {
			if d.Do == DoSwap && d.After == Same && t.mendedBy(d) {
				left[k] = survivesSwap
			}
		}
	}
	return max(left[0], left[1])
}

// What is left of a fault after a swap, and after a cure: a new part that is bad
// too, a cure that did not take. Common practice, no source.
const (
	survivesSwap = 0.03
	survivesCure = 0.7
)

func (t *theory) mendedBy(d Done) bool {
	return slices.ContainsFunc(t.remedy, func(r remedy) bool {
		return r.part == d.Part && d.Part != "" && (r.do == d.Do || t.kind == OneSuspect && t.suspects[0].Role != network.WeepConnections)
	})
}

func (t *theory) survives(d Done) float64 {
	if d.Do == DoCure && t.kind == OneSuspect {
		return survivesCure
	}
	return survivesSwap
}

// mended is the chance that a theory's fault was gone by a reading.
func (s *Session) mended(t *theory, reading int) float64 {
	left := 1.0
	for _, d := range s.c.Done {
		if d.Before <= reading && d.After != Same && t.mendedBy(d) && len(t.leaks) < 2 {
			left *= t.survives(d)
		}
	}
	return 1 - left
}
