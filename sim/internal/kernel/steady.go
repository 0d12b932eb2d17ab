package kernel

// Steady settles heads and flows with every store's flow at zero, tanks held at
// their levels and switches where they stand.
func (w *Work) Steady() error {
	w.still = true
	_, err := w.settle(nil, true)
	return err
}

// Head returns the head of a node now, and whether anything decides it. In a
// steady answer a section that no tank and no open end reaches is decided by
// nothing.
func (w *Work) Head(i int32) (x float64, ok bool) {
	return w.plan.node(i, w.x, w.q), w.plan.defined(i)
}

// Heads fills dst with the heads of all nodes.
func (w *Work) Heads(dst []float64) {
	for i := range w.sys.Nodes {
		dst[i] = w.plan.node(int32(i), w.x, w.q)
	}
}

// PathFlow returns the flow of a path now.
func (w *Work) PathFlow(i int32) float64 { return w.plan.paths[i].flow(w.q) }

// Pending reports whether device d's switch would move: what it waits for has
// come.
func (w *Work) Pending(d int32) bool {
	for k := range w.plan.watches {
		wt := &w.plan.watches[k]
		if wt.device == d && wt.Switch && w.value(wt) > wt.band() {
			return true
		}
	}
	return false
}

func (w *Work) value(wt *watch) float64 { return wt.value(w.plan, w.x, w.q, w.vol, w.gain[0]) }

// Held reports, for each node, whether a tank, an open end or a full store
// decides its section's pressure.
func (w *Work) Held() []bool {
	p := w.plan
	section, held := p.sections(w.sys)
	out := make([]bool, len(p.nodes))
	for i := range p.nodes {
		j := int32(i)
		for p.nodes[j].at < known {
			j = p.nodes[j].from
		}
		if at := p.nodes[j].at; at >= 0 {
			out[i] = held[section.find(at)]
		}
	}
	return out
}

// sections finds which unknowns branches join, and which of those sections hang on
// a tank, an open end or a full store.
func (p *plan) sections(sys *System) (section union, held []bool) {
	section.part(p.unknowns)
	held = make([]bool, p.unknowns)
	for j := range p.branches {
		if b := &p.branches[j]; int(b.b) < p.unknowns {
			section.join(b.a, b.b)
		}
	}
	for j := range p.branches {
		if b := &p.branches[j]; int(b.b) == p.unknowns {
			held[section.find(b.a)] = true
		}
	}
	for s, k := range p.stores {
		if k >= 0 && (sys.Stores[s].Tank || p.full[s]) {
			held[section.find(k)] = true
		}
	}
	return section, held
}

// anchor lets one store hold each section that nothing holds: what runs round in it
// cancels but for its rounding, which a faint hold would turn into pressure.
func (p *plan) anchor(sys *System) {
	p.anchored, p.isAnchored = sized(p.anchored, len(p.stores)), true
	section, held := p.sections(sys)
	for s, k := range p.stores {
		if k >= 0 && !held[section.find(k)] {
			p.anchored[s] = true
			held[section.find(k)] = true
		}
	}
}

// Peek takes one step of length h from the present state and stay at its end: a look
// at the inside of a step that was accepted before.
func (w *Work) Peek(h float64) error {
	if _, err := w.Enter(nil); err != nil {
		return err
	}
	if h <= 0 {
		return nil
	}
	w.h = h
	if _, ok := w.step(h); !ok {
		return ErrNoConvergence
	}
	w.t += h
	copy(w.vol, w.next)
	copy(w.gain[0], w.gain[stages-1])
	return nil
}

// Defined reports whether anything but a ghost decides the head of a node.
func (w *Work) Defined(i int32) bool { return w.plan.defined(i) && !w.plan.adrift[i] }

// Gains are the stores' net inflows now, m³/s, valid until the next step.
func (w *Work) Gains() []float64 { return w.gain[0] }
