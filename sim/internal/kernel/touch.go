package kernel

import "math"

// touch finds the tangent of a stride of the present mode.
func (w *Work) touch(s *stride) {
	p, tan := w.plan, &s.tan
	tan.fit(w)
	c := &w.contact
	c.fit(w)
	for i := range stages {
		p.inflow(c.gain[i], s.q[i])
		c.assemble(w, s, i)
		c.limit(w, s, i)
		weight := s.h * tableA[stages-1][i]
		add1(tan.as.moved, s.q[i], weight)
		add1(tan.as.rise, c.gain[i], weight)
		for k := range w.active {
			// The store's own water, and what the stages before have brought to all.
			clear(w.rhs)
			for l, st := range w.active {
				more := 0.0
				if l == k {
					more = 1
				}
				for j := range i {
					more += s.h * tableA[i][j] * c.byGain[j][k][st]
				}
				w.rhs[p.stores[st]] += more * w.stiff[st] / c.stretch[st]
			}
			p.fac.forward(w.rhs)
			p.fac.back(w.dx, w.rhs)
			for j := range p.branches {
				b := &p.branches[j]
				w.dq[j] = w.g[j] * (w.dx[b.a] - w.dx[b.b])
			}
			p.inflow(c.byGain[i][k], w.dq)
			tan.reach[k] = max(tan.reach[k], c.strain(w, s, i, k))
			a := &tan.by[k]
			add1(a.moved, w.dq, weight)
			add1(a.rise, c.byGain[i][k], weight)
			if i == stages-1 {
				copy(a.x, w.dx)
				copy(a.q, w.dq)
				copy(a.gain, c.byGain[i][k])
				copy(a.seen, c.byValue)
			}
		}
	}
	copy(tan.as.gain, c.gain[stages-1])
	copy(tan.as.x, s.x[stages-1])
	copy(tan.as.q, s.q[stages-1])
	copy(tan.as.seen, c.value)
	tan.known = true
}

// contact is the room in which a tangent is found: a stride's laws at one stage, and
// how far flows, heads and watches may go from there.
type contact struct {
	gain           [stages][]float64   // net inflow by store
	byGain         [stages][][]float64 // its answer, by active store
	vol            []float64           // by store, at the stage
	stretch        []float64           // compliance by store
	value, byValue []float64           // by watch, and its answer
	flow           []float64           // by branch: one over how far its flow may go, s/m³
	head           []float64           // by gas: one over how far its head may, 1/Pa
	near           []float64           // by watch: one over how far its value may
	x, q           []float64           // a little way off

	about, drop, more, less []float64 // by branch: how far off laws are looked at, and their slopes there
}

func (c *contact) fit(w *Work) {
	n, ns := len(w.active), len(w.vol)
	for i := range stages {
		c.gain[i] = grown(c.gain[i], ns)
		for len(c.byGain[i]) < n {
			c.byGain[i] = append(c.byGain[i], nil)
		}
		for k := range n {
			c.byGain[i][k] = grown(c.byGain[i][k], ns)
		}
	}
	c.vol, c.stretch = grown(c.vol, ns), grown(c.stretch, ns)
	c.flow, c.head = grown(c.flow, len(w.q)), grown(c.head, len(w.gases))
	c.x = grown(c.x, len(w.x))
	for _, s := range []*[]float64{&c.q, &c.about, &c.drop, &c.more, &c.less} {
		*s = grown(*s, len(w.q))
	}
	n = len(w.seen)
	c.value, c.byValue, c.near = grown(c.value, n), grown(c.byValue, n), grown(c.near, n)
}

// assemble makes the factor of stage i of stride s, its laws' slopes in w.g turned over.
func (c *contact) assemble(w *Work, s *stride, i int) {
	p := w.plan
	f := &p.fac
	clear(f.all)
	if i == 0 { // where no stage was solved
		p.evaluate(s.q[0], s.d[0], s.s[0])
	}
	for j := range p.branches {
		b := &p.branches[j]
		w.g[j] = 1 / s.s[i][j]
		f.up[b.slot] += w.g[j]
	}
	for _, j := range p.outs {
		f.sur[p.branches[j].a] += w.g[j]
	}
	for _, st := range w.active {
		k := p.stores[st]
		_, c.stretch[st] = w.sys.Stores[st].levelOf(s.x[i][k], 0)
		w.stiff[st] = holds
		if i > 0 {
			w.stiff[st] = c.stretch[st] / (s.h * diag)
		}
		f.sur[k] += w.stiff[st]
	}
	clear(w.rhs)
	f.eliminate(w.rhs)
}

