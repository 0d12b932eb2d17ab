package waves

import (
	"math"

	"quietpump/sim/internal/kernel"
)

// A node is a joint, or a place inside a part, where tubes end and paths meet.
type node struct {
	x      float64 // head, Pa
	gz     float64
	held   bool    // by a tank, at its level
	hub    int32   // -1: held
	row    int32   // in its hub's equations
	g      float64 // Σ 1/B of the tubes that end here, m³/(s·Pa)
	c      float64 // Σ of what arrives by them over B, m³/s
	cavity float64 // vapour, m³
	boils  bool    // held at the head of boiling water in the present solution
}

// A hub is a set of nodes that paths connect, with all that hangs on them: what has
// to be solved together at each step.
type hub struct {
	nodes, paths, vessels []int32
	plain                 bool // one node at which tubes meet and nothing else
	missed                bool // its last solution was not met
	a                     []float64
	f                     []float64
}

// Tolerances of a hub's solution: by how much a law may miss its head, Pa, and a node
// its balance, m³/s; and what holds a head that no equation decides, m³/(s·Pa).
const (
	slip = 1e-7
	drip = 1e-16
	hold = 1e-22
	// trickle is what has to run into a node that boils before it is thought to fill,
	// m³/s: where a law is flat, flows are known no better than that.
	trickle = 1e-9
)

const mostRounds = 60

// solve finds heads and flows of a hub at the end of a step: every node's flows
// balance, every path meets its law, vessels and cavities hold what has run into
// them. Newton's iteration in heads with the flows eliminated, as the kernel does it.
func (r *Run) solve(h *hub) {
	if h.plain {
		n := &r.nodes[h.nodes[0]]
		n.x = math.Max((n.c-n.cavity/r.field.dt)/n.g, r.field.vapour+n.gz)
		n.boils = n.x <= r.field.vapour+n.gz
		return
	}
	for _, i := range h.nodes {
		r.nodes[i].boils = r.nodes[i].cavity > 0
	}
	// Cavities open and close, and bladders, until each is on its own side. One opens at a
	// time, where the water is farthest beyond boiling: the others, joined to it by wide ways,
	// may then have no need to, and held at heads of their own would send a river between them.
	for range 2*len(h.nodes) + len(h.vessels) + 2 {
		r.newton(h)
		changed := false
		for _, k := range h.vessels {
			v := &r.vessels[k]
			changed = !v.rests(r.nodes[v.node].x) || changed
		}
		lowest, opens := -slip, (*node)(nil)
		for k, i := range h.nodes {
			n := &r.nodes[i]
			boiling := r.field.vapour + n.gz
			switch {
			case !n.boils && n.x-boiling < lowest:
				lowest, opens = n.x-boiling, n
			case n.boils && r.left(h, k) < -trickle*r.field.dt:
				n.boils, changed = false, true
			}
		}
		if opens != nil {
			opens.boils, changed = true, true
		}
		if !changed {
			return
		}
	}
	h.missed = true
}

// left is the vapour at the k-th node of a hub that boils, once the step has passed.
func (r *Run) left(h *hub, k int) float64 {
	n := &r.nodes[h.nodes[k]]
	return n.cavity - r.field.dt*r.surplus(h, h.nodes[k])
}

// surplus is what runs into a node beyond what runs out.
func (r *Run) surplus(h *hub, i int32) float64 {
	n := &r.nodes[i]
	sum := n.c - n.g*n.x
	for _, p := range h.paths {
		w := &r.paths[p]
		if w.a == i {
			sum -= w.q
		}
		if w.b == i {
			sum += w.q
		}
	}
	for _, k := range h.vessels {
		if v := &r.vessels[k]; v.node == i {
			held, _ := v.water(n.x)
			sum -= (held - v.held) / r.field.dt
		}
	}
	return sum
}

