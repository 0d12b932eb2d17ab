package kernel

import "math"

// The implicit half of ARK4(3)6L[2]SA: six stages, the first explicit, order 4
// with an embedded 3, L-stable, stiffly accurate (Kennedy & Carpenter, Appl.
// Numer. Math. 44, 2003, table 8).
const (
	stages = 6
	diag   = 1.0 / 4
)

var (
	nodesC = [stages]float64{0, 1.0 / 2, 83.0 / 250, 31.0 / 50, 17.0 / 20, 1}
	tableA = [stages][stages]float64{
		{},
		{1.0 / 4, diag},
		{8611.0 / 62500, -1743.0 / 31250, diag},
		{5012029.0 / 34652500, -654441.0 / 2922500, 174375.0 / 388108, diag},
		{15267082809.0 / 155376265600, -71443401.0 / 120774400, 730878875.0 / 902184768, 2285395.0 / 8070912, diag},
		{82889.0 / 524892, 0, 15625.0 / 83664, 69875.0 / 102672, -2260.0 / 8211, diag},
	}
	embedded = [stages]float64{
		4586570599.0 / 29645900160, 0, 178811875.0 / 945068544, 814220225.0 / 1159782912, -3700637.0 / 11593932, 61727.0 / 225920,
	}
)

// step takes one step of length h from w.vol, with w.gain[0] the gains there. It
// leaves the volumes at its end in w.next, the heads and flows there in w.x and
// w.q, and returns the error as a multiple of the tolerance. It fails where Newton
// does.
func (w *Work) step(h float64) (err float64, ok bool) {
	w.Effort.Steps++
	p := w.plan
	w.kept.is = false
	if w.now.h > 0 { // a try from this start has failed or gone too far
		w.now, w.tried = w.tried, w.now
		w.now.t = w.tried.t
		copy(w.now.x[0], w.tried.x[0])
		copy(w.now.q[0], w.tried.q[0])
		w.now.h = 0
	}
	w.now.vol = append(w.now.vol[:0], w.vol...)
	iterations := w.Effort.Newton
	slip := w.slip(h)
	w.headSlip = w.tol.Slip
	defer func() { w.headSlip = headSlip }()
	if w.tight {
		slip, w.headSlip = 0, w.tol.Locate/10
	}
	for _, s := range w.active {
		if w.slow {
			w.off0[s] = w.offset(s)
		}
		w.head[s] = w.sys.Stores[s].headAt(w.vol[s], w.off0[s])
	}
	for i := 1; i < stages; i++ {
		t := w.t + nodesC[i]*h
		hg := h * diag
		for _, s := range w.active {
			b := 0.0
			for j := 0; j < i; j++ {
				b += tableA[i][j] * w.gain[j][s]
			}
			w.base[s] = h * b
		}
		if w.slow {
			w.slowStage(t, h, i)
		}
		if w.meets && i == stages-1 { // from here an event is looked for
			slip, w.headSlip = 0, w.tol.Locate/10
		}
		w.told = false
		w.predict(i, h)
		if !w.solve(hg, slip) {
			return math.Inf(1), false
		}
		copy(w.now.x[i], w.x)
		copy(w.now.q[i], w.q)
		copy(w.now.d[i], w.d)
		copy(w.now.s[i], w.s)
		w.gains(i)
		if w.slow {
			w.slowGains(i)
		}
		for k := range p.watches {
			wt := &p.watches[k]
			var v float64
			switch {
			case wt.of == heads:
				v = wt.sign*(w.x[wt.a]-w.x[wt.b]) + wt.off
			case wt.of == aFlow:
				v = wt.sign*w.q[wt.a] + wt.off
			case wt.Value == Stored:
				v = wt.Sign * (w.volumeAt(wt.S, i, h, hg) - wt.Ref)
			default:
				v = wt.value(p, w.x, w.q, nil, w.gain[i])
			}
			w.seen[k][i] = v - w.borne(wt)
		}
	}
	for s := range w.vol {
		v, e := w.vol[s], 0.0
		for i := 0; i < stages; i++ {
			b := tableA[stages-1][i]
			v += h * b * w.gain[i][s]
			e += h * (b - embedded[i]) * w.gain[i][s]
		}
		w.next[s], w.err[s] = v, e
	}
	w.now.h, w.now.e = h, w.norm(h)
	w.now.tan.known = false
	w.now.plain = w.repeats != nil && w.Effort.Newton-iterations == stages-1
	return w.now.e, true
}

