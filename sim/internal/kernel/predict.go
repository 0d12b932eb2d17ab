package kernel

// A past keeps heads and flows at the stages of the step being taken, and at two
// stages of the step before, so that each stage's Newton starts near its answer.
// Linear combinations of balanced flows are balanced.
type past struct {
	x, q [stages][]float64 // stage 0 is the step's start
	wasX [2][]float64      // stages 3 and 4 of the last accepted step
	wasQ [2][]float64
	h    float64 // its length; 0: there was none in this mode
}

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
// be.
func (w *Work) predict(i int, h float64) {
	p := &w.past
	switch {
	case i >= 3:
		c := weights[i]
		if i == 3 {
			mix3(w.x, p.x[0], p.x[2], p.x[1], c[0], c[1], c[2])
			mix3(w.q, p.q[0], p.q[2], p.q[1], c[0], c[1], c[2])
			return
		}
		mix4(w.x, p.x[0], p.x[2], p.x[1], p.x[3], c)
		mix4(w.q, p.q[0], p.q[2], p.q[1], p.q[3], c)
		if i == 5 {
			add1(w.x, p.x[4], c[4])
			add1(w.q, p.q[4], c[4])
		}
	case i == 1 && (p.h == 0 || h > reach*p.h):
		copy(w.x, p.x[0])
		copy(w.q, p.q[0])
	case i == 1:
		var c [3]float64
		lagrange(c[:], nodesC[1]*h, 0, (nodesC[4]-1)*p.h, (nodesC[3]-1)*p.h)
		mix3(w.x, p.x[0], p.wasX[1], p.wasX[0], c[0], c[1], c[2])
		mix3(w.q, p.q[0], p.wasQ[1], p.wasQ[0], c[0], c[1], c[2])
	case p.h == 0 || h > reach*p.h:
		f := nodesC[2] / nodesC[1]
		mix3(w.x, p.x[0], p.x[1], p.x[1], 1-f, f, 0)
		mix3(w.q, p.q[0], p.q[1], p.q[1], 1-f, f, 0)
	default:
		var c [3]float64
		lagrange(c[:], nodesC[2]*h, 0, nodesC[1]*h, (nodesC[3]-1)*p.h)
		mix3(w.x, p.x[0], p.x[1], p.wasX[0], c[0], c[1], c[2])
		mix3(w.q, p.q[0], p.q[1], p.wasQ[0], c[0], c[1], c[2])
	}
}

// recall makes the accepted step of length h the step before.
func (p *past) recall(h float64) {
	for k := range 2 {
		p.wasX[k], p.x[3+k] = p.x[3+k], p.wasX[k]
		p.wasQ[k], p.q[3+k] = p.q[3+k], p.wasQ[k]
	}
	p.h = h
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
