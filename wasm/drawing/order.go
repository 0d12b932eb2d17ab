package drawing

import (
	"cmp"
	"slices"

	"quietpump/network"
)

// order ranks the nodes as the water meets them: out of the tank, through the
// pump, to the taps; and in from the hookup.
func (g *graph) order() {
	fed := g.spread()
	feed := g.feeds(fed)
	g.returns(fed)
	// Every edge leads from the node that water meets first.
	key := make([][2]int, len(g.nodes))
	for i := range g.nodes {
		key[i] = [2]int{1, fed[i]}
		if feed[i] >= 0 {
			key[i] = [2]int{0, feed[i]}
			g.raise(i)
		}
	}
	before := func(a, b int) bool {
		return cmp.Or(cmp.Compare(key[a][0], key[b][0]), cmp.Compare(key[a][1], key[b][1]), cmp.Compare(a, b)) < 0
	}
	turn := make([]int, len(g.nodes))
	for i := range turn {
		turn[i] = i
	}
	slices.SortFunc(turn, func(a, b int) int {
		if before(a, b) {
			return -1
		}
		return 1
	})
	for _, n := range turn {
		g.nodes[n].rank = 0
		for _, e := range g.nodes[n].edges {
			_, there := g.edges[e].across(n)
			if v := there.node; before(v, n) && !g.nodes[v].back {
				g.nodes[n].rank = max(g.nodes[n].rank, g.nodes[v].rank+1)
			}
		}
	}
	g.between()
	g.suction()
	if !g.locate() {
		g.along = nil
	}
}

// suction lets what a pump draws through stand level with it, where nobody told
// how high it is: the typical values that stand in would have it jog up and down.
func (g *graph) suction() {
	assumed := map[string]bool{}
	for _, a := range g.rig.Assumed() {
		if a.Field == "z" {
			assumed[a.Part] = true
		}
	}
	for i := range g.nodes {
		if g.nodes[i].part < 0 || g.parts[g.nodes[i].part].Kind() != "pump" {
			continue
		}
		at, port := i, 0
		for range g.nodes {
			k := slices.IndexFunc(g.nodes[at].edges, func(e int) bool {
				here, _ := g.edges[e].across(at)
				return here.port == port
			})
			if k < 0 {
				break
			}
			_, there := g.edges[g.nodes[at].edges[k]].across(at)
			n := &g.nodes[there.node]
			if n.sort != inline || n.oneWay || len(n.edges) != 2 || !slices.ContainsFunc(n.ports, func(j string) bool { return assumed[j] }) {
				break
			}
			n.z = g.nodes[i].z
			at, port = there.node, 1-there.port
		}
	}
}

// raise lets what leads in from a hookup run level, as high as it comes in.
func (g *graph) raise(i int) {
	n := &g.nodes[i]
	if n.sort != inline {
		return
	}
	for _, j := range n.ports {
		n.z = max(n.z, g.z[j])
	}
}

// spread counts the steps of the water from the tanks to every node, through
// what passes it forward alone; −1 where it does not come. Without tanks it comes
// from the hookups.
func (g *graph) spread() []int {
	dist := make([]int, len(g.nodes))
	for i := range dist {
		dist[i] = -1
	}
	var queue []int
	visit := func(from int) {
		for _, e := range g.nodes[from].edges {
			here, there := g.edges[e].across(from)
			n := &g.nodes[there.node]
			switch {
			case dist[there.node] >= 0, n.oneWay && there.port == 1, n.sort == inlet, n.sort == vessel:
			case g.nodes[from].oneWay && here.port == 0:
			default:
				dist[there.node] = dist[from] + 1
				queue = append(queue, there.node)
			}
		}
	}
	drain := func() {
		for ; len(queue) > 0; queue = queue[1:] {
			visit(queue[0])
		}
	}
	out := func(port bool) { // of the tanks by their outlets, or by the rest
		for i := range g.nodes {
			if g.nodes[i].sort != vessel {
				continue
			}
			dist[i] = 0
			for _, e := range g.nodes[i].edges {
				here, there := g.edges[e].across(i)
				if n := &g.nodes[there.node]; (here.port == 0) == port && dist[there.node] < 0 && !(n.oneWay && there.port == 1) && n.sort != inlet {
					dist[there.node] = 1
					queue = append(queue, there.node)
				}
			}
			if !port {
				drain()
			}
		}
		drain()
	}
	out(true)
	out(false)
	if !slices.ContainsFunc(g.nodes, func(n node) bool { return n.sort == vessel }) {
		for i := range g.nodes {
			if g.nodes[i].sort == inlet {
				dist[i] = 0
				queue = append(queue, i)
			}
		}
		drain()
	}
	return dist
}

