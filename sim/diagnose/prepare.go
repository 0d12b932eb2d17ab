package diagnose

import (
	"math"
	"math/rand/v2"
	"slices"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/network/tolerance"
	"quietpump/sim"
)

// A rigOf is one rig that could be the real one, with what is drawn of it.
type rigOf struct {
	rig   *network.Rig
	share float64
	views []*view
	pumps map[string]*delivery
	model *sim.Model

	unknowns []tolerance.Unknown
	air      hiddenAir
	middle   *world // every score in its middle
}

// Draws of the tolerances: at first, and at most.
const (
	fewDraws  = 96
	mostDraws = 4 * fewDraws
)

// prepare lists the theories and the evidence, and draws the worlds.
func (s *Session) prepare() error {
	if s.opts.Like == nil || !s.recall(s.opts.Like) {
		if err := s.readyAll(); err != nil {
			return err
		}
	}
	for i, r := range s.c.Readings {
		v := s.view(r.Lineup)
		s.evs = append(s.evs, evidences(i, r, v, s.c.Rig, s.area)...)
		for _, j := range r.Jug {
			s.evs = append(s.evs, s.jug(i, v, j))
		}
	}
	paths := s.c.Rig.EscapePaths(s.base)
	for _, t := range theories(&s.c, s.base, paths) {
		t.id = s.id(t.name)
		if t.kind != None {
			t.comesOut = comesOut(paths, &t)
		}
		s.list = append(s.list, weighed{theory: t})
	}
	s.doneWeights()
	s.weigher = newWeigher(s.evs)
	work := s.draw(fewDraws)
	for i := range s.list {
		work = append(work, func() error { s.anchorReadings(&s.list[i].theory); return nil })
	}
	work = append(work, s.weighAll)
	s.then(work...)
	return nil
}

// readyAll prepares the rigs that could be the real one.
func (s *Session) readyAll() error {
	s.memory = &memory{stood: s.base.String(), ids: map[string]int{}, simulated: map[simulatedKey]anchor{}}
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
		r.middle.of = len(s.rigs)
		s.rigs = append(s.rigs, r)
	}
	return nil
}

// ready prepares a rig.
func (s *Session) ready(r *rigOf) error {
	var err error
	if r.model, err = sim.Compile(r.rig); err != nil {
		return err
	}
	r.unknowns = tolerance.InCycle(r.rig)
	if r.middle, err = worldOf(r, make([]float64, extras+len(r.unknowns))); err != nil {
		return err
	}
	r.pumps = map[string]*delivery{}
	for _, p := range r.rig.Parts() {
		if p, ok := p.(network.Pump); ok {
			r.pumps[p.Name] = deliveryOf(p)
		}
	}
	if !storesGas(r.rig, s.base) {
		if p, err := cyclingPump(r.rig, s.base); err == nil {
			in, out := band(p)
			tight := 0.0
			for i := range r.middle.stores {
				tight += r.middle.stores[i].holds(float64(out)) - r.middle.stores[i].holds(float64(in))
			}
			r.air = hiddenAirAt(p.To, unit.Volume(tight), in, out)
			if r.middle, err = worldOf(r, make([]float64, extras+len(r.unknowns))); err != nil {
				return err
			}
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
const drawn = 8

// draw plans the drawing of another n worlds, each score evenly spread over its
// range (Latin hypercube: McKay, Beckman and Conover, Technometrics 21 (1979) 239),
// shared over the rigs. What was drawn before stays as it is.
func (s *Session) draw(n int) []func() error {
	block := 0
	if n := len(s.all); n > 0 {
		block = 1 + slices.Index(s.blocks, n)
	}
	if block < len(s.blocks) { // drawn for an earlier session
		s.all = s.drawn[:s.blocks[block]]
		return nil
	}
	left := n
	var work []func() error
	for k := range s.rigs {
		r := &s.rigs[k]
		m := max(int(math.Round(float64(n)*r.share)), 8)
		if k == len(s.rigs)-1 {
			m = max(left, 8)
		}
		left -= m
		dim := extras + len(r.unknowns)
		random := rand.New(rand.NewPCG(s.opts.Seed+uint64(block), uint64(k)))
		order := make([][]int, dim)
		for i := range order {
			order[i] = random.Perm(m)
		}
		for first := 0; first < m; first += drawn {
			work = append(work, func() error {
				for d := first; d < min(first+drawn, m); d++ {
					z := make([]float64, dim)
					for i := range z {
						z[i] = normalQuantile((float64(order[i][d]) + 0.5) / float64(m))
					}
					w, err := worldOf(r, z)
					if err != nil {
						return err
					}
					w.of = k
					s.drawn = append(s.drawn, w)
				}
				return nil
			})
		}
	}
	return append(work, func() error {
		s.blocks = append(s.blocks, len(s.drawn))
		s.all = s.drawn
		return nil
	})
}

// comesOut lists where a theory's water would be seen: what it meets after the
// part that lets it by, and where it leaves.
func comesOut(paths []network.EscapePath, t *theory) []string {
	var list []string
	add := func(name string) {
		if name != "" && !slices.Contains(list, name) {
			list = append(list, name)
		}
	}
	for _, s := range t.suspects {
		for _, path := range paths {
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