// slip is the flow that a branch's law may be off by within a step of length h: a share
// of the step's tolerance, and of what a told flow may be off by, which it would hide.
func (w *Work) slip(h float64) float64 {
	return min(storeSlip*w.tolV/h, slipMost, max(storeSlip*w.plan.told, slipLeast))
}

// gains sets each store's net inflow at stage i from the flows.
func (w *Work) gains(i int) {
	w.plan.inflow(w.gain[i], w.q)
}

// inflow sets each store's net inflow from the flows.
func (p *plan) inflow(gain, q []float64) {
	clear(gain)
	for _, f := range p.inflows {
		gain[f.store] += f.sign * q[f.branch]
	}
}

// norm measures the step's error: each store's, filtered by (I − hJ)⁻¹ so that
// what the stiff links settle within the step is not counted, as volume and as
// pressure, the error of what a switch feels, and that of what all but the tanks hold
// together.
func (w *Work) norm(h float64) float64 {
	p := w.plan
	f := &p.fac
	rhs := w.rhs
	clear(rhs)
	hg := h * diag
	sum, worst := 0.0, 0.0
	for _, s := range w.active {
		st := &w.sys.Stores[s]
		if p.full[s] || st.Ghost {
			continue
		}
		rhs[p.stores[s]] += w.err[s] / hg
		if !st.Tank {
			sum += w.err[s]
		}
	}
	f.forward(rhs)
	f.back(w.dx, rhs)
	for _, s := range w.active {
		st := &w.sys.Stores[s]
		if p.full[s] || st.Ghost {
			continue
		}
		x := w.x[p.stores[s]]
		_, c := st.levelOf(x, 0)
		dx := math.Abs(w.dx[p.stores[s]])
		worst = math.Max(worst, dx*c/(exchange*w.tolV))
		if !st.Tank {
			worst = math.Max(worst, dx/w.tolP)
		}
	}
	for k := range p.watches {
		wt := &p.watches[k]
		switch {
		case wt.of == heads && wt.Switch:
			worst = math.Max(worst, math.Abs(w.dx[wt.a]-w.dx[wt.b])/w.tol.Felt)
		case wt.tells():
			b := &p.branches[wt.a]
			worst = math.Max(worst, w.g[wt.a]*math.Abs(w.dx[b.a]-w.dx[b.b])/(toldWithin*wt.Ref))
		}
	}
	return math.Max(worst, math.Abs(sum)/w.tolV)
}

// exchange is how much larger an error may be in what stores pass among each
// other, which settles again, than in what they hold together, which does not. At
// 100 a check's closing after a pump stop is met too loosely (bench30).
const exchange = 30

// toldWithin is the error of a step in a flow whose fall to a threshold is told, as a share
// of that threshold.
const toldWithin = 0.005

// slowStage sets, for stage i at time t, what temperature and creep do to the
// stores within it.
func (w *Work) slowStage(t, h float64, i int) {
	hg := h * diag
	for _, s := range w.active {
		st := &w.sys.Stores[s]
		off, extra := st.Warm.At(t), 0.0
		for m, cr := range st.Creep {
			k := w.creepAt[s] + m
			b := w.strain[k]
			for j := 0; j < i; j++ {
				b += h * tableA[i][j] * w.strainRate[j][k]
			}
			f := 1 / (1 + hg/cr.Tau)
			off += b * f
			extra += cr.C * hg / cr.Tau * f
			w.strainBase[k] = b
		}
		w.off[s], w.extra[s] = off, extra
	}
}

// slowGains sets the rates of creep at stage i.
func (w *Work) slowGains(i int) {
	for _, s := range w.active {
		st := &w.sys.Stores[s]
		for m, cr := range st.Creep {
			k := w.creepAt[s] + m
			p := w.x[w.plan.stores[s]] - st.GZ
			hg := w.h * diag
			e := w.strain[k]
			if i > 0 {
				e = (w.strainBase[k] + hg/cr.Tau*cr.C*p) / (1 + hg/cr.Tau)
			}
			w.strainRate[i][k] = (cr.C*p - e) / cr.Tau
		}
	}
}

// volumeAt is a store's volume at stage i of a step of length h, hg being h times the
// stage's weight.
func (w *Work) volumeAt(s int32, i int, h, hg float64) float64 {
	if w.plan.stores[s] >= 0 { // what the stages before brought it is known
		return w.vol[s] + w.base[s] + hg*w.gain[i][s]
	}
	v := 0.0
	for j := 0; j <= i; j++ {
		v += tableA[i][j] * w.gain[j][s]
	}
	return w.vol[s] + h*v
}
