package waves

import (
	"math"

	"quietpump/network"
)

// A Leg is a tube on a way, and whether the way runs from its second end to its first.
type Leg struct {
	Tube network.Tube
	Back bool
}

// Way returns the tubes on the shortest open way from one joint to another, in order;
// nil where there is none, or none with a tube on it.
func Way(rig *network.Rig, lineup network.Lineup, from, to string) []Leg {
	type hop struct {
		joint string
		leg   *Leg
		long  float64
	}
	next := map[string][]hop{}
	join := func(a, b string) {
		next[a] = append(next[a], hop{joint: b})
		next[b] = append(next[b], hop{joint: a})
	}
	for _, p := range rig.Parts() {
		set := lineup.Of(p)
		switch p := p.(type) {
		case network.Tube:
			next[p.From] = append(next[p.From], hop{p.To, &Leg{Tube: p}, float64(p.Length)})
			next[p.To] = append(next[p.To], hop{p.From, &Leg{Tube: p, Back: true}, float64(p.Length)})
		case network.Shutoff:
			if set.Opening() > 0 {
				join(p.From, p.To)
			}
		case network.Selector:
			for _, pos := range p.Positions {
				for _, pair := range pos.Joins {
					if pos.Name == set.Word() {
						join(pair[0], pair[1])
					}
				}
			}
		case network.Mixer:
			if set.Opening() > 0 || set.Word() == "hot" {
				join(p.Hot, p.Spout)
			}
			if set.Opening() > 0 || set.Word() == "cold" {
				join(p.Cold, p.Spout)
			}
		case network.Check, network.Regulator, network.Strainer, network.Filter:
			j := p.Joints()
			join(j[0], j[1])
		}
	}
	// Dijkstra's, over the few joints of a rig.
	far := map[string]float64{from: 0}
	came := map[string]hop{} // joint: by what it was reached; its joint is where from
	done := map[string]bool{}
	for {
		at, least := "", math.Inf(1)
		for j, d := range far {
			if !done[j] && (d < least || d == least && j < at) {
				at, least = j, d
			}
		}
		if at == "" {
			return nil
		}
		if at == to {
			break
		}
		done[at] = true
		for _, h := range next[at] {
			if d, known := far[h.joint]; !known || least+h.long < d {
				far[h.joint] = least + h.long
				came[h.joint] = hop{at, h.leg, h.long}
			}
		}
	}
	var way []Leg
	for at := to; at != from; at = came[at].joint {
		if l := came[at].leg; l != nil {
			way = append([]Leg{*l}, way...)
		}
	}
	return way
}
