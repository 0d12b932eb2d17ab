package chart

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"quietpump/hydraulics/unit"
)

// On a phone, a page and a wall no label runs into another or off the sheet,
// and no mark leaves it.
func TestNothingOverlaps(t *testing.T) {
	for name, p := range samples() {
		for _, width := range []float64{280, 360, 480, 720, 1400} {
			for _, sys := range []unit.System{unit.US, unit.Metric} {
				d, err := Figure{Picture: p, Width: width}.Drawing(sys)
				require.NoError(t, err)
				assert.Empty(t, crowded(d), "%s, %g px, %s", name, width, sys)
			}
		}
	}
}

// crowded tells of labels that overlap or are cut off, and of marks beyond the edge.
func crowded(d Drawing) []string {
	type rect struct {
		x0, y0, x1, y1 float64
		text           string
	}
	var list []rect
	var wrong []string
	for _, m := range d.Marks {
		switch m := m.(type) {
		case Label:
			w := Wide(m.Text, m.Size, m.Bold)
			x := m.At.X - w*float64(m.Side)/2
			r := rect{x, m.At.Y - 0.75*m.Size, x + w, m.At.Y + 0.2*m.Size, m.Text}
			if r.x0 < -0.5 || r.x1 > d.Width+0.5 || r.y0 < 0 || r.y1 > d.Height {
				wrong = append(wrong, fmt.Sprintf("%q is cut off", m.Text))
			}
			for _, o := range list {
				if r.x0 < o.x1 && o.x0 < r.x1 && r.y0 < o.y1 && o.y0 < r.y1 {
					wrong = append(wrong, fmt.Sprintf("%q runs into %q", m.Text, o.text))
				}
			}
			list = append(list, r)
		case Shape:
			for _, p := range m.Points {
				if !(p.X >= -0.5 && p.X <= d.Width+0.5 && p.Y >= -0.5 && p.Y <= d.Height+0.5) {
					wrong = append(wrong, fmt.Sprintf("a line goes to %.1f, %.1f of %g × %g", p.X, p.Y, d.Width, d.Height))
					break
				}
			}
		}
	}
	return wrong
}

// Timelines of any pump and any sizes of things can be drawn, and legibly.
func TestTimelinesOfAnyKind(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 60).Draw(t, "n")
		step := math.Pow(10, rapid.Float64Range(-2, 4).Draw(t, "log10 of a step"))
		tl := Timeline{Switch: Switch{unit.Pressure(rapid.Float64Range(0, 60).Draw(t, "starts")) * unit.PSI, 0}}
		tl.Switch.Stops = tl.Switch.Starts + unit.Pressure(rapid.Float64Range(2, 60).Draw(t, "band"))*unit.PSI
		for i := range n {
			tl.At = append(tl.At, float64(i)*step)
			tl.Pressure = append(tl.Pressure, unit.Pressure(rapid.Float64Range(-5, 150).Draw(t, "p"))*unit.PSI)
		}
		for i := 0; i+1 < n; i += 7 {
			tl.Runs = append(tl.Runs, Span{tl.At[i], tl.At[i] + step*rapid.Float64Range(0, 1).Draw(t, "run")})
		}
		f := Figure{Picture: tl, Width: rapid.Float64Range(300, 900).Draw(t, "width")}
		d, err := f.Drawing(unit.US)
		if err != nil {
			t.Fatal(err)
		}
		if wrong := crowded(d); len(wrong) > 0 {
			t.Fatal(wrong)
		}
	})
}

// Every file is well-formed XML with a title and a description that name the
// finding, and hostile names stay text.
func TestSVGIsSafeAndTold(t *testing.T) {
	const hostile = "</text></svg><script>alert(1)</script>\" onload=\"x\" ]]> & \x00\x1b\ufffe <b>"
	pictures := samples()
	pictures["hostile"] = Suspects{Heading: hostile, List: []Suspect{{Name: hostile, Shape: hostile, Belief: 0.4, Said: hostile}}}
	pictures["hostile outcomes"] = Outcomes{Step: hostile, List: []Outcome{{See: hostile, Chance: 1, Said: hostile, Then: hostile}}}
	pictures["hostile sweep"] = Sweep{X: Axis{Name: hostile, Values: Numbers(hostile, 1, 2)}, Y: hostile, Lines: []Line{{Name: hostile, Values: Numbers(hostile, 1, 2)}}}
	pictures["hostile envelope"] = Envelope{Heading: hostile, At: []unit.Length{1, 2}, Stops: []Stop{{1, hostile}},
		Extremes: []Extreme{{Name: hostile, Highest: []unit.Pressure{1, 2}, Lowest: []unit.Pressure{0, 1}}}}
	for name, p := range pictures {
		for _, theme := range []Theme{Auto, Light, Dark, Print} {
			var b bytes.Buffer
			require.NoError(t, Figure{Picture: p, Theme: theme}.SVG(&b, unit.US, `a"b<c`), name)
			dec := xml.NewDecoder(bytes.NewReader(b.Bytes()))
			elements := map[string]int{}
			for {
				tok, err := dec.Token()
				if err == io.EOF {
					break
				}
				require.NoError(t, err, name)
				if e, ok := tok.(xml.StartElement); ok {
					elements[e.Name.Local]++
					for _, a := range e.Attr {
						assert.False(t, strings.HasPrefix(a.Name.Local, "on"), a.Name.Local)
						assert.NotEqual(t, "href", a.Name.Local)
					}
				}
			}
			for e := range elements {
				assert.Contains(t, []string{"svg", "title", "desc", "style", "path", "text"}, e, name)
			}
			assert.Equal(t, []int{1, 1, 1}, []int{elements["svg"], elements["title"], elements["desc"]}, name)
		}
		assert.NotEmpty(t, p.Title(unit.US))
		assert.NotEmpty(t, p.Words(unit.Metric))
	}
}

