package kernel

import "math"

// firstFlow is where Newton starts on a branch that carried nothing: at rest the
// slope of a turbulent law is near zero and the first step would be wild.
const firstFlow = 2e-5

// Limits of one Newton solve. Flows balance at every node after each linear
// solve; what is left to meet is each branch's own law, and it is met when its
// bend, what the law has over its tangent, moves no head or no flow that counts.
const (
	newtonCap = 30
	easy      = 1    // full steps on balanced flows before one is looked at for overshooting
	stubborn  = 6    // iterations of a step's solve from which on slopes are kept off zero
	wide      = 1e-3 // m³/(s·Pa): a way so wide that the rounding of its heads' steps makes flows
	rounding  = 0x1p-53
	headSlip  = 1e-7  // Pa, where a step's tolerance does not allow more
	flowSlip  = 1e-12 // of the largest flow …
	flowFloor = 1e-17 // … plus this, m³/s
	storeSlip = 0.3   // of a step's volume tolerance, by a branch or a gas
	slipMost  = 1e-7  // … and no more than this, m³/s, or in a short step any flow would do
	slipLeast = 1e-9  // … nor less for a told flow's sake, m³/s: rounding in wide ways is not far below
	torrent   = 1     // m³/s: no vehicle's tube carries it
)

// Conductances to a given head, m³/(s·Pa): one that holds it, and one that only
// keeps a section at its start where nothing else decides.
const (
	holds = 1e6
	faint = 1e-24
)

// evaluate fills the laws' drops and slopes at flows q. One function does for all of
// them, with all that is not rare in line: in WebAssembly a call costs as much as a law.
func (p *plan) evaluate(q, d, s []float64) {
	bs := p.branches
	q, d, s = q[:len(bs)], d[:len(bs)], s[:len(bs)]
	for j := range bs {
		b := &bs[j]
		f := q[j]
		af := math.Abs(f)
		k := b.kap * af
		if af < b.calm { // all friction laminar, nothing else but a quadratic
			slope := k + k
			if af < b.least {
				bent := b.bend * af * af
				k, slope = b.rest+bent, b.rest+3*bent
			}
			d[j], s[j] = b.off+f*(b.calmLam+k), b.calmLam+slope
			continue
		}
		if b.law != nil {
			d[j], s[j] = b.law.Drop(f)
			continue
		}
		slope := b.lam + k + k
		drop := af * (b.lam + k)
		for i := b.first; i < b.last; i++ {
			t := &p.friction[i]
			u := t.R * af
			var phi, dphi float64
			if n := segmentOf(u); u >= 1 && n < len(t.Table.seg) {
				g := &t.Table.seg[n]
				phi, dphi = g.phi(u), g.slope(u)
			} else {
				phi, dphi = t.Table.at(u)
			}
			drop += t.F * phi
			slope += t.F * t.R * dphi
		}
		d[j], s[j] = b.off+math.Copysign(drop, f), slope
	}
}

