package kernel

import "math"

// A watch is a device's watch as one plan sees it.
type watch struct {
	*Watch
	device int32
	q      carried // where it watches a path
}

// watch gathers what the devices wait for in this mode.
func (p *Plan) watch(sys *System, states []uint8) {
	for d := range sys.Devices {
		st := &sys.Devices[d].States[states[d]]
		for w := range st.Watches {
			x := watch{Watch: &st.Watches[w], device: int32(d), q: carried{branch: -1}}
			switch x.Value {
			case Flow, Slack, Lifted:
				x.q = p.paths[x.P]
			}
			p.watches = append(p.watches, x)
		}
	}
}

// value returns what a watch sees under plan p, above zero once it is due.
func (w *watch) value(p *Plan, x, q, vol, gain []float64) float64 {
	var v float64
	switch w.Value {
	case Head:
		v = p.node(w.I, x, q) - w.Ref
	case Drop:
		v = p.node(w.I, x, q) - p.node(w.J, x, q) - w.Ref
	case Flow:
		v = w.q.flow(q) - w.Ref
	case Stored:
		v = vol[w.S] - w.Ref
	case Gain:
		v = gain[w.S] - w.Ref
	case Slack:
		d, _ := w.Law.Drop(w.q.flow(q))
		v = d - (p.node(w.I, x, q) - p.node(w.J, x, q))
	case Lifted:
		v = p.node(w.J, x, q) + w.Lam*w.q.flow(q) - w.Ref
	case Wants:
		v = math.Min(w.Ref, p.node(w.I, x, q)) - p.node(w.J, x, q)
	case Always:
		v = 1
	}
	return w.Sign * v
}

// band is how far above zero a watch's value may stand by rounding alone.
func (w *watch) band() float64 {
	switch w.Value {
	case Flow, Gain:
		return 1e-15
	case Stored:
		return 1e-16
	}
	return 1e-5
}

// slight is how far above zero a watch's value may stand where a device has no
// side: what closely met laws and a whole instant's rounding leave.
func (w *watch) slight() float64 {
	switch w.Value {
	case Flow, Gain:
		return 1e-10
	case Stored:
		return 1e-13
	}
	return 0.1
}

// bearable is how far above zero a watch's value may stand while its device is
// held, having had no side to be on.
func (w *watch) bearable() float64 {
	switch w.Value {
	case Flow, Gain:
		return 1e-7
	case Stored:
		return 1e-8
	case Always:
		return 0
	}
	return 2e3
}