// What cannot be drawn is refused in words that say what, and nothing panics.
func TestRefusals(t *testing.T) {
	nan := math.NaN()
	two := Numbers("", 1, 2)
	band := Switch{30 * unit.PSI, 45 * unit.PSI}
	for _, tt := range []struct {
		says string
		p    Picture
	}{
		{"0 cases", Envelope{At: []unit.Length{1, 2}}},
		{"must rise", Envelope{At: []unit.Length{2, 1}}},
		{"1 and 0 pressures for 2 places", Envelope{At: []unit.Length{1, 2}, Extremes: []Extreme{{Name: "all", Highest: []unit.Pressure{1}}}}},
		{"1 pressures before", Envelope{At: []unit.Length{1, 2}, Before: []unit.Pressure{1}, Extremes: []Extreme{{}}}},
		{"0 times and 1 pressures", Timeline{Pressure: []unit.Pressure{1}}},
		{"must rise", Timeline{At: []float64{2, 1}, Pressure: []unit.Pressure{1, 2}, Switch: band}},
		{"cannot be", Timeline{At: []float64{1, 2}, Pressure: []unit.Pressure{1, 2}}},
		{"no pressure is known", Timeline{At: []float64{1, 2}, Pressure: []unit.Pressure{unit.Pressure(nan), unit.Pressure(nan)}, Switch: band}},
		{"does not follow", Timeline{At: []float64{1, 2}, Pressure: []unit.Pressure{1, 2}, Switch: band, Runs: []Span{{2, 1}}}},
		{"as many of each", RestCurve{Sizes: []unit.Flow{1}}},
		{"no place of its own", RestCurve{Sizes: []unit.Flow{0, 1}, Rests: []time.Duration{1, 2}}},
		{"above zero", RestCurve{Sizes: []unit.Flow{1, 2}, Rests: []time.Duration{0, 2}}},
		{"not between 0 and 1", Suspects{List: []Suspect{{Name: "pump", Belief: nan}}}},
		{"not between 0 and 1", Outcomes{List: []Outcome{{See: "a start", Chance: 2}}}},
		{"0 lines", Sweep{X: Axis{Name: "x", Values: two}}},
		{"for 2 of x", Sweep{X: Axis{Name: "x", Values: two}, Lines: []Line{{Values: Numbers("", 1)}}}},
		{"not known at any", Sweep{X: Axis{Name: "x", Values: two}, Y: "rest", Lines: []Line{{Values: Numbers("", nan, nan)}}}},
		{"1 cells for 2 × 2", HeatMap{X: Axis{Values: two}, Y: Axis{Values: two}, Cells: Numbers("", 1)}},
		{"no value that can be drawn", HeatMap{X: Axis{Values: two}, Y: Axis{Values: two}, Cells: Numbers("", nan, nan, nan, nan)}},
		{"fewer than two points", PumpCurve{}},
		{"without a picture", nil},
	} {
		_, err := Figure{Picture: tt.p}.Drawing(unit.US)
		require.Error(t, err, tt.says)
		assert.Contains(t, err.Error(), tt.says)
		if tt.p != nil {
			assert.NotPanics(t, func() { _, _ = tt.p.Title(unit.US), tt.p.Words(unit.US) })
		}
	}
	_, err := Figure{Picture: Suspects{}, Width: 100}.Drawing(unit.US)
	require.ErrorContains(t, err, "too narrow for words")
}

// A curve is cut off at the edge of its field and broken where nothing is known.
func TestCurvesStayInTheirField(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := Drawing{Width: 200, Height: 200}
		f := &frame{d: &d, left: 20, right: 180, top: 20, bottom: 180, x: axis{lo: 0, hi: 1, from: 20, to: 180}, y: axis{lo: 0, hi: 1, from: 180, to: 20}}
		var x, y []float64
		value := rapid.OneOf(rapid.Float64Range(-3, 3), rapid.Just(math.NaN()), rapid.Just(math.Inf(1)))
		for range rapid.IntRange(0, 30).Draw(t, "n") {
			x, y = append(x, value.Draw(t, "x")), append(y, value.Draw(t, "y"))
		}
		f.curve(Cold, 2, 0, x, y)
		for _, m := range d.Marks {
			for _, p := range m.(Shape).Points {
				if p.X < f.left-1e-6 || p.X > f.right+1e-6 || p.Y < f.top-1e-6 || p.Y > f.bottom+1e-6 {
					t.Fatalf("%v is outside", p)
				}
			}
		}
	})
}

// Thinning leaves no point further off than it says.
func TestThinned(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var p []Point
		for i := range rapid.IntRange(2, 80).Draw(t, "n") {
			p = append(p, Point{float64(i), rapid.Float64Range(0, 3).Draw(t, "y")})
		}
		q := thinned(p)
		if q[0] != p[0] || q[len(q)-1] != p[len(p)-1] {
			t.Fatal("the ends are kept")
		}
		for _, a := range p {
			near := math.Inf(1)
			for i := 1; i < len(q); i++ {
				near = math.Min(near, offLine(a, q[i-1], q[i]))
			}
			if near > 0.1+1e-9 {
				t.Fatalf("%v is %g off", a, near)
			}
		}
	})
}
