package paint

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/sim/chart"
)

func layer(scale float64, m ...chart.Mark) *Layer {
	var l Layer
	l.Reset(scale, chart.Light)
	l.Add(&chart.Drawing{Marks: m})
	return &l
}

// covered is the part of a device pixel's middle that the shader would ink.
func covered(l *Layer, x, y float64) (seen float64, top Vertex) {
	for _, b := range l.Batches {
		for t := 0; t < len(b.Indices); t += 3 {
			v := [3]Vertex{b.Vertices[b.Indices[t]], b.Vertices[b.Indices[t+1]], b.Vertices[b.Indices[t+2]]}
			p := [3]chart.Point{}
			for i := range v {
				p[i] = chart.Point{X: float64(v[i].DstX), Y: float64(v[i].DstY)}
			}
			whole := cross(p[0], p[1], p[2])
			if whole == 0 {
				continue
			}
			q := chart.Point{X: x, Y: y}
			w := [3]float64{cross(p[1], p[2], q) / whole, cross(p[2], p[0], q) / whole, cross(p[0], p[1], q) / whole}
			if w[0] < 0 || w[1] < 0 || w[2] < 0 {
				continue
			}
			mix := func(f func(Vertex) float32) float64 {
				return w[0]*float64(f(v[0])) + w[1]*float64(f(v[1])) + w[2]*float64(f(v[2]))
			}
			u, a := mix(func(v Vertex) float32 { return v.Custom0 }), mix(func(v Vertex) float32 { return v.Custom1 })
			long, half := float64(v[0].Custom2), float64(v[0].Custom3)
			along := max(-u, u-long, 0)
			if c := min(max(0.5-(math.Hypot(along, a)-half), 0), 1); c > 0 {
				seen, top = max(seen, c), v[0]
			}
		}
	}
	return seen, top
}

func TestLineIsAsWideAsItSays(t *testing.T) {
	l := layer(2, chart.Shape{Points: []chart.Point{{X: 10, Y: 10}, {X: 30, Y: 10}}, Line: chart.Cold, Width: 3})
	for _, tt := range []struct{ x, y, want float64 }{
		{40, 20, 1}, {40, 22.5, 1}, {40, 23, 0.5}, {40, 23.5, 0}, // 6 device pixels wide
		{60, 20, 1}, {62.4, 20, 1}, {63, 20, 0.5}, {63.6, 20, 0}, // a round end
		{62.5, 22.5, 0}, // its corner
	} {
		seen, _ := covered(l, tt.x, tt.y)
		assert.InDelta(t, tt.want, seen, 1e-4, "at %g, %g", tt.x, tt.y)
	}
	_, v := covered(l, 40, 20)
	c := chart.Cold.Colour(chart.Light)
	assert.InDelta(t, float32(c.B)/255, v.ColorB, 1e-6)
	assert.Equal(t, float32(1), v.ColorA)
}

func TestDashesAreAsLongAsTheGaps(t *testing.T) {
	l := layer(1, chart.Shape{Points: []chart.Point{{X: 0, Y: 0}, {X: 25, Y: 0}, {X: 25, Y: 25}}, Line: chart.Body, Width: 1, Dash: 10})
	for _, tt := range []struct {
		x, y float64
		down bool
	}{{5, 0, true}, {15, 0, false}, {23, 0, true}, {25, 3, true}, {25, 10, false}, {25, 20, true}} {
		seen, _ := covered(l, tt.x, tt.y)
		assert.Equal(t, tt.down, seen > 0.9, "at %g, %g", tt.x, tt.y)
	}
}

