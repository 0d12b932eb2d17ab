package paint_test

import (
	"fmt"
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/sim/chart"
	"quietpump/wasm/frame"
	"quietpump/wasm/paint"
)

func labelled(texts ...string) chart.Drawing {
	var d chart.Drawing
	for i, text := range texts {
		d.Marks = append(d.Marks, chart.Label{At: chart.Point{X: 10, Y: 20 * float64(i)}, Text: text, Size: 14, Ink: chart.Body})
	}
	return d
}

func line(x float64) chart.Shape {
	return chart.Shape{Points: []chart.Point{{X: 0, Y: 0}, {X: x, Y: 9}}, Line: chart.Body, Width: 2}
}

func TestPaintingFollows(t *testing.T) {
	p := paint.NewPainting(2)
	f := &frame.Frame{Paper: frame.Box{X1: 100, Y1: 100}, Changed: true}
	f.Still.Marks = []chart.Mark{line(5)}
	f.Moving.Marks = []chart.Mark{line(7)}
	follow := func() (still, moves bool) {
		still, moves, err := p.Follow(f)
		require.NoError(t, err)
		return still, moves
	}
	still, moves := follow()
	assert.True(t, still && moves, "the first frame")
	f.Changed = false
	still, moves = follow()
	assert.False(t, still || moves, "the same again")
	f.Moving.Marks = []chart.Mark{line(8)}
	still, moves = follow()
	assert.True(t, !still && moves, "something has moved")
	f.Moving.Marks = nil
	still, moves = follow()
	assert.True(t, !still && moves, "something has gone")
	f.Moving = labelled("8 psi")
	still, moves = follow()
	assert.True(t, !still && moves, "a label has come")
	f.Look.Dark = true
	still, _ = follow()
	assert.True(t, still, "another theme")
	f.Paper.X1 = 50
	still, _ = follow()
	assert.True(t, still, "other paper")
	assert.NotEmpty(t, p.Still.Batches)
}

// What is new is set together, as each would be alone, and only once.
func TestLabelsAreSetTogether(t *testing.T) {
	p := paint.NewPainting(2)
	f := &frame.Frame{Changed: true, Still: labelled("water pump", "fresh tank", "a name that is far too long for a sheet of no more than five hundred and twelve pixels"), Moving: labelled("34 psi", "")}
	_, _, err := p.Follow(f)
	require.NoError(t, err)
	sheets := map[*paint.Sheet]*image.RGBA{}
	var setter paint.Setter
	look := func(d *chart.Drawing) {
		for _, m := range d.Marks {
			l := m.(chart.Label)
			if l.Text == "" {
				continue
			}
			on := p.Lettering(l)
			require.NotNil(t, on, l.Text)
			if sheets[on.Sheet] == nil {
				sheets[on.Sheet] = on.Sheet.Take()
			}
			alone, err := setter.Set(l, 2, f.Look.Theme())
			require.NoError(t, err)
			require.Equal(t, alone.Image.Rect.Size(), on.On.Size(), l.Text)
			assert.Equal(t, [2]float64{alone.X, alone.Y}, [2]float64{on.X, on.Y})
			for y := range on.On.Dy() {
				for x := range on.On.Dx() {
					require.Equal(t, alone.Image.RGBAAt(x, y), sheets[on.Sheet].RGBAAt(on.On.Min.X+x, on.On.Min.Y+y), l.Text)
				}
			}
		}
	}
	look(&f.Still)
	look(&f.Moving)
	assert.Len(t, sheets, 1)
	f.Changed = false
	f.Moving = labelled("35 psi", "", "34 psi")
	_, _, err = p.Follow(f)
	require.NoError(t, err)
	look(&f.Moving)
	assert.Len(t, sheets, 2)
	f.Look.Dark = true
	_, _, err = p.Follow(f)
	require.NoError(t, err)
	look(&f.Still)
	look(&f.Moving)
	assert.Len(t, sheets, 3, "other ink")
}

// Letterings lie apart on their sheet.
func TestLetteringsLieApart(t *testing.T) {
	p := paint.NewPainting(3)
	var texts []string
	for i := range 60 {
		texts = append(texts, fmt.Sprintf("%*d psi", 1+i%40, i))
	}
	f := &frame.Frame{Changed: true, Still: labelled(texts...)}
	_, _, err := p.Follow(f)
	require.NoError(t, err)
	var on []image.Rectangle
	for _, m := range f.Still.Marks {
		r := p.Lettering(m.(chart.Label)).On
		for _, other := range on {
			require.True(t, r.Intersect(other).Empty(), "%v %v", r, other)
		}
		on = append(on, r)
	}
	whole := p.Lettering(f.Still.Marks[0].(chart.Label)).Sheet.Take().Rect
	for _, r := range on {
		require.True(t, r.In(whole))
	}
}

// A sheet is spent once, when none of its labels has been shown for long.
func TestSheetsAreSpent(t *testing.T) {
	p := paint.NewPainting(1)
	f := &frame.Frame{Still: labelled("water pump")}
	made, spent := map[*paint.Sheet]bool{}, map[*paint.Sheet]bool{}
	for i := range 300 {
		f.Moving = labelled(fmt.Sprint(i, " s"))
		_, _, err := p.Follow(f)
		require.NoError(t, err)
		for _, s := range p.Spent() {
			require.True(t, made[s] && !spent[s])
			spent[s] = true
		}
		made[p.Lettering(f.Moving.Marks[0].(chart.Label)).Sheet] = true
	}
	pump := p.Lettering(f.Still.Marks[0].(chart.Label)).Sheet
	assert.False(t, spent[pump])
	assert.Greater(t, len(spent), 200)
	assert.Less(t, len(made)-len(spent), 100)
}