// solve finds heads and flows with every store at V₀ + base + hg·gain, V₀ its
// volume at the step's start, where its head was w.head, hg being the step's length
// times the stage's weight. It starts from w.x and w.q. With hg = 0 the stores take
// no flow, tanks and full stores hold their heads. slip is a flow that a branch's
// law may be off by.
func (w *Work) solve(hg, slip float64) bool {
	p := w.plan
	w.unmet = false
	rhs, x, dx := w.rhs, w.x, w.dx
	bs := p.branches
	q, d, s, g, r, dq := w.q[:len(bs)], w.d[:len(bs)], w.s[:len(bs)], w.g[:len(bs)], w.r[:len(bs)], w.dq[:len(bs)]
	if !w.told {
		p.evaluate(q, d, s)
	}
	w.kept.is = w.kept.is && hg > 0
	bent := math.Inf(1)
	for iter := 0; iter < newtonCap; iter++ {
		w.Effort.Newton++
		if hg == 0 || iter >= stubborn {
			w.soften()
		}
		clear(rhs)
		if w.kept.is {
			w.repeat(hg)
		} else {
			w.linearise(hg)
			w.keep(hg)
		}
		p.fac.back(dx, rhs)
		for k, c := range dx {
			x[k] += c
		}
		// New flows, their laws, and how far each bends off the tangent that gave them.
		qmax, fall, rough := 0.0, 0.0, 0.0
		before := bent
		bent = 0
		for j := range bs {
			b := &bs[j]
			da, db := dx[b.a], dx[b.b]
			if b.form != Between { // one end does not count
				if b.form == Held {
					da = 0
				} else {
					db = 0
				}
			}
			t := r[j] + da - db
			c := g[j] * t
			if g[j] > wide {
				rough = max(rough, g[j]*(math.Abs(da)+math.Abs(db)))
			}
			fall += c * t
			r[j], dq[j] = d[j]+t, c
			q[j] += c
			if af := math.Abs(q[j]); af > qmax {
				qmax = af
			}
		}
		if qmax-qmax != 0 || fall-fall != 0 { // NaN or infinite
			return false
		}
		tamed := iter == 0 && hg == 0 && qmax > torrent && w.tame()
		p.evaluate(q, d, s)
		if tamed { // they balance no longer
			continue
		}
		for j, tangent := range r {
			if bend := math.Abs(d[j] - tangent); !(bend <= w.headSlip) && !(bend*g[j] <= bent) {
				bent = bend * g[j]
			}
		}
		least := max(flowSlip*qmax+flowFloor, slip)
		if iter > newtonCap/2 { // as closely as they are known
			least = max(least, w.noise())
		}
		if bent <= least && rough*rounding <= 1e-10*qmax+1e-13 && (hg == 0 || w.gasesMet()) {
			return true
		}
		w.kept.is = w.kept.is && bent <= keptWhile*before
		if hg == 0 && iter > newtonCap/2 && w.astray() {
			w.unmet = true
			return true
		}
		if iter >= easy {
			w.shorten(fall)
		}
	}
	return false
}

// tame takes flows back that no head there could be would drive through their branch, and
// reports whether there were any. Where a law's flow has to vanish, its tangent asks for as
// much head below nothing as it had above, and where a port has next to no loss 10,000 m³/s
// come of that, from which the others would come down by halves. Later flows as wild, of a
// mode that cannot be, find their own way out.
func (w *Work) tame() bool {
	tamed := false
	bs := w.plan.branches
	for j := range bs {
		if kap := bs[j].kap; kap > 0 && kap*w.q[j]*w.q[j] > wildHead {
			w.q[j] = math.Copysign(math.Sqrt(wildHead/kap), w.q[j])
			tamed = true
		}
	}
	return tamed
}

// linearise makes the factor at the flows in w.q and carries the right-hand side
// forward through it. Branches: q' = q + g·(δa − δb + r), r what the law lacks.
func (w *Work) linearise(hg float64) {
	p := w.plan
	f := &p.fac
	clear(f.all)
	if hg == 0 {
		w.holdStores(f)
	} else {
		w.fillStores(hg)
		for _, s := range w.active {
			f.sur[p.stores[s]] += w.stiff[s]
		}
	}
	if f.low == nil {
		bs, up := p.branches, f.up
		s, g := w.s[:len(bs)], w.g[:len(bs)]
		for j := range bs {
			c := 1 / s[j]
			g[j] = c
			up[bs[j].slot] += c
		}
		for _, j := range p.outs {
			f.sur[bs[j].a] += g[j]
		}
		w.fillBranches()
	} else {
		w.assembleOneSided(f)
	}
	f.eliminate(w.rhs)
	w.Effort.Factorisations++
}

// fillBranches adds to the right-hand side what branches of the conductances in w.g carry,
// and sets what each law lacks.
func (w *Work) fillBranches() {
	bs := w.plan.branches
	x, rhs := w.x, w.rhs
	q, d, g, r := w.q[:len(bs)], w.d[:len(bs)], w.g[:len(bs)], w.r[:len(bs)]
	for j := range bs {
		b := &bs[j]
		t := x[b.a] - x[b.b] + b.fix - d[j]
		r[j] = t
		t = q[j] + g[j]*t
		rhs[b.a] -= t
		rhs[b.b] += t
	}
}

// noise is the flow that the rounding of heads makes through the widest way: two laws in a
// row, one as good as open and one all but shut, can hand it to and fro for ever.
func (w *Work) noise() float64 {
	most := 0.0
	for j := range w.plan.branches {
		if b := &w.plan.branches[j]; w.g[j] > wide {
			most = max(most, w.g[j]*(math.Abs(w.x[b.a])+math.Abs(w.x[b.b])))
		}
	}
	return rounding * most
}