func TestAreaCoversWhatLiesWithin(t *testing.T) {
	// A U: its notch stays clear.
	u := []chart.Point{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 10, Y: 30}, {X: 20, Y: 30}, {X: 20, Y: 0}, {X: 30, Y: 0}, {X: 30, Y: 40}, {X: 0, Y: 40}}
	for _, way := range []string{"as told", "the other way round"} {
		l := layer(1, chart.Shape{Points: u, Closed: true, Fill: chart.Still})
		for _, tt := range []struct {
			x, y float64
			in   bool
		}{{5, 5, true}, {15, 10, false}, {15, 35, true}, {25, 5, true}, {-3, 5, false}, {15, 45, false}} {
			seen, _ := covered(l, tt.x, tt.y)
			assert.Equal(t, tt.in, seen == 1, "%s at %g, %g", way, tt.x, tt.y)
		}
		seen, _ := covered(l, -0.25, 20) // a quarter of a pixel outside
		assert.InDelta(t, 0.25, seen, 1e-4)
		for i, j := 0, len(u)-1; i < j; i, j = i+1, j-1 {
			u[i], u[j] = u[j], u[i]
		}
	}
}

// A polygon round a middle, its corners at rising angles, is simple.
func stars(t *rapid.T) []chart.Point {
	n := rapid.IntRange(3, 40).Draw(t, "corners")
	r := rapid.SliceOfN(rapid.Float64Range(0.05, 1), n, n).Draw(t, "radii")
	p := make([]chart.Point, n)
	for i := range p {
		a := 2 * math.Pi * (float64(i) + 0.3) / float64(n)
		p[i] = chart.Point{X: 500 * r[i] * math.Cos(a), Y: 500 * r[i] * math.Sin(a)}
	}
	return p
}

// A comb: teeth of any length, with corners in line.
func combs(t *rapid.T) []chart.Point {
	var p []chart.Point
	n := rapid.IntRange(1, 30).Draw(t, "teeth")
	for i := range n {
		x := float64(20 * i)
		long := rapid.Float64Range(1, 300).Draw(t, "long")
		p = append(p, chart.Point{X: x, Y: 0}, chart.Point{X: x, Y: long}, chart.Point{X: x + 10, Y: long}, chart.Point{X: x + 10, Y: 0})
	}
	return append(p, chart.Point{X: float64(20 * n), Y: 0}, chart.Point{X: float64(20 * n), Y: -50}, chart.Point{X: 0, Y: -50})
}

func TestTrianglesTileAnySimplePolygon(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.OneOf(rapid.Custom(stars), rapid.Custom(combs)).Draw(t, "polygon")
		if rapid.Bool().Draw(t, "turned") {
			for i, j := 0, len(p)-1; i < j; i, j = i+1, j-1 {
				p[i], p[j] = p[j], p[i]
			}
		}
		var c cutter
		got := c.triangles(p)
		if len(got) != 3*(len(p)-2) {
			t.Fatalf("%d corners gave %d numbers", len(p), len(got))
		}
		// All turn the same way and their areas make up the whole: they tile it.
		whole, sum := area(p), 0.0
		for i := 0; i < len(got); i += 3 {
			a := cross(p[got[i]], p[got[i+1]], p[got[i+2]])
			if a*whole < -1e-6*whole*whole {
				t.Fatalf("triangle %v turns the other way", got[i:i+3])
			}
			sum += a
		}
		if math.Abs(sum-whole) > 1e-9*math.Abs(whole) {
			t.Fatalf("triangles cover %g of %g", sum, whole)
		}
	})
}

func TestTrianglesEndWhateverThePolygon(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 60).Draw(t, "corners")
		p := make([]chart.Point, n)
		for i := range p {
			p[i] = chart.Point{X: float64(rapid.IntRange(0, 9).Draw(t, "x")), Y: float64(rapid.IntRange(0, 9).Draw(t, "y"))}
		}
		var c cutter
		for _, i := range c.triangles(p) {
			if i < 0 || i >= n {
				t.Fatalf("corner %d of %d", i, n)
			}
		}
	})
}

