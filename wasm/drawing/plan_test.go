package drawing

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim/chart"
	"quietpump/testdata/rigs"
	"quietpump/wasm/frame"
)

// house are the rigs of the house.
func house(t testing.TB) map[string]*network.Rig {
	files, err := rigs.Files.ReadDir(".")
	require.NoError(t, err)
	all := map[string]*network.Rig{}
	for _, f := range files {
		data, err := rigs.Files.ReadFile(f.Name())
		require.NoError(t, err)
		rig, err := rigfile.Parse(f.Name(), data)
		require.NoError(t, err)
		all[f.Name()] = rig
	}
	return all
}

// boxes are what a phone, a tablet and two screens leave for the drawing.
var boxes = map[string]frame.Box{
	"phone upright": {X1: 390, Y1: 250},
	"phone on side": {X1: 480, Y1: 390},
	"tablet":        {X1: 768, Y1: 520},
	"desk":          {X0: 400, X1: 1440, Y0: 20, Y1: 560},
	"large":         {X0: 400, X1: 2560, Y1: 1000},
}

// reporter is a test or a property.
type reporter interface {
	Errorf(string, ...any)
	FailNow()
}

// holds checks all that must hold of a rig's picture in a box.
func holds(t reporter, p *Plan, in frame.Box, v View) {
	pic := p.picture(in)
	inside(t, p, in, v)
	elevations(t, p, pic)
	apart(t, p, pic)
	clear(t, p, pic)
	found(t, p, in)
}

func corners(m chart.Mark) (p []chart.Point, margin float64) {
	switch m := m.(type) {
	case chart.Shape:
		return m.Points, m.Width / 2
	case chart.Label:
		x0, wide := m.At.X, chart.Wide(m.Text, m.Size, m.Bold)
		switch m.Side {
		case chart.Middle:
			x0 -= wide / 2
		case chart.End:
			x0 -= wide
		}
		return []chart.Point{{X: x0, Y: m.At.Y - 0.8*m.Size}, {X: x0 + wide, Y: m.At.Y + 0.25*m.Size}}, 0
	}
	return nil, 0
}

// inside: every mark lies in the box, is a number, and no text is small; no two
// labels overlap.
func inside(t reporter, p *Plan, in frame.Box, v View) {
	var d chart.Drawing
	p.Still(&d, in, frame.Look{}, v)
	p.Moving(&d, in, frame.Look{}, noon, v)
	var labels []chart.Label
	for _, m := range d.Marks {
		at, margin := corners(m)
		for _, q := range at {
			if !(q.X-margin >= in.X0-0.1 && q.X+margin <= in.X1+0.1 && q.Y-margin >= in.Y0-0.1 && q.Y+margin <= in.Y1+0.1) {
				t.Errorf("%T at %v leaves the box %v: %.200v", m, q, in, m)
				break
			}
		}
		if l, ok := m.(chart.Label); ok {
			labels = append(labels, l)
			assert.GreaterOrEqual(t, l.Size, 12.0, l.Text)
		}
	}
	for i, a := range labels {
		for _, b := range labels[:i] {
			p, _ := corners(a)
			q, _ := corners(b)
			if p[0].X < q[1].X && q[0].X < p[1].X && p[0].Y < q[1].Y && q[0].Y < p[1].Y {
				t.Errorf("%q and %q overlap", a.Text, b.Text)
			}
		}
	}
}

// elevations: what is higher by more than shows is drawn higher, and nothing the
// other way round.
func elevations(t reporter, p *Plan, pic *picture) {
	type at struct {
		name string
		z, y float64
	}
	var all []at
	for i := range p.g.nodes {
		if n := &p.g.nodes[i]; n.sort != underslung {
			all = append(all, at{fmt.Sprint(n.joint, n.part), n.z, pic.y(float64(pic.l.spots[i].y))})
		}
	}
	for _, a := range all {
		for _, b := range all {
			if a.z >= b.z+1.01*near/1000 && !(a.y < b.y) || a.z >= b.z+0.001 && millimetres(a.z) != millimetres(b.z) && a.y > b.y+float64(stand+2)*3*pic.sy {
				t.Errorf("%s at %.3f m is drawn at %.1f, %s at %.3f m at %.1f", a.name, a.z, a.y, b.name, b.z, b.y)
			}
		}
	}
}

// apart: no two silhouettes overlap.
func apart(t reporter, p *Plan, pic *picture) {
	for i, a := range pic.parts {
		for k, b := range pic.parts[:i] {
			if a.box.X1 > a.box.X0 && b.box.X1 > b.box.X0 && meets(a.box.Inset(0.5), b.box.Inset(0.5)) {
				t.Errorf("%s lies over %s", p.g.parts[i].ID(), p.g.parts[k].ID())
			}
		}
	}
}

