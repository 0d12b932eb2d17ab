package kernel

// reading is how a node's head is found: at an unknown, plus an offset.
type reading struct {
	at  int32 // unknown; -1: known
	off float64
	in  int32 // path of a merged row through which to read it, -1: none
	// from is the node from which the row is followed.
	from int32
}

// carried says which branch carries a path's flow; -1: nothing flows.
type carried struct {
	branch int32
	sign   float64
}

func (r *reading) head(x []float64) float64 {
	if r.at < 0 {
		return r.off
	}
	return x[r.at] + r.off
}

func (c carried) flow(q []float64) float64 {
	if c.branch < 0 {
		return 0
	}
	return c.sign * q[c.branch]
}

// node returns the head of any node, dropped and merged ones too.
func (p *Plan) node(sys *System, i int32, x, q []float64) float64 {
	r := &p.nodes[i]
	switch r.at {
	case -2: // inside a row: from its neighbour along the path between
		head := p.node(sys, r.from, x, q)
		pt := &sys.Paths[r.in]
		c := p.paths[r.in]
		d, _ := p.lawOf(pt).Drop(c.flow(q))
		if c.sign > 0 {
			return head - d
		}
		return head + d
	case -3:
		return p.node(sys, r.from, x, q) + r.off
	}
	return r.head(x)
}

// defined reports whether anything decides the head of node i.
func (p *Plan) defined(i int32) bool {
	r := &p.nodes[i]
	switch r.at {
	case -1:
		return false
	case -3:
		return p.defined(r.from)
	}
	return true
}

func (p *Plan) lawOf(pt *Path) *Law {
	if pt.Device < 0 {
		return pt.Laws[0]
	}
	return pt.Laws[p.key[pt.Device]]
}