func TestBatchesAreNoLargerThanACall(t *testing.T) {
	var d chart.Drawing
	for i := range 40_000 {
		x := float64(i % 1000)
		d.Add(chart.Shape{Points: []chart.Point{{X: x, Y: 0}, {X: x, Y: 5}}, Line: chart.Body, Width: 1})
	}
	round := make([]chart.Point, most+500)
	for i := range round {
		a := 2 * math.Pi * float64(i) / float64(len(round))
		round[i] = chart.Point{X: 5000 * math.Cos(a), Y: 5000 * math.Sin(a)}
	}
	d.Add(chart.Shape{Points: round, Closed: true, Fill: chart.Cold, Line: chart.Body, Width: 1})
	l := layer(1, d.Marks...)
	triangles := 0
	for _, b := range l.Batches {
		require.LessOrEqual(t, len(b.Vertices), most)
		for _, i := range b.Indices {
			require.Less(t, int(i), len(b.Vertices))
		}
		triangles += len(b.Indices) / 3
	}
	assert.Equal(t, 2*40_000+len(round)-2+2*len(round), triangles)
}

func TestPlacesThatAreNoNumbersAreLeftOut(t *testing.T) {
	l := layer(1,
		chart.Shape{Points: []chart.Point{{X: math.NaN()}, {X: 1}}, Line: chart.Body, Width: 1},
		chart.Shape{Points: []chart.Point{{X: math.Inf(1)}}, Fill: chart.Body},
		chart.Label{At: chart.Point{X: math.NaN()}, Text: "lost", Size: 12, Ink: chart.Body},
		chart.Label{Text: "kept", Size: 12, Ink: chart.Body},
		chart.Shape{}, chart.Label{Size: 12})
	assert.Empty(t, l.Batches)
	require.Len(t, l.Labels, 1)
	assert.Equal(t, "kept", l.Labels[0].Text)
}

// busy is a drawing as large as the largest rig's: 60 tubes, 300 dashes, a chart
// of 2,000 points, some areas.
func busy() *chart.Drawing {
	var d chart.Drawing
	for i := range 60 {
		x := float64(i) * 10
		d.Add(chart.Shape{Points: []chart.Point{{X: x, Y: 0}, {X: x, Y: 200}, {X: x + 50, Y: 200}}, Line: chart.Cold, Width: 4},
			chart.Shape{Points: []chart.Point{{X: x, Y: 0}, {X: x + 50, Y: 0}}, Line: chart.Body, Width: 1, Dash: 5})
	}
	wave, ring := make([]chart.Point, 2000), make([]chart.Point, 48)
	for i := range wave {
		wave[i] = chart.Point{X: float64(i) / 2, Y: 300 + 50*math.Sin(float64(i)/30)}
	}
	for i := range ring {
		a, r := 2*math.Pi*float64(i)/48, 20+5*math.Sin(float64(i))
		ring[i] = chart.Point{X: 300 + r*math.Cos(a), Y: 400 + r*math.Sin(a)}
	}
	d.Add(chart.Shape{Points: wave, Line: chart.Body, Width: 1.5})
	for range 40 {
		d.Add(chart.Shape{Points: ring, Closed: true, Fill: chart.Paper, Line: chart.Body, Width: 1.5})
	}
	return &d
}

func TestALayerUsedAgainAllocatesNothing(t *testing.T) {
	var l Layer
	d := busy()
	lay := func() { l.Reset(2, chart.Dark); l.Add(d) }
	lay()
	lay()
	assert.Zero(t, testing.AllocsPerRun(20, lay))
}

func BenchmarkLayer(b *testing.B) {
	var l Layer
	d := busy()
	b.ReportAllocs()
	for b.Loop() {
		l.Reset(2, chart.Light)
		l.Add(d)
	}
	n := 0
	for _, batch := range l.Batches {
		n += len(batch.Vertices)
	}
	b.ReportMetric(float64(n), "vertices")
}

func ExampleLayer() {
	d := chart.Drawing{Width: 100, Height: 60}
	d.Add(
		chart.Shape{Points: []chart.Point{{X: 10, Y: 10}, {X: 60, Y: 10}, {X: 60, Y: 40}}, Line: chart.Cold, Width: 4},
		chart.Label{At: chart.Point{X: 10, Y: 30}, Text: "45 psi", Size: 14, Ink: chart.Body},
	)
	var l Layer
	l.Reset(2, chart.Light)
	l.Add(&d)
	fmt.Println(len(l.Batches), "call,", len(l.Batches[0].Vertices), "corners, label", l.Labels[0].Text)
	// Output: 1 call, 8 corners, label 45 psi
}
