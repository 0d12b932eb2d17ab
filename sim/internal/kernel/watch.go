package kernel

import "math"

// A watch is a device's watch as one plan sees it.
type watch struct {
	*Watch
	device int32
	q      carried // where it watches a path
	// Most values are the difference of two unknowns or one branch's flow, and off:
	of   seen
	a, b int32
	sign float64
	off  float64
}

// seen says what a watch's value is made of.
type seen uint8

const (
	asTold seen = iota // by value
	heads              // sign·(x[a] − x[b]) + off
	aFlow              // sign·q[a] + off
)

// lay finds the short way to the watch's value.
func (w *watch) lay(p *plan) {
	head := func(i int32) (at int32, off float64, ok bool) {
		switch r := &p.nodes[i]; {
		case r.at >= 0:
			return r.at, r.off, true
		case r.at == known:
			return int32(p.unknowns), r.off, true
		}
		return 0, 0, false
	}
	switch w.Value {
	case Head, Drop:
		a, off, ok := head(w.I)
		b, less := int32(p.unknowns), 0.0
		if w.Value == Drop && ok {
			b, less, ok = head(w.J)
		}
		if ok {
			w.of, w.a, w.b, w.sign, w.off = heads, a, b, w.Sign, w.Sign*(off-less-w.Ref)
		}
	case Flow:
		if w.q.branch >= 0 {
			w.of, w.a, w.sign, w.off = aFlow, w.q.branch, w.Sign*w.q.sign, -w.Sign*w.Ref
		}
	}
}

// tells reports whether a flow that crosses the watch's threshold is told of.
func (w *watch) tells() bool { return w.of == aFlow && w.Is != 0 && w.Ref > 0 }

// watch gathers what the devices wait for in this mode.
func (p *plan) watch(sys *System, states []uint8) {
	n := 0
	for d := range sys.Devices {
		n += len(sys.Devices[d].States[states[d]].Watches)
	}
	p.watches = sized(p.watches, n)[:0]
	p.told = math.Inf(1)
	for d := range sys.Devices {
		st := &sys.Devices[d].States[states[d]]
		for w := range st.Watches {
			x := watch{Watch: &st.Watches[w], device: int32(d), q: carried{branch: -1}}
			switch x.Value {
			case Flow, Slack, Lifted:
				x.q = p.paths[x.P]
			}
			x.lay(p)
			if x.tells() {
				p.told = min(p.told, toldWithin*x.Ref)
			}
			p.watches = append(p.watches, x)
		}
	}
}

// value returns what a watch sees under plan p, above zero once it is due.
func (w *watch) value(p *plan, x, q, vol, gain []float64) float64 {
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

// Far appends the values of the present mode's watches: below zero, how far each is from falling due.
func (w *Work) Far(dst []float64) []float64 {
	for k := range w.seen {
		dst = append(dst, w.seen[k][0])
	}
	return dst
}

// Waits reports whether a timer runs or a device is held.
func (w *Work) Waits() bool {
	for d := range w.due {
		if !math.IsInf(w.due[d], 1) || w.heldTo[d] > w.t {
			return true
		}
	}
	return false
}

// VolumeTolerance is the error of a step that is borne, m³.
func (w *Work) VolumeTolerance() float64 { return w.tolV }
