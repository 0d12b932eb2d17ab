package kernel

// reading is how a node's head is found. One that was merged or dropped stands by
// another node: at the drop along a path from it, or so much above it.
type reading struct {
	at   int32   // unknown, or one of the below
	from int32   // the node it stands by
	off  float64 // head above the unknown or that node
	law  *Law    // of the path from that node …
	by   carried // … and what it carries
}

const (
	known  = -1 // at off
	inRow  = -2 // inside a row of paths
	onNode = -3 // at the end of a dead leg that hangs on such a node
)

// carried says which branch carries a path's flow; -1: nothing flows.
type carried struct {
	branch int32
	sign   float64
}

func (c carried) flow(q []float64) float64 {
	if c.branch < 0 {
		return 0
	}
	return c.sign * q[c.branch]
}

// node returns the head of any node, dropped and merged ones too.
func (p *plan) node(i int32, x, q []float64) float64 {
	r := &p.nodes[i]
	switch r.at {
	case known:
		return r.off
	case inRow:
		d, _ := r.law.Drop(r.by.flow(q))
		return p.node(r.from, x, q) - r.by.sign*d
	case onNode:
		return p.node(r.from, x, q) + r.off
	}
	return x[r.at] + r.off
}

// defined reports whether anything decides the head of node i.
func (p *plan) defined(i int32) bool {
	r := &p.nodes[i]
	switch r.at {
	case known:
		return false
	case onNode:
		return p.defined(r.from)
	}
	return true
}
