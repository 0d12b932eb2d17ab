package network

// A plumbing is a rig under one lineup as a directed graph: joints are its
// nodes, the ways of water its edges.
type plumbing struct {
	rig  *Rig
	hops [][]hop // by joint, in order of part
}

// A hop is one way from a joint, to another joint or to an end.
type hop struct {
	*passage       // shared by the hops to and fro: its from and to are not the hop's
	part     int32 // index in rig.parts
	to       int32 // index in rig.joints; -1 where the way ends
}

// plumb lays out the rig as it stands.
func (r *Rig) plumb(l Lineup) *plumbing {
	return r.plumbBy(func(p Part) []passage { return p.passages(l.Of(p)) })
}

// plumbOpen lays out the rig with every hand valve open and every position of
// its selectors at once: where water can get at all.
func (r *Rig) plumbOpen() *plumbing {
	return r.plumbBy(func(p Part) []passage {
		sel, ok := p.(Selector)
		if !ok {
			return p.passages(Open(1))
		}
		var out []passage
		for _, pos := range sel.Positions {
			out = append(out, sel.passages(At(pos.Name))...)
		}
		return out
	})
}

func (r *Rig) plumbBy(passages func(Part) []passage) *plumbing {
	n := &plumbing{rig: r, hops: make([][]hop, len(r.joints))}
	for i, p := range r.parts {
		ways := passages(p)
		for k := range ways {
			way := &ways[k]
			from, ok := r.jointAt[way.from]
			if !ok {
				continue // a position that names no joint: validation says so
			}
			h := hop{passage: way, part: int32(i), to: -1}
			if way.end == "" {
				to, ok := r.jointAt[way.to]
				if !ok {
					continue
				}
				h.to = int32(to)
			}
			n.hops[from] = append(n.hops[from], h)
			if !way.oneWay {
				to := h.to
				h.to = int32(from)
				n.hops[to] = append(n.hops[to], h)
			}
		}
	}
	return n
}

// An arrival is a joint reached, and the hop by which.
type arrival struct {
	joint int
	from  int // joint it was reached from; -1 at a start
	hop   hop
}

// A reach is how each joint was reached, by index. Where it was not, from is −2.
type reach []arrival

func (r reach) has(joint int) bool { return joint < len(r) && r[joint].from != notReached }

const notReached = -2

// spread follows the hops that pass from the starts, nearest first, and returns
// how each joint was reached.
func (n *plumbing) spread(starts []int, pass func(from int, h hop) bool) reach {
	reached := make(reach, len(n.hops))
	for i := range reached {
		reached[i].from = notReached
	}
	queue := make([]int, 0, len(n.hops))
	arrive := func(a arrival) {
		if reached[a.joint].from == notReached {
			reached[a.joint] = a
			queue = append(queue, a.joint)
		}
	}
	for _, s := range starts {
		arrive(arrival{joint: s, from: -1})
	}
	for at := 0; at < len(queue); at++ {
		from := queue[at]
		for _, h := range n.hops[from] {
			if h.to >= 0 && pass(from, h) {
				arrive(arrival{joint: int(h.to), from: from, hop: h})
			}
		}
	}
	return reached
}

// groups numbers the joints so that those which passing hops connect have one
// number, from 0 in order of their first joint. The hops must go both ways.
func (n *plumbing) groups(pass func(h hop) bool) (group []int, count int) {
	group = make([]int, len(n.hops))
	for i := range group {
		group[i] = -1
	}
	queue := make([]int, 0, len(n.hops))
	for i := range group {
		if group[i] >= 0 {
			continue
		}
		group[i] = count
		for queue = append(queue[:0], i); len(queue) > 0; {
			from := queue[len(queue)-1]
			queue = queue[:len(queue)-1]
			for _, h := range n.hops[from] {
				if h.to >= 0 && group[h.to] < 0 && pass(h) {
					group[h.to] = count
					queue = append(queue, int(h.to))
				}
			}
		}
		count++
	}
	return group, count
}

// open passes what is no seep.
func open(_ int, h hop) bool { return !h.tight }
