package kernel

// Weights at a later stage of the polynomial through the first and the earlier ones.
var (
	earlier = [stages][]int{3: {2, 1}, 4: {2, 1, 3}, 5: {2, 1, 3, 4}}
	weights = func() (w [stages][stages]float64) {
		for i, from := range earlier {
			at := []float64{0}
			for _, j := range from {
				at = append(at, nodesC[j])
			}
			lagrange(w[i][:len(at)], nodesC[i], at...)
		}
		return w
	}()
)

// lagrange fills w with the weights of values at the points in the interpolating
// polynomial at t.
func lagrange(w []float64, t float64, points ...float64) {
	for i, a := range points {
		w[i] = 1
		for j, b := range points {
			if i != j {
				w[i] *= (t - b) / (a - b)
			}
		}
	}
}

// reach is how many lengths of the step before an extrapolation may go.
const reach = 3

// predict puts into w.x and w.q what stage i of a step of length h is likely to
// be, so that Newton starts near its answer: from a step that was tried from the
// same start, from how the mode went the time before, or from this step's and the
// last one's stages.
func (w *Work) predict(i int, h float64) {
	s, tried := w.now, w.tried
	if h <= tried.h {
		c := weigh(nodesC[i] * h / tried.h)
		w.mix(w.x, w.q, c[:], tried.x[:], tried.q[:])
		return
	}
	if w.followed(i, h) {
		return
	}
	last := w.trail.last()
	if last != nil && h > reach*last.h {
		last = nil
	}
	var c [stages]float64
	var x, q [stages][]float64
	n := 0
	from := func(s *stride, stage int) {
		x[n], q[n] = s.x[stage], s.q[stage]
		n++
	}
	from(s, 0)
	switch {
	case i >= 3:
		for _, j := range earlier[i] {
			from(s, j)
		}
		c = weights[i]
	case i == 1 && last == nil:
		c[0] = 1
	case i == 1:
		from(last, 4)
		from(last, 3)
		lagrange(c[:n], nodesC[1]*h, 0, (nodesC[4]-1)*last.h, (nodesC[3]-1)*last.h)
	case last == nil:
		from(s, 1)
		lagrange(c[:n], nodesC[2], 0, nodesC[1])
	default:
		from(s, 1)
		from(last, 3)
		lagrange(c[:n], nodesC[2]*h, 0, nodesC[1]*h, (nodesC[3]-1)*last.h)
	}
	w.mix(w.x, w.q, c[:n], x[:n], q[:n])
}

// mix puts into q the weighted sum of flows, and into x that of the heads of gases.
// Every other head enters a solve linearly, so it may start where it is. Balanced
// flows stay balanced.
func (w *Work) mix(x, q, c []float64, fromX, fromQ [][]float64) {
	for _, g := range w.gases {
		k := w.plan.stores[g]
		x[k] = 0
		for i, c := range c {
			x[k] += c * fromX[i][k]
		}
	}
	clear(q)
	for len(c) > 2 { // three at a time: the sum is most of what predicting costs
		a, b, d := fromQ[0][:len(q)], fromQ[1][:len(q)], fromQ[2][:len(q)]
		for j := range q {
			q[j] += c[0]*a[j] + c[1]*b[j] + c[2]*d[j]
		}
		c, fromQ = c[3:], fromQ[3:]
	}
	for i, c := range c {
		add1(q, fromQ[i], c)
	}
}

// followed predicts stage i from the time before: the way it went from where it
// was at this step's start. It reports false where that time does not reach.
func (w *Work) followed(i int, h float64) bool {
	s := w.now
	if i == 1 {
		w.follow(h)
	}
	if was := w.repeats; was != nil {
		for _, g := range w.gases {
			k := w.plan.stores[g]
			w.x[k] = was.x[i][k] + w.strayX[k]
		}
		n := len(w.q)
		q, from, stray := w.q, was.q[i][:n], w.strayQ[:n]
		d, drop, slope := w.d[:n], was.d[i][:n], was.s[i][:n]
		for j := range q {
			q[j] = from[j] + stray[j]
			d[j] = drop[j] + slope[j]*stray[j]
		}
		copy(w.s, slope)
		w.told = true
		return true
	}
	if !w.follows {
		return false
	}
	t := s.t + nodesC[i]*h
	was := w.trail.before(t)
	if was == nil {
		return false
	}
	c := weigh((t - was.t) / was.h)
	w.mix(w.x, w.q, c[:], was.x[:], was.q[:])
	for _, g := range w.gases {
		k := w.plan.stores[g]
		w.x[k] += w.strayX[k]
	}
	add1(w.q, w.strayQ, 1)
	return true
}

// follow finds what a step of length h has to follow, and how far off it starts.
func (w *Work) follow(h float64) {
	s := w.now
	was := w.trail.before(s.t)
	w.follows, w.repeats = was != nil && w.Without&Following == 0, nil
	if !w.follows {
		return
	}
	if was.like(s.t, h) {
		w.repeats = was
		copy(w.strayX, was.x[0])
		copy(w.strayQ, was.q[0])
	} else {
		c := weigh((s.t - was.t) / was.h)
		w.mix(w.strayX, w.strayQ, c[:], was.x[:], was.q[:])
	}
	for _, g := range w.gases {
		k := w.plan.stores[g]
		w.strayX[k] = s.x[0][k] - w.strayX[k]
	}
	for k, q := range s.q[0] {
		w.strayQ[k] = q - w.strayQ[k]
	}
}

func add1(dst, a []float64, w float64) {
	a = a[:len(dst)]
	for i := range dst {
		dst[i] += w * a[i]
	}
}