// clear: no tube runs through a silhouette that it does not end at.
func clear(t reporter, p *Plan, pic *picture) {
	for i := range pic.runs {
		r := &pic.runs[i]
		for k := range pic.parts {
			b := pic.parts[k].box.Inset(1)
			if b.X1 <= b.X0 {
				continue
			}
			for s := 0.0; s <= r.long; s += 2 {
				if at, _, _ := r.point(s); b.Holds(at.X, at.Y) {
					t.Errorf("%q runs through %s at %.0f, %.0f", r.part, p.g.parts[k].ID(), at.X, at.Y)
					break
				}
			}
		}
		assert.False(t, math.IsNaN(r.long))
	}
	for e := range p.g.edges {
		assert.NotEmpty(t, pic.l.ways[e], "no way for edge %d", e)
	}
}

// found: every part is found at its place, and what is nearest within a finger's
// reach of it is itself or something nearer.
func found(t reporter, p *Plan, in frame.Box) {
	for _, part := range p.g.parts {
		at, ok := p.Where(part.ID(), in)
		if !ok {
			t.Errorf("%s is not in the picture", part.ID())
			continue
		}
		x, y := (at.X0+at.X1)/2, (at.Y0+at.Y1)/2
		got, ok := p.Find(x, y, in)
		if _, tube := part.(network.Tube); tube && got != part.ID() && crowded(p.picture(in), p.g.parts, part.ID(), x, y) {
			continue
		}
		if !ok || got != part.ID() {
			t.Errorf("%s at %.0f, %.0f: found %q", part.ID(), x, y, got)
		}
	}
}

// crowded tells a place where one tube cannot be told from another: no more than
// a pixel lies between them.
func crowded(pic *picture, parts []network.Part, tube string, x, y float64) bool {
	for i := range pic.runs {
		if r := &pic.runs[i]; r.part != tube && r.away(x, y) < 1.5 {
			return true
		}
	}
	return false
}

func TestHouseRigs(t *testing.T) {
	for name, rig := range house(t) {
		p, err := Lay(rig)
		require.NoError(t, err)
		for size, in := range boxes {
			t.Run(name+" "+size, func(t *testing.T) { holds(t, p, in, View{}) })
		}
	}
}

func TestAnyRig(t *testing.T) {
	sizes := []string{"phone upright", "phone on side", "tablet", "desk", "large"}
	rapid.Check(t, func(t *rapid.T) {
		rig := rigOf(t)
		p, err := Lay(rig)
		require.NoError(t, err)
		holds(t, p, boxes[rapid.SampledFrom(sizes).Draw(t, "box")], viewOf(t, rig))
	})
}

// What a finger can mean: a part within 22 px of it, where none is nearer.
func TestFindReaches(t *testing.T) {
	for name, rig := range house(t) {
		p, err := Lay(rig)
		require.NoError(t, err)
		for size, in := range boxes {
			pic := p.picture(in)
			for x := in.X0; x < in.X1; x += 37 {
				for y := in.Y0; y < in.Y1; y += 31 {
					nearest := math.Inf(1)
					for i := range pic.parts {
						if b := pic.parts[i].box; b.X1 > b.X0 {
							nearest = min(nearest, from(b, x, y))
						}
					}
					for i := range pic.runs {
						if r := &pic.runs[i]; r.tube >= 0 {
							nearest = min(nearest, r.away(x, y))
						}
					}
					part, ok := p.Find(x, y, in)
					if nearest > 22 {
						assert.False(t, ok, "%s, %s: %s at %.0f, %.0f, %.0f px off", name, size, part, x, y, nearest)
					} else if nearest < 16 {
						assert.True(t, ok, "%s, %s: nothing at %.0f, %.0f, %.0f px off", name, size, x, y, nearest)
					}
				}
			}
		}
	}
}

func TestLayRefusesWhatCannotBeDrawn(t *testing.T) {
	_, err := Lay(nil)
	assert.ErrorContains(t, err, "no rig")
	items := []network.Item{network.Hookup{Name: "hookup", At: "a 0"}}
	for i := range largest {
		items = append(items, network.Tube{Name: fmt.Sprint("tube ", i), From: fmt.Sprint("a ", i), To: fmt.Sprint("a ", i+1)},
			network.Fixture{Name: fmt.Sprint("tap ", i), At: fmt.Sprint("a ", i+1)})
	}
	rig, err := network.New("street", items...)
	require.NoError(t, err)
	_, err = Lay(rig)
	assert.ErrorContains(t, err, "split the rig")
}