func (r *Run) newton(h *hub) {
	n := len(h.nodes)
	dt := r.field.dt
	h.missed = false
	for _, i := range h.nodes {
		if r.nodes[i].boils {
			r.nodes[i].x = r.field.vapour + r.nodes[i].gz
		}
	}
	for round := range mostRounds {
		a, f := h.a, h.f
		clear(a)
		clear(f)
		worst := 0.0
		for k, i := range h.nodes {
			u := &r.nodes[i]
			a[k*n+k] = u.g + hold
			f[k] = u.c - u.g*u.x - u.cavity/dt
		}
		for _, k := range h.vessels {
			v := &r.vessels[k]
			u := &r.nodes[v.node]
			held, slope := v.water(u.x)
			f[u.row] -= (held - v.held) / dt
			a[int(u.row)*n+int(u.row)] += slope / dt
		}
		for _, k := range h.paths {
			worst = math.Max(worst, math.Abs(r.lay(h, &r.paths[k])))
		}
		for k, i := range h.nodes {
			if r.nodes[i].boils {
				clear(a[k*n : k*n+n])
				a[k*n+k], f[k] = 1, 0
				continue
			}
			worst = math.Max(worst, (math.Abs(f[k])-drip)/a[k*n+k])
		}
		if round > 0 && worst < slip {
			return
		}
		eliminate(a, f, n)
		wild := false
		// Gas squeezed to nothing gives no hint of the way back: its pressure is at most
		// doubled or halved in a round.
		for _, k := range h.vessels {
			v := &r.vessels[k]
			if !v.gas || v.empty {
				continue
			}
			u := &r.nodes[v.node]
			p := math.Max(u.x-v.gz, leastGas)
			if d := f[u.row]; d > p || d < -p/2 {
				f[u.row] = math.Max(-p/2, math.Min(p, d))
			}
		}
		for _, k := range h.paths {
			p := &r.paths[k]
			if p.law == nil {
				continue
			}
			da, db := r.step(p.a, f), r.step(p.b, f)
			if p.law.Form == kernel.Held {
				p.q = p.to - p.y*db
				continue
			}
			q := p.to + p.y*(da-db)
			// A law that is flat at rest sends the first guess out of all bounds.
			if most := math.Max(4*math.Abs(p.q), 2e-5); math.Abs(q-p.q) > most && math.Abs(q) > 1e-3 {
				q = p.q + math.Copysign(most, q-p.q)
				wild = true
			}
			p.q = q
		}
		most := math.Inf(1)
		if wild {
			most = 1e5
		}
		for k, i := range h.nodes {
			u := &r.nodes[i]
			d := math.Max(-most, math.Min(most, f[k]))
			u.x += d
		}
		r.effort++
	}
	h.missed = true
}

// step is by how much the head of a node changes in this round.
func (r *Run) step(i int32, f []float64) float64 {
	if i < 0 || r.nodes[i].held {
		return 0
	}
	return f[r.nodes[i].row]
}

// lay puts a path into its hub's equations, linearised at its flow, and returns by
// how much it misses its law, Pa.
func (r *Run) lay(h *hub, p *path) (miss float64) {
	if p.law == nil {
		p.q, p.to, p.y = 0, 0, 0
		return 0
	}
	n := len(h.nodes)
	xa, xb := r.nodes[p.a].x, p.xb
	ra, rb := -1, -1
	if !r.nodes[p.a].held {
		ra = int(r.nodes[p.a].row)
	}
	if p.b >= 0 {
		xb = r.nodes[p.b].x
		if !r.nodes[p.b].held {
			rb = int(r.nodes[p.b].row)
		}
	}
	if p.law.Form == kernel.Held { // q = (−Off − x_B)/Lam, whatever x_A is
		p.y = 1 / p.law.Lam
		p.to = (-p.law.Off - xb) * p.y
		miss = (p.to - p.q) / p.y
		if ra >= 0 {
			h.f[ra] -= p.to
			if rb >= 0 {
				h.a[ra*n+rb] -= p.y
			}
		}
		if rb >= 0 {
			h.f[rb] += p.to
			h.a[rb*n+rb] += p.y
		}
		return miss
	}
	d, s := p.drop(p.q)
	p.y = 1 / s
	miss = xa - xb - d
	p.to = p.q + p.y*miss
	if ra >= 0 {
		h.f[ra] -= p.to
		h.a[ra*n+ra] += p.y
		if rb >= 0 {
			h.a[ra*n+rb] -= p.y
		}
	}
	if rb >= 0 {
		h.f[rb] += p.to
		h.a[rb*n+rb] += p.y
		if ra >= 0 {
			h.a[rb*n+ra] -= p.y
		}
	}
	return miss
}

// eliminate solves a·d = f in place by Gauss, with the largest pivot of each column.
func eliminate(a, f []float64, n int) {
	for k := range n {
		at := k
		for i := k + 1; i < n; i++ {
			if math.Abs(a[i*n+k]) > math.Abs(a[at*n+k]) {
				at = i
			}
		}
		if a[at*n+k] == 0 {
			continue
		}
		if at != k {
			for j := k; j < n; j++ {
				a[at*n+j], a[k*n+j] = a[k*n+j], a[at*n+j]
			}
			f[at], f[k] = f[k], f[at]
		}
		for i := k + 1; i < n; i++ {
			m := a[i*n+k] / a[k*n+k]
			if m == 0 {
				continue
			}
			for j := k; j < n; j++ {
				a[i*n+j] -= m * a[k*n+j]
			}
			f[i] -= m * f[k]
		}
	}
	for k := n - 1; k >= 0; k-- {
		if a[k*n+k] == 0 {
			f[k] = 0
			continue
		}
		for j := k + 1; j < n; j++ {
			f[k] -= a[k*n+j] * f[j]
		}
		f[k] /= a[k*n+k]
	}
}
