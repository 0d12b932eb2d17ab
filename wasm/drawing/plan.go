// Package drawing shows any rig as a picture: a side view of the vehicle, cut open
// so that the plumbing is the picture.
//
//	plan, err := drawing.Lay(rig)
//	plan.Still(&f.Still, box, f.Look, view)          // when something has changed
//	plan.Moving(&f.Moving, box, f.Look, f.Now, view) // each frame
//	part, ok := plan.Find(x, y, box)                 // what a finger is on
//
// Tanks and pump stand left, taps right, in the order in which the water meets
// them. What is higher in the vehicle is higher in the picture. The rig needs to
// say nothing about the picture: places and the ways of the tubes are computed,
// and the same rig gives the same picture everywhere.
package drawing

import (
	"errors"
	"fmt"
	"math"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/wasm/frame"
)

// A Plan is a rig laid out. It keeps what it has worked out for a box, and where
// the ripples stand; it is for one goroutine.
type Plan struct {
	rig   *network.Rig
	g     *graph
	hot   map[string]bool
	gauge int // node of the pump with the gauge; −1: none

	lattices map[int]*routed
	pics     []*picture // for boxes, the last used first
	motion   motion
}

// A View is how the rig stands at one moment, and what the reader is to be told of it.
// The zero View is a rig of which nothing is known, its valves as its file has them.
type View struct {
	Sample  *sim.Sample // pressures, flows and levels; nil: nothing is known and nothing flows
	Lineup  network.Lineup
	Faults  network.Faults  // marked in the picture
	Running map[string]bool // pumps whose motor turns
	Picked  string          // part or joint that the reader has picked; empty: none
	Show    []string        // parts and joints whose names must be shown; those of the others are shown where there is room
	Secret  bool            // something seeps that is not to be given away: nobody sees into a waste tank
}

// largest is the number of places a picture can have; no vehicle comes near it.
const largest = 400

// Lay lays a rig out. The error is for a nil rig, one with nothing to draw, or one with
// more than a picture can show.
func Lay(rig *network.Rig) (*Plan, error) {
	if rig == nil {
		return nil, errors.New("drawing: there is no rig to draw")
	}
	g := drawn(rig)
	if len(g.nodes) == 0 {
		return nil, errors.New("drawing: the rig has no parts to draw; give it a tank, a pump and a tap")
	}
	if n := len(g.nodes); n > largest {
		return nil, fmt.Errorf("drawing: the rig has %d parts and joints that need a place, and a picture shows %d at most; split the rig", n, largest)
	}
	g.order()
	return &Plan{rig: rig, g: g, hot: g.hot(), gauge: g.gauged(), lattices: map[int]*routed{}}, nil
}

// gauged is the node of the pump that starts first.
func (g *graph) gauged() int {
	at, starts := -1, unit.Pressure(math.Inf(-1))
	for i := range g.nodes {
		if g.nodes[i].part < 0 || g.nodes[i].sort != inline {
			continue
		}
		if p, ok := g.parts[g.nodes[i].part].(network.Pump); ok {
			if s, _ := switchOf(p); s > starts {
				at, starts = i, s
			}
		}
	}
	return at
}

// switchOf is where a pump starts and stops.
func switchOf(p network.Pump) (starts, stops unit.Pressure) {
	if p.Hold != nil {
		return p.Hold.Start, p.Hold.Set
	}
	return p.CutIn, p.CutOut
}

// Find is the part at a place, px, a tube too, or the nearest within reach of a
// finger: targets are at least 44 px across where nothing else is nearer; ok is false
// where there is none.
func (p *Plan) Find(x, y float64, in frame.Box) (part string, ok bool) {
	pic := p.picture(in)
	const reach = 22
	best, found := reach+1e-9, -1
	for i := range pic.parts {
		if b := pic.parts[i].box; b != (frame.Box{}) {
			if d := away(b, x, y); d < best {
				best, found = d, i
			}
		}
	}
	for i := range pic.runs {
		r := &pic.runs[i]
		if r.tube < 0 {
			continue
		}
		d := r.away(x, y)
		if d <= r.wide/2+1 { // on it
			d *= 0.05
		} else {
			d += 6 // beside it a part is rather meant
		}
		if d < best {
			best, found = d, r.tube
		}
	}
	if found < 0 {
		return "", false
	}
	return p.g.parts[found].ID(), true
}

// away is how far a point lies from a box; within it the middle is nearest.
func away(b frame.Box, x, y float64) float64 {
	if b.Holds(x, y) {
		return -1 / (1 + math.Hypot(x-(b.X0+b.X1)/2, y-(b.Y0+b.Y1)/2))
	}
	return from(b, x, y)
}

// Where is the place of a part or joint in the picture: a part's silhouette, the
// clearest place of a tube, a joint's point; ok is false of a name that has no place.
func (p *Plan) Where(name string, in frame.Box) (at frame.Box, ok bool) {
	return p.picture(in).where(p, name)
}