// feeds counts the steps from the hookups through what leads in from them and
// nowhere else; −1 of all other nodes.
func (g *graph) feeds(fed []int) []int {
	dist := make([]int, len(g.nodes))
	for i := range dist {
		dist[i] = -1
	}
	var queue []int
	for i := range g.nodes {
		if g.nodes[i].sort == inlet {
			dist[i] = 0
			queue = append(queue, i)
		}
	}
	for ; len(queue) > 0; queue = queue[1:] {
		for _, e := range g.nodes[queue[0]].edges {
			_, there := g.edges[e].across(queue[0])
			n := &g.nodes[there.node]
			if dist[there.node] >= 0 || n.sort == vessel || n.sort == boiler {
				continue
			}
			away := 0 // ways on that are neither from a hookup nor to a tank
			for _, e := range n.edges {
				_, over := g.edges[e].across(there.node)
				if m := &g.nodes[over.node]; dist[over.node] < 0 && m.sort != vessel && len(m.edges) > 1 {
					away++
				}
			}
			if fed[there.node] < 0 && n.sort != bar || away <= 1 {
				dist[there.node] = dist[queue[0]] + 1
				queue = append(queue, there.node)
			}
		}
	}
	// What water comes to only against the sense of something follows its neighbours.
	for again := true; again; {
		again = false
		for i := range g.nodes {
			if fed[i] >= 0 || dist[i] >= 0 {
				continue
			}
			for _, e := range g.nodes[i].edges {
				_, there := g.edges[e].across(i)
				if d := fed[there.node]; d >= 0 && fed[i] < 0 {
					fed[i], again = d+1, true
				} else if d := dist[there.node]; d >= 0 && fed[i] < 0 {
					fed[i], again = d+1, true
				}
			}
		}
	}
	return dist
}

// returns marks what leads back to a tank and nowhere else.
func (g *graph) returns(fed []int) {
	for i := range g.nodes {
		if g.nodes[i].sort != vessel {
			continue
		}
		for _, e := range g.nodes[i].edges {
			here, there := g.edges[e].across(i)
			if here.port == 0 {
				continue
			}
			var chain []int
			at, from := there.node, e
			for n := &g.nodes[at]; n.sort == inline && len(n.edges) == 2; n = &g.nodes[at] {
				if _, pump := g.parts[n.part].(network.Pump); pump || slices.Contains(chain, at) {
					break
				}
				if _, pump := g.parts[n.part].(network.HandPump); pump {
					break
				}
				chain = append(chain, at)
				next := n.edges[0]
				if next == from {
					next = n.edges[1]
				}
				_, on := g.edges[next].across(at)
				at, from = on.node, next
			}
			if g.nodes[at].sort != vessel && fed[at] > 1 {
				for _, n := range chain { // as high as where it ends, above what the pump draws through
					g.nodes[n].back = true
					g.nodes[n].z = max(g.nodes[n].z, g.z[g.nodes[i].ports[here.port]])
				}
			}
		}
	}
}

// between ranks what leads back to a tank between it and where it leaves.
func (g *graph) between() {
	for i := range g.nodes {
		n := &g.nodes[i]
		if !n.back {
			continue
		}
		n.rank = 1
		for _, e := range n.edges {
			if _, there := g.edges[e].across(i); g.nodes[there.node].sort != vessel && !g.nodes[there.node].back {
				n.rank = max(1, g.nodes[there.node].rank/2)
			}
		}
	}
}

// hot tells the joints that a heater's water stands at: those nearer to a heater
// than to where its cold water branches off.
func (g *graph) hot() map[string]bool {
	next := map[string][]string{}
	var sources []string
	heaters := map[string]bool{}
	for _, p := range g.parts {
		j := p.Joints()
		switch p := p.(type) {
		case network.Tank, network.Hookup, network.WasteTank:
			sources = append(sources, j...)
			continue
		case network.Heater:
			heaters[p.At] = true
		case network.Shutoff:
			if p.Shut {
				continue
			}
		case network.Mixer:
			continue
		case network.Selector:
			for _, pair := range p.Positions[0].Joins {
				next[pair[0]] = append(next[pair[0]], pair[1])
				next[pair[1]] = append(next[pair[1]], pair[0])
			}
			continue
		}
		if len(j) == 2 {
			next[j[0]] = append(next[j[0]], j[1])
			next[j[1]] = append(next[j[1]], j[0])
		}
	}
	walk := func(from []string, barred map[string]bool) (dist map[string]int, via map[string]string) {
		dist, via = map[string]int{}, map[string]string{}
		queue := slices.Clone(from)
		for _, j := range from {
			dist[j] = 0
		}
		for ; len(queue) > 0; queue = queue[1:] {
			for _, j := range next[queue[0]] {
				if _, seen := dist[j]; !seen && !barred[j] {
					dist[j], via[j] = dist[queue[0]]+1, queue[0]
					queue = append(queue, j)
				}
			}
		}
		return dist, via
	}
	_, via := walk(sources, nil)
	path := map[string]bool{}
	for _, j := range sources {
		path[j] = true
	}
	var cold, warm []string
	for _, h := range g.sorted(heaters) {
		warm = append(warm, h)
		for j, ok := via[h]; ok && j != ""; j, ok = via[j] {
			if !heaters[j] {
				path[j] = true
			}
		}
	}
	cold = g.sorted(path)
	dc, _ := walk(cold, heaters)
	dh, _ := walk(warm, path)
	hot := map[string]bool{}
	for j, d := range dh {
		if c, reached := dc[j]; !reached || d < c {
			hot[j] = true
		}
	}
	// A mixer's spout and hot side past its handles stay cold.
	return hot
}

func (g *graph) sorted(set map[string]bool) []string {
	list := make([]string, 0, len(set))
	for j := range set {
		list = append(list, j)
	}
	slices.Sort(list)
	return list
}