// limit says how far flows, heads and watches may go from stage i of stride s.
func (c *contact) limit(w *Work, s *stride, i int) {
	p := w.plan
	slip := w.slip(s.h)
	for j, q := range s.q[i] {
		c.about[j] = max(math.Abs(q)/50, slip)
		c.q[j] = q + c.about[j]
	}
	p.evaluate(c.q, c.drop, c.more)
	for j, q := range s.q[i] {
		c.q[j] = q - c.about[j]
	}
	p.evaluate(c.q, c.drop, c.less)
	for j := range p.branches {
		b, about, here := &p.branches[j], c.about[j], s.s[i][j]
		c.flow[j] = 0
		if b.law == nil && b.kap == 0 && math.Abs(s.q[i][j])+about < b.calm {
			continue // straight
		}
		bend := max(math.Abs(c.more[j]-here), math.Abs(c.less[j]-here)) / about
		c.flow[j] = max(1/about, math.Sqrt(bend/(2*max(w.tol.Slip, slip*here))))
	}
	for n, st := range w.gases {
		k := p.stores[st]
		x := s.x[i][k]
		const about = 100 // Pa
		_, more := w.sys.Stores[st].levelOf(x+about, 0)
		c.head[n] = max(1e-3, math.Sqrt(math.Abs(more-c.stretch[st])/(2*storeSlip*w.tolV*about)))
	}
	copy(c.vol, s.vol)
	for j := range i + 1 {
		add1(c.vol, c.gain[j], s.h*tableA[i][j])
	}
	for k := range p.watches {
		c.value[k] = p.watches[k].value(p, s.x[i], s.q[i], c.vol, c.gain[i])
		c.near[k] = math.Inf(1)
		if v := c.value[k]; v < 0 {
			c.near[k] = -2 / v
		}
	}
}

// strain is by what share of what can be borne the answer of stage i to active store k,
// in w.dx and w.dq, goes for a cubic metre of its water. It leaves the watches' answers in
// c.byValue.
func (c *contact) strain(w *Work, s *stride, i, k int) float64 {
	p := w.plan
	most := 0.0
	flow := c.flow[:len(w.dq)]
	for j, dq := range w.dq {
		if v := math.Abs(dq) * flow[j]; v > most {
			most = v
		}
	}
	for n, st := range w.gases {
		most = max(most, math.Abs(w.dx[p.stores[st]])*c.head[n])
	}
	if i == 0 {
		return most
	}
	for l := range p.watches {
		wt := &p.watches[l]
		var dv float64
		switch {
		case wt.of == heads:
			dv = wt.sign * (w.dx[wt.a] - w.dx[wt.b])
		case wt.of == aFlow:
			dv = wt.sign * w.dq[wt.a]
		case wt.Value == Stored:
			dv = wt.Sign * c.gained(w, s.h, i, k, wt.S)
		case wt.Value == Gain:
			dv = wt.Sign * c.byGain[i][k][wt.S]
		default:
			little := w.tolV // m³
			copy(c.x, s.x[i])
			copy(c.q, s.q[i])
			add1(c.x, w.dx, little)
			add1(c.q, w.dq, little)
			dv = (wt.value(p, c.x, c.q, nil, nil) - c.value[l]) / little
		}
		c.byValue[l] = dv
		if dv != 0 {
			most = max(most, math.Abs(dv)*c.near[l])
		}
	}
	return most
}

// gained is what store s holds more at stage i of a step of length h for each cubic metre more in active store k.
func (c *contact) gained(w *Work, h float64, i, k int, s int32) float64 {
	v := 0.0
	if s == w.active[k] {
		v = 1
	}
	for j := range i + 1 {
		v += h * tableA[i][j] * c.byGain[j][k][s]
	}
	return v
}