// astray reports whether heads are out of all bounds: a mode that asked for them is
// left at once, however well it was met.
func (w *Work) astray() bool {
	for _, x := range w.x {
		if math.Abs(x) > wildHead {
			return true
		}
	}
	return false
}

// soften keeps the slopes of quadratic laws off zero where flow dies away: at no
// less than what takes a flow of nothing to the one that the head it lacks asks for.
// A tangent at rest would send a seep round by cubic metres a second, and from there
// its flow comes down by halves.
func (w *Work) soften() {
	bs, s, d, x := w.plan.branches, w.s, w.d, w.x
	for j := range bs {
		b := &bs[j]
		if b.kap == 0 {
			continue
		}
		lacks := headSlip
		if b.form == Between {
			lacks = max(lacks, math.Abs(x[b.a]-x[b.b]+b.fix-d[j]))
		}
		if least := lacks * b.kap; s[j]*s[j] < least {
			s[j] = math.Sqrt(least)
		}
	}
}

// shorten takes back the part of the last step by which it overshot. Balanced
// flows that meet their laws have the least content Σ∫d(q)dq (Cherry, Phil. Mag.
// 42, 1951; Millar, ibid.), which is convex, and a Newton step is a way down it:
// fall is its slope at the step's beginning, negative, and Σ(d − r)·Δq that at its
// end. Where the end has come up again by more than half of what it fell, the
// step is cut where the slope is about zero.
func (w *Work) shorten(fall float64) {
	slope := func(part float64) float64 {
		sum := 0.0
		for j, c := range w.dq {
			sum += (w.d[j] - w.r[j]) * c
		}
		// A store's head is where the step's part has brought it.
		for _, s := range w.active {
			k := w.plan.stores[s]
			sum -= (1 - part) * w.stiff[s] * w.dx[k] * w.dx[k]
		}
		if w.cling > 0 {
			for k := range w.near {
				sum -= (1 - part) * w.cling * w.dx[k] * w.dx[k]
			}
		}
		return sum
	}
	low, high, part := 0.0, 1.0, 1.0
	before, after := -fall, slope(1)
	for _, s := range w.active {
		before -= w.stiff[s] * w.dx[w.plan.stores[s]] * w.dx[w.plan.stores[s]]
	}
	if w.cling > 0 {
		for k := range w.near {
			before -= w.cling * w.dx[k] * w.dx[k]
		}
	}
	if !(before < 0) || !(after > -0.5*before) {
		return
	}
	start := before
	for range 8 {
		next := low + (high-low)*min(max(before/(before-after), 0.1), 0.9)
		for j, c := range w.dq {
			w.q[j] += (next - part) * c
		}
		part = next
		w.plan.evaluate(w.q, w.d, w.s)
		switch s := slope(part); {
		case math.Abs(s) <= -0.5*start:
			low, high = part, part
		case s > 0:
			high, after = part, s
		default:
			low, before = part, s
		}
		if low == high {
			break
		}
	}
	for k, c := range w.dx {
		w.x[k] -= (1 - part) * c
	}
}

// assembleOneSided fills the matrix where some flows depend on one end only.
func (w *Work) assembleOneSided(f *factor) {
	p := w.plan
	for j := range p.branches {
		b := &p.branches[j]
		g := 1 / w.s[j]
		r := b.fix - w.d[j]
		if b.form != Held {
			r += w.x[b.a]
		}
		if b.form != Fed {
			r -= w.x[b.b]
		}
		w.g[j], w.r[j] = g, r
		t := w.q[j] + g*r
		w.rhs[b.a] -= t
		w.rhs[b.b] += t
		if int(b.b) == p.unknowns {
			f.sur[b.a] += g
			continue
		}
		aFirst := b.a < b.b
		if b.form != Held { // q grows with x_a: row b, column a
			if aFirst {
				f.low[b.slot] += g
			} else {
				f.up[b.slot] += g
			}
		}
		if b.form != Fed { // q falls with x_b: row a, column b
			if aFirst {
				f.up[b.slot] += g
			} else {
				f.low[b.slot] += g
			}
		}
	}
}
