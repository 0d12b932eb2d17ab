package kernel

import "math"

// level is what a store holds at a head, linearised around it.
type level struct {
	head, vol, slope float64
}

// leastGas is the absolute pressure below which a gas's law goes on straight, Pa.
const leastGas = 2e3

// levelOf returns the store's volume and compliance at head x, off being the
// volume that does not depend on it.
func (st *Store) levelOf(x, off float64) (vol, c float64) {
	if st.Kind == Linear {
		return st.C*(x-st.GZ) + off, st.C
	}
	p := x - st.GZ
	if p < leastGas {
		v := st.K * math.Pow(leastGas, -st.InvN)
		c = st.InvN * v / leastGas
		return st.V0 - v + c*(p-leastGas), c
	}
	if st.InvN == 1 {
		v := st.K / p
		return st.V0 - v, v / p
	}
	v := st.K * math.Pow(p, -st.InvN)
	return st.V0 - v, st.InvN * v / p
}

// rise returns what the store takes up as its head goes from x0 to x, apart from
// the volume that heads do not decide, and its compliance at x. Over a short step
// that is far below the rounding of the volumes themselves.
func (st *Store) rise(x, x0 float64) (vol, c float64) {
	if st.Kind == Linear {
		return st.C * (x - x0), st.C
	}
	p, p0 := x-st.GZ, x0-st.GZ
	if p < leastGas || p0 < leastGas {
		v, c := st.levelOf(x, 0)
		v0, _ := st.levelOf(x0, 0)
		return v - v0, c
	}
	if st.InvN == 1 {
		v := st.K / p
		return v * (p - p0) / p0, v / p
	}
	v0 := st.K * math.Pow(p0, -st.InvN)
	vol = -v0 * math.Expm1(-st.InvN*math.Log1p((p-p0)/p0))
	return vol, st.InvN * (v0 - vol) / p
}

// headAt inverts levelOf.
func (st *Store) headAt(vol, off float64) float64 {
	if st.Kind == Linear {
		return (vol-off)/st.C + st.GZ
	}
	g := st.V0 - vol
	v := st.K * math.Pow(leastGas, -st.InvN)
	if g >= v {
		return st.GZ + leastGas - (g-v)*leastGas/(st.InvN*v)
	}
	if st.InvN == 1 {
		return st.K/g + st.GZ
	}
	return math.Pow(st.K/g, 1/st.InvN) + st.GZ
}

// fillStores sets the stores' stiffness, C/hg, and adds what their balances lack.
func (w *Work) fillStores(hg float64) {
	p := w.plan
	inv := 1 / hg
	for _, s := range w.active {
		k := p.stores[s]
		if p.full[s] {
			w.stiff[s] = holds
			w.rhs[k] += holds * (w.head[s] - w.x[k])
			continue
		}
		st := &w.sys.Stores[s]
		x := w.x[k]
		vol, c := st.rise(x, w.head[s])
		vol += w.off[s] - w.off0[s]
		if e := w.extra[s]; e != 0 {
			c += e
			vol += e * (x - st.GZ)
		}
		w.stiff[s] = c * inv
		w.rhs[k] -= (vol - w.base[s]) * inv
		w.lin[s] = level{x, vol, c}
	}
	for _, fd := range p.feed {
		if k := p.stores[fd.store]; k >= 0 && !p.full[fd.store] {
			w.rhs[k] += w.q[fd.branch] // lagged: a tank hardly feels it
		}
	}
}

// holdStores holds tanks and full stores at their heads, one store of a section that
// has none of these, and only just the others; at one instant it holds them all.
func (w *Work) holdStores(f *factor) {
	for _, s := range w.active {
		k := w.plan.stores[s]
		c, head := faint, w.head[s]
		switch {
		case w.holdAll || w.plan.full[s] || w.sys.Stores[s].Tank:
			c = holds
		case w.cling == 0 && w.plan.anchored[s]:
			c = holds
			if w.nears { // it has come to a level where all devices are at rest
				head = w.before.x0[w.sys.Stores[s].Node]
			}
		}
		f.sur[k] += c
		w.stiff[s] = c
		w.rhs[k] += c * (head - w.x[k])
	}
	if c := w.cling; c > 0 {
		for k, x := range w.near {
			f.sur[k] += c
			w.rhs[k] += c * (x - w.x[k])
		}
	}
}

// gasesMet reports whether the gases hold what their tangents made of it.
func (w *Work) gasesMet() bool {
	tolV := storeSlip * w.tolV
	for _, s := range w.gases {
		x := w.x[w.plan.stores[s]]
		vol, _ := w.sys.Stores[s].rise(x, w.head[s])
		l := &w.lin[s]
		if math.Abs(vol-l.vol-l.slope*(x-l.head)) > tolV {
			return false
		}
	}
	return true
}
