package kernel

import "math"

// firstFlow is where Newton starts on a branch that carried nothing: at rest the
// slope of a turbulent law is near zero and the first step would be wild.
const firstFlow = 2e-5

// limits of one Newton solve.
const (
	newtonCap = 30
	headSlip  = 1e-7  // Pa: a law met this closely moves no head by more
	flowSlip  = 1e-12 // of the largest flow …
	flowFloor = 1e-17 // … plus this, m³/s
	storeSlip = 1e-3  // of the step's volume tolerance
)

// A level is what a store holds at a head, linearised around it.
type level struct {
	head, vol, slope float64
}

// levelOf returns the store's volume and compliance at head x, off being the
// volume that does not depend on it.
func (st *Store) levelOf(x, off float64) (vol, c float64) {
	if st.Kind == Linear {
		return st.C*(x-st.GZ) + off, st.C
	}
	p := x - st.GZ
	const floor = 2e3 // Pa absolute: below it the law goes on straight
	if p < floor {
		v := st.K * math.Pow(floor, -st.InvN)
		c = st.InvN * v / floor
		return st.V0 - v + c*(p-floor), c
	}
	if st.InvN == 1 {
		v := st.K / p
		return st.V0 - v, v / p
	}
	v := st.K * math.Pow(p, -st.InvN)
	return st.V0 - v, st.InvN * v / p
}

// headAt inverts levelOf.
func (st *Store) headAt(vol, off float64) float64 {
	if st.Kind == Linear {
		return (vol-off)/st.C + st.GZ
	}
	g := st.V0 - vol
	const floor = 2e3
	v := st.K * math.Pow(floor, -st.InvN)
	if g >= v {
		return st.GZ + floor - (g-v)*floor/(st.InvN*v)
	}
	if st.InvN == 1 {
		return st.K/g + st.GZ
	}
	return math.Pow(st.K/g, 1/st.InvN) + st.GZ
}

// evaluate fills the laws' drops and inverse slopes at the flows in w.q.
func (w *Work) evaluate() {
	p := w.plan
	q, d, g := w.q, w.d, w.g
	for j, l := range p.laws {
		f := q[j]
		af := math.Abs(f)
		slope := l.Lam + 2*l.Kap*af
		drop := l.Off + f*(l.Lam+l.Kap*af)
		for i := range l.Friction {
			t := &l.Friction[i]
			u := t.R * af
			if u < 1 {
				drop += 64 * laminar * t.F * t.R * f
				slope += 64 * laminar * t.F * t.R
				continue
			}
			phi, dphi := t.Table.at(u)
			drop += math.Copysign(t.F*phi, f)
			slope += t.F * t.R * dphi
		}
		if l.Pow != 0 || l.Curve != nil {
			drop, slope = l.Drop(f)
		}
		d[j], g[j] = drop, 1/slope
	}
}

