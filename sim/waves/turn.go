package waves

import (
	"cmp"
	"fmt"
	"slices"

	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/internal/kernel"
)

// A turn is a move, made ready.
type turn struct {
	at, over float64
	form     *sim.Form
}

// turns makes the moves ready, in order of time.
func (r *Run) turns(lineup network.Lineup, faults network.Faults) error {
	moves := slices.Clone(r.opts.Moves)
	slices.SortStableFunc(moves, func(a, b Move) int { return cmp.Compare(a.At, b.At) })
	now := network.Lineup{}
	for part, set := range lineup {
		now[part] = set
	}
	for _, m := range moves {
		for part, set := range m.Lineup {
			now[part] = set
		}
		form, err := r.model.Form(now, faults, r.opts.Rig)
		if err != nil {
			return fmt.Errorf("waves: the move at %v: %w", m.At, err)
		}
		r.moves = append(r.moves, turn{m.At.Seconds(), m.Over.Seconds(), form})
	}
	return nil
}

// hands begin moves that are due, and bring openings on.
func (r *Run) hands() {
	for len(r.moves) > 0 && r.moves[0].at < r.t-1e-12 {
		r.turn(&r.moves[0])
		r.moves = r.moves[1:]
	}
	for k := 0; k < len(r.openers); k++ {
		i := r.openers[k]
		p := &r.paths[i]
		if r.t >= p.opening.ends-1e-12 {
			r.laws[i] = r.then[i]
			p.opening = nil
			r.openers = slices.Delete(r.openers, k, k+1)
			k--
			if d := p.device; d >= 0 && r.mechs[d].then != nil && !r.narrowing(d) {
				r.mechs[d].is, r.mechs[d].then = r.mechs[d].then, nil
			}
		}
		r.renew(i)
	}
}

// narrowing reports whether some path of a device still narrows.
func (r *Run) narrowing(d int32) bool {
	for _, i := range r.ways[d] {
		if o := r.paths[i].opening; o != nil && o.narrows {
			return true
		}
	}
	return false
}

// turn begins a move.
func (r *Run) turn(m *turn) {
	sys := m.form.System
	for i := range sys.Paths {
		p := &r.paths[i]
		if r.fixed[i] {
			continue
		}
		next := sys.Paths[i].Laws
		was, wide := widest(r.laws[i])
		if p.opening != nil {
			was *= p.opening.at(r.t)
		}
		will, wideThen := widest(next)
		r.then[i] = next
		if p.opening != nil {
			p.opening = nil
			r.openers = slices.DeleteFunc(r.openers, func(k int32) bool { return k == int32(i) })
		}
		if was == will || m.over <= 0 {
			r.laws[i] = next
			r.renew(int32(i))
			continue
		}
		o := &opening{begins: m.at, ends: m.at + m.over, wide: wideThen}
		most, _ := widest(next)
		if was > will {
			o.wide, o.narrows = wide, true
			most, _ = widest(r.laws[i])
		} else {
			r.laws[i] = next
		}
		o.from, o.to = was/most, will/most
		p.opening = o
		r.openers = append(r.openers, int32(i))
		r.renew(int32(i))
	}
	for d := range r.mechs {
		if r.narrowing(int32(d)) {
			r.mechs[d].then = &sys.Devices[d]
		} else {
			r.mechs[d].is, r.mechs[d].then = &sys.Devices[d], nil
		}
	}
}

// widest is the law of a path that lets most water through, by its opening.
func widest(laws []*kernel.Law) (open float64, wide *kernel.Law) {
	for _, l := range laws {
		if o := opens(l); o > open {
			open, wide = o, l
		}
	}
	return open, wide
}
