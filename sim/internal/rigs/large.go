package rigs

import (
	"fmt"
	"math/rand/v2"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// A Shape is how a large rig's tubes run.
type Shape string

// The shapes: a random tree with a tap at every end; a ring with a smaller ring at each
// twentieth joint and a tap at every joint; a square of tubes with a tap at every joint.
const (
	Tree  Shape = "tree"
	Rings Shape = "rings"
	Grid  Shape = "grid"
)

// Large is a campground behind one hookup, of about so many joints: as large as this
// library's rigs get. Every tap is open by a random part; in rings and grids all of them
// together draw four litres a second at 45 psi, whatever the number. A standpipe near the
// hookup is shut. Stiff tubes take up no water when the pressure rises.
func Large(shape Shape, joints int, stiff bool) (*network.Rig, network.Lineup, error) {
	g := &large{Rand: rand.New(rand.NewPCG(1, uint64(joints))), stiff: stiff, lineup: network.Lineup{"main": network.On()}}
	g.items = append(g.items, network.Hookup{Name: "main", At: joint(0), Static: 60 * unit.PSI, Ideal: true})
	switch shape {
	case Tree:
		ends := make([]bool, joints)
		for i := 1; i < joints; i++ {
			from := max(0, i-1-g.IntN(min(i, 8)))
			ends[from], ends[i] = false, true
			g.tube(from, i, "1 in")
		}
		for i, end := range ends {
			if end {
				g.tap(i, 1*unit.GPM, 0.02+0.5*g.Float64())
			}
		}
	case Rings:
		const spur = 20
		for hub := 0; hub < joints; hub += spur {
			end := min(hub+spur, joints)
			for i := hub + 1; i < end; i++ {
				g.tube(i-1, i, "1 in")
			}
			g.tube(end-1, hub, "1 in")
			next := hub + spur
			if next >= joints {
				next = 0
			}
			if next != hub {
				g.wide(hub, next)
			}
		}
		g.taps(joints)
	case Grid:
		side := 1
		for (side+1)*(side+1) <= joints {
			side++
		}
		joints = side * side
		for i := range joints {
			if i%side < side-1 {
				g.wide(i, i+1)
			}
			if i+side < joints {
				g.wide(i, i+side)
			}
		}
		g.taps(joints)
	}
	g.items = append(g.items, network.Fixture{Name: "standpipe", At: joint(min(20, joints-1)), Rated: 10 * unit.GPM})
	for i := range joints {
		g.items = append(g.items, network.Joint{Name: joint(i)})
	}
	rig, err := network.New(string(shape), g.items...)
	return rig, g.lineup, err
}

type large struct {
	*rand.Rand
	items  []network.Item
	lineup network.Lineup
	stiff  bool
	tubes  int
}

func joint(i int) string { return fmt.Sprintf("j%05d", i) }

func (g *large) tube(a, b int, size string) {
	g.tubes++
	g.items = append(g.items, network.Tube{Name: fmt.Sprintf("t%06d", g.tubes), From: joint(a), To: joint(b), Size: size,
		Length: unit.Length(5+20*g.Float64()) * unit.Metre, K: 2, Rigid: g.stiff})
}

// wide is a main, 40 mm inside.
func (g *large) wide(a, b int) {
	g.tubes++
	g.items = append(g.items, network.Tube{Name: fmt.Sprintf("t%06d", g.tubes), From: joint(a), To: joint(b),
		Length: unit.Length(5+20*g.Float64()) * unit.Metre, Bore: 0.04, Roughness: 7e-6, Compliance: 1e-10, K: 2, Rigid: g.stiff})
}

func (g *large) taps(joints int) {
	for i := range joints {
		g.tap(i, unit.Flow(8e-3/float64(joints)), 0.02+0.96*g.Float64())
	}
}

func (g *large) tap(i int, rated unit.Flow, opening float64) {
	name := fmt.Sprintf("tap%05d", i)
	g.items = append(g.items, network.Fixture{Name: name, At: joint(i), Rated: rated})
	g.lineup[name] = network.Open(opening)
}