// solve finds heads and flows with every store at V = base + hg·gain, hg being
// the step's length times the stage's weight. It starts from w.x and w.q with
// w.d and w.g evaluated there, and leaves them so. With hg = 0 the stores of the
// plan take no flow unless they are tanks, whose heads are held.
func (w *Work) solve(hg float64) bool {
	p := w.plan
	f := &p.fac
	rhs := w.rhs
	for iter := 0; iter < newtonCap; iter++ {
		w.Effort.Newton++
		for i := range rhs {
			rhs[i] = 0
		}
		for i := range f.sur {
			f.sur[i] = 0
		}
		for i := range f.up {
			f.up[i] = 0
		}
		for i := range f.low {
			f.low[i] = 0
		}
		// Stores: surplus C/hg, and what their balance lacks.
		for _, s := range w.active {
			st := &w.sys.Stores[s]
			k := p.stores[s]
			x := w.x[k]
			if p.full[s] || hg == 0 {
				c := faint
				if p.full[s] || st.Tank {
					c = holds
				}
				f.sur[k] += c
				rhs[k] += c * (w.head[s] - x)
				continue
			}
			vol, c := st.levelOf(x, w.off[s])
			c += w.extra[s]
			vol += w.extra[s] * (x - st.GZ)
			f.sur[k] += c / hg
			rhs[k] -= (vol - w.base[s]) / hg
			w.lin[s] = level{x, vol, c}
		}
		if hg != 0 {
			for _, fd := range p.feed {
				if k := p.stores[fd.store]; k >= 0 && !p.full[fd.store] {
					rhs[k] += w.q[fd.branch] // lagged: a tank hardly feels it
				}
			}
		}
		// Branches: q' = q + g·(δa − δb + r), r what the law lacks.
		if f.low == nil {
			for j := range p.branches {
				b := &p.branches[j]
				g := w.g[j]
				r := w.x[b.a] + b.fix - w.d[j]
				if b.b >= 0 {
					r -= w.x[b.b]
					f.up[b.slot] += g
					t := w.q[j] + g*r
					rhs[b.a] -= t
					rhs[b.b] += t
				} else {
					f.sur[b.a] += g
					rhs[b.a] -= w.q[j] + g*r
				}
				w.r[j] = r
			}
		} else {
			w.assembleOneSided(f)
		}
		f.eliminate(rhs)
		w.Effort.Factorisations++
		f.back(w.dx, rhs)
		for k, d := range w.dx {
			w.x[k] += d
		}
		qmax := 0.0
		for j := range p.branches {
			b := &p.branches[j]
			t := w.r[j]
			switch form := p.laws[j].Form; form {
			case Held:
				t -= w.dx[b.b]
			case Fed:
				t += w.dx[b.a]
			default:
				t += w.dx[b.a]
				if b.b >= 0 {
					t -= w.dx[b.b]
				}
			}
			w.dq[j] = w.g[j] * t
			w.q[j] += w.dq[j]
			qmax = math.Max(qmax, math.Abs(w.q[j]))
		}
		// What is left is the laws' own bend.
		copy(w.dWas, w.d)
		copy(w.gWas, w.g)
		w.evaluate()
		if w.close(hg, qmax) {
			return true
		}
	}
	return false
}

// close reports whether laws and stores are met after the last update.
func (w *Work) close(hg, qmax float64) bool {
	tolQ := flowSlip*qmax + flowFloor
	if math.IsNaN(qmax) || math.IsInf(qmax, 0) {
		return false
	}
	for j, dq := range w.dq {
		bend := math.Abs(w.d[j] - w.dWas[j] - dq/w.gWas[j])
		if bend > headSlip && w.g[j]*bend > tolQ {
			return false
		}
	}
	if hg == 0 {
		return true
	}
	tolV := storeSlip * w.tolV
	for _, s := range w.active {
		st := &w.sys.Stores[s]
		if st.Kind == Linear || w.plan.full[s] {
			continue
		}
		x := w.x[w.plan.stores[s]]
		vol, _ := st.levelOf(x, w.off[s])
		l := &w.lin[s]
		if math.Abs(vol-l.vol-l.slope*(x-l.head)) > tolV {
			return false
		}
	}
	return true
}

// Conductances to a given head, m³/(s·Pa): one that holds it, and one that only
// keeps a section at its start where nothing else decides.
const (
	holds = 1e6
	faint = 1e-24
)

// assembleOneSided fills the matrix where some flows depend on one end only.
func (w *Work) assembleOneSided(f *factor) {
	p := w.plan
	for j := range p.branches {
		b := &p.branches[j]
		g := w.g[j]
		form := p.laws[j].Form
		r := b.fix - w.d[j]
		if form != Held {
			r += w.x[b.a]
		}
		if form != Fed && b.b >= 0 {
			r -= w.x[b.b]
		}
		w.r[j] = r
		t := w.q[j] + g*r
		w.rhs[b.a] -= t
		if b.b < 0 {
			f.sur[b.a] += g
			continue
		}
		w.rhs[b.b] += t
		aFirst := b.a < b.b
		if form != Held { // q grows with x_a: row b, column a
			if aFirst {
				f.low[b.slot] += g
			} else {
				f.up[b.slot] += g
			}
		}
		if form != Fed { // q falls with x_b: row a, column b
			if aFirst {
				f.up[b.slot] += g
			} else {
				f.low[b.slot] += g
			}
		}
	}
}
