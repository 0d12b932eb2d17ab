package kernel

// Weights at a later stage of the polynomial through the earlier ones.
var (
	earlier = [stages][]int{3: {0, 2, 1}, 4: {0, 2, 1, 3}, 5: {0, 2, 1, 3, 4}}
	weights = func() (w [stages][]float64) {
		for i, from := range earlier {
			var at []float64
			for _, j := range from {
				at = append(at, nodesC[j])
			}
			w[i] = lagrange(make([]float64, len(at)), nodesC[i], at...)
		}
		return w
	}()
)

// lagrange fills w with the weights of values at the points in the interpolating
// polynomial at t.
func lagrange(w []float64, t float64, points ...float64) []float64 {
	for i, a := range points {
		w[i] = 1
		for j, b := range points {
			if i != j {
				w[i] *= (t - b) / (a - b)
			}
		}
	}
	return w
}

// reach is how many lengths of the step before an extrapolation may go.
const reach = 3

// predict puts into w.x and w.q what stage i of a step of length h is likely to
// be, so that Newton starts near its answer: from a step that was tried from the
// same start, from how the mode went the time before, or from this step's and the
// last one's stages.
func (w *Work) predict(i int, h float64) {
	s, tried := &w.now, &w.tried
	if h <= tried.h {
		w.at(tried, w.x, w.q, nodesC[i]*h/tried.h)
		return
	}
	if w.followed(i, h) {
		return
	}
	last := w.trail.last()
	if last != nil && h > reach*last.h {
		last = nil
	}
	switch {
	case i >= 3:
		c := weights[i]
		if i == 3 {
			mix3(w.x, s.x[0], s.x[2], s.x[1], c[0], c[1], c[2])
			mix3(w.q, s.q[0], s.q[2], s.q[1], c[0], c[1], c[2])
			return
		}
		mix4(w.x, s.x[0], s.x[2], s.x[1], s.x[3], c)
		mix4(w.q, s.q[0], s.q[2], s.q[1], s.q[3], c)
		if i == 5 {
			add1(w.x, s.x[4], c[4])
			add1(w.q, s.q[4], c[4])
		}
	case i == 1 && last == nil:
		copy(w.x, s.x[0])
		copy(w.q, s.q[0])
	case i == 1:
		var c [3]float64
		lagrange(c[:], nodesC[1]*h, 0, (nodesC[4]-1)*last.h, (nodesC[3]-1)*last.h)
		mix3(w.x, s.x[0], last.x[4], last.x[3], c[0], c[1], c[2])
		mix3(w.q, s.q[0], last.q[4], last.q[3], c[0], c[1], c[2])
	case last == nil:
		f := nodesC[2] / nodesC[1]
		mix3(w.x, s.x[0], s.x[1], s.x[1], 1-f, f, 0)
		mix3(w.q, s.q[0], s.q[1], s.q[1], 1-f, f, 0)
	default:
		var c [3]float64
		lagrange(c[:], nodesC[2]*h, 0, nodesC[1]*h, (nodesC[3]-1)*last.h)
		mix3(w.x, s.x[0], s.x[1], last.x[3], c[0], c[1], c[2])
		mix3(w.q, s.q[0], s.q[1], last.q[3], c[0], c[1], c[2])
	}
}

// followed predicts stage i from the time before: the way it went from where it
// was at this step's start. It reports false where that time does not reach.
func (w *Work) followed(i int, h float64) bool {
	s := &w.now
	if i == 1 {
		was := w.trail.before(s.t)
		w.follows = was != nil && !w.Alone
		if !w.follows {
			return false
		}
		w.at(was, w.strayX, w.strayQ, (s.t-was.t)/was.h)
		for _, g := range w.gases {
			k := w.plan.stores[g]
			w.strayX[k] = s.x[0][k] - w.strayX[k]
		}
		for k, q := range s.q[0] {
			w.strayQ[k] = q - w.strayQ[k]
		}
	}
	if !w.follows {
		return false
	}
	t := s.t + nodesC[i]*h
	was := w.trail.before(t)
	if was == nil {
		return false
	}
	w.at(was, w.x, w.q, (t-was.t)/was.h)
	for _, g := range w.gases {
		k := w.plan.stores[g]
		w.x[k] += w.strayX[k]
	}
	add1(w.q, w.strayQ, 1)
	return true
}

func mix3(dst, a, b, c []float64, wa, wb, wc float64) {
	a, b, c = a[:len(dst)], b[:len(dst)], c[:len(dst)]
	for i := range dst {
		dst[i] = wa*a[i] + wb*b[i] + wc*c[i]
	}
}

func mix4(dst, a, b, c, d []float64, w []float64) {
	a, b, c, d = a[:len(dst)], b[:len(dst)], c[:len(dst)], d[:len(dst)]
	wa, wb, wc, wd := w[0], w[1], w[2], w[3]
	for i := range dst {
		dst[i] = wa*a[i] + wb*b[i] + wc*c[i] + wd*d[i]
	}
}

func add1(dst, a []float64, w float64) {
	a = a[:len(dst)]
	for i := range dst {
		dst[i] += w * a[i]
	}
}
