package drawing

import (
	"slices"

	"quietpump/network"
)

// A sort says what a node is in the picture.
type sort int

const (
	bar        sort = iota // a joint, with the parts that stand or hang at it
	inline                 // a part between two joints
	crossing               // a part of three ports or more
	vessel                 // a fresh tank
	boiler                 // a heater, standing in for its joint
	inlet                  // a hookup
	underslung             // a waste tank, which nothing is plumbed to
)

// A node is what has a place of its own in the picture.
type node struct {
	sort  sort
	part  int    // index in the parts; of a bar −1
	joint string // of a bar, boiler or inlet
	z     float64
	hung  []int    // parts that stand up or hang down at a bar or boiler, in order
	ports []string // joints of its ports, in the part's order; of a bar or boiler its own

	edges  []int // that end here
	oneWay bool  // passes water from its first port to its second alone
	rank   int   // its place in the order in which the water meets things
	back   bool  // it leads back to a tank
}

// An end is where an edge meets a node.
type end struct{ node, port int }

// A link is a tube of an edge.
type link struct {
	part    int
	reverse bool // its second joint comes first
}

// An edge joins two nodes by tubes one after the other, or by none.
type edge struct {
	ends   [2]end
	links  []link
	joints []string // between the links; without links the one joint it stands for
}

// A graph is the rig without what needs no place of its own: a joint between two
// things is a point of the edge between them.
type graph struct {
	rig   *network.Rig
	parts []network.Part
	z     map[string]float64
	nodes []node
	edges []edge
	at    map[string]int // node that stands for a joint
	of    map[int]int    // node of a part that has its own; of a hung part the one it hangs at
	along []float64      // of each node, from the vehicle's nose, m; nil: the rig does not tell
}

// touch is one port of a part.
type touch struct{ part, port int }

func drawn(rig *network.Rig) *graph {
	g := &graph{rig: rig, parts: rig.Parts(), z: map[string]float64{}}
	joints := rig.Joints()
	for _, j := range joints {
		g.z[j.Name] = float64(j.Z)
	}
	touching := make(map[string][]touch, len(joints))
	for i, p := range g.parts {
		for k, j := range p.Joints() {
			touching[j] = append(touching[j], touch{i, k})
		}
	}
	promoted := map[string]bool{}
	for !g.gather(joints, touching, promoted) {
	}
	return g
}

// gather makes nodes and edges. Where tubes run round without meeting a node it
// makes a joint of theirs one, and says that it must be done again.
func (g *graph) gather(joints []network.Joint, touching map[string][]touch, promoted map[string]bool) bool {
	g.nodes, g.edges = g.nodes[:0], g.edges[:0]
	g.at, g.of = map[string]int{}, map[int]int{}
	add := func(n node) int {
		g.nodes = append(g.nodes, n)
		if n.part >= 0 {
			g.of[n.part] = len(g.nodes) - 1
		}
		return len(g.nodes) - 1
	}
	for i, p := range g.parts {
		n := node{part: i, ports: p.Joints()}
		switch p := p.(type) {
		case network.Tank:
			n.sort, n.z = vessel, float64(p.Floor)
		case network.WasteTank:
			n.sort = underslung
		case network.Hookup:
			n.sort, n.joint, n.z = inlet, p.At, g.z[p.At]
		default:
			if _, tube := p.(network.Tube); tube || len(n.ports) < 2 {
				continue
			}
			n.sort = inline
			if len(n.ports) > 2 {
				n.sort = crossing
			}
			for _, j := range n.ports {
				n.z += g.z[j] / float64(len(n.ports))
			}
			switch p.(type) {
			case network.Check, network.Pump, network.HandPump, network.Regulator:
				n.oneWay = true
			}
		}
		add(n)
	}
	for _, j := range joints {
		n := node{sort: bar, part: -1, joint: j.Name, z: g.z[j.Name], ports: []string{j.Name}}
		ends := 0
		for _, t := range touching[j.Name] {
			if _, own := g.of[t.part]; own {
				ends++
				continue
			}
			switch g.parts[t.part].(type) {
			case network.Tube:
				ends++
			case network.Heater:
				if n.part < 0 {
					n.sort, n.part = boiler, t.part
					continue
				}
				n.hung = append(n.hung, t.part)
			default:
				n.hung = append(n.hung, t.part)
			}
		}
		if len(n.hung) == 0 && n.part < 0 && ends == 2 && !promoted[j.Name] {
			continue
		}
		at := add(n)
		g.at[j.Name] = at
		for _, h := range n.hung {
			g.of[h] = at
		}
	}
	return g.join(touching, promoted)
}

// join follows the tubes from node to node.
func (g *graph) join(touching map[string][]touch, promoted map[string]bool) bool {
	used := map[touch]bool{}
	follow := func(from end, t touch, joint string) {
		// t is the port at the joint through which the edge goes on from there.
		e := edge{ends: [2]end{from}}
		if used[t] {
			return
		}
		for {
			used[t] = true
			if n, own := g.of[t.part]; own && g.nodes[n].part == t.part && g.nodes[n].sort != boiler {
				e.joints = append(e.joints, joint)
				e.ends[1] = end{n, t.port}
				break
			}
			// A tube: go to its other end.
			if len(e.links) > 0 {
				e.joints = append(e.joints, joint)
			}
			e.links = append(e.links, link{t.part, t.port == 1})
			over := touch{t.part, 1 - t.port}
			used[over] = true
			joint = g.parts[t.part].Joints()[over.port]
			if n, ok := g.at[joint]; ok {
				e.ends[1] = end{n, 0}
				break
			}
			next, ok := other(touching[joint], over)
			if !ok || used[next] {
				return
			}
			t = next
		}
		if len(e.links) > 0 && len(e.joints) >= len(e.links) {
			e.joints = e.joints[:len(e.links)-1]
		}
		g.edges = append(g.edges, e)
	}
	for i := range g.nodes {
		n := &g.nodes[i]
		switch n.sort {
		case bar, boiler:
			for _, t := range touching[n.joint] {
				if _, own := g.of[t.part]; !own {
					follow(end{i, 0}, t, n.joint)
				}
			}
		case underslung:
		default:
			for k, j := range n.ports {
				here := touch{n.part, k}
				if used[here] {
					continue
				}
				used[here] = true
				if at, ok := g.at[j]; ok {
					g.edges = append(g.edges, edge{ends: [2]end{{i, k}, {at, 0}}, joints: []string{j}})
					continue
				}
				if t, ok := other(touching[j], here); ok {
					follow(end{i, k}, t, j)
				}
			}
		}
	}
	whole := true
	for i, p := range g.parts {
		if t, tube := p.(network.Tube); tube && !used[touch{i, 0}] && !promoted[t.From] {
			promoted[t.From], whole = true, false
		}
	}
	for i := range g.nodes {
		g.nodes[i].edges = nil
	}
	for i, e := range g.edges {
		for _, x := range e.ends {
			g.nodes[x.node].edges = append(g.nodes[x.node].edges, i)
		}
	}
	return whole
}

// other is what else is at a joint of two.
func other(at []touch, than touch) (touch, bool) {
	i := slices.IndexFunc(at, func(t touch) bool { return t != than })
	if i < 0 {
		return touch{}, false
	}
	return at[i], true
}

// across is the end of an edge that is not at a node. An edge from a node to
// itself leads back to it.
func (e *edge) across(n int) (here, there end) {
	if e.ends[0].node == n {
		return e.ends[0], e.ends[1]
	}
	return e.ends[1], e.ends[0]
}
