package plots

import (
	"bytes"
	"image/png"
	"math"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/sim/chart"
)

// keep writes a picture beside the others where one asks to look at them.
func keep(t *testing.T, name string, data []byte) {
	if dir := os.Getenv("PICTURES"); dir != "" {
		require.NoError(t, os.WriteFile(dir+"/"+name, data, 0o644))
	}
}

func sweep() chart.Sweep {
	var volumes []unit.Volume
	var rests []time.Duration
	for i := range 10 {
		volumes = append(volumes, unit.Volume(1+i)*100*unit.Millilitre)
		rests = append(rests, time.Duration(1+i)*10*time.Second)
	}
	return chart.Sweep{X: chart.Axis{Name: "accumulator volume", Values: chart.Quantities(volumes...)}, Y: "rest", Lines: []chart.Line{{Values: chart.Times(rests...)}}}
}

// A figure has the size it was given, in pixels, and its colours.
func TestPNG(t *testing.T) {
	for _, tt := range []struct {
		theme chart.Theme
		dpi   int
		wide  int
	}{{chart.Light, 0, 480}, {chart.Dark, 192, 960}, {chart.Print, 96, 480}} {
		var b bytes.Buffer
		f := chart.Figure{Picture: sweep(), Width: 480, Theme: tt.theme}
		require.NoError(t, PNG(&b, f, unit.Metric, tt.dpi))
		keep(t, "sweep.png", b.Bytes())
		img, err := png.Decode(bytes.NewReader(b.Bytes()))
		require.NoError(t, err)
		assert.Equal(t, tt.wide, img.Bounds().Dx())
		r, g, bl, _ := img.At(1, 1).RGBA()
		paper := chart.Paper.Colour(tt.theme)
		assert.Equal(t, []uint32{uint32(paper.R), uint32(paper.G), uint32(paper.B)}, []uint32{r >> 8, g >> 8, bl >> 8})
		var again bytes.Buffer
		require.NoError(t, PNG(&again, f, unit.Metric, tt.dpi))
		assert.Equal(t, b.Bytes(), again.Bytes(), "the same data give the same bytes")
		// Some of it is drawn: the line of the sweep is there in its ink.
		ink, found := chart.Cold.Colour(tt.theme), false
		for y := range img.Bounds().Dy() {
			for x := range img.Bounds().Dx() {
				r, g, bl, _ := img.At(x, y).RGBA()
				found = found || r>>8 == uint32(ink.R) && g>>8 == uint32(ink.G) && bl>>8 == uint32(ink.B)
			}
		}
		assert.True(t, found, "no pixel has the ink of the line")
	}
}

func TestPDF(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, PDF(&b, chart.Figure{Picture: sweep()}, unit.US))
	keep(t, "sweep.pdf", b.Bytes())
	assert.True(t, bytes.HasPrefix(b.Bytes(), []byte("%PDF-1.")))
	assert.Contains(t, b.String(), "/FontFile2", "its letters are embedded")
}

func TestCloud(t *testing.T) {
	var x []unit.Flow
	var y []time.Duration
	for i := range 10000 {
		q := math.Exp(3 * math.Sin(float64(i)))
		x = append(x, unit.Flow(q)*10*unit.MillilitrePerMinute)
		y = append(y, time.Duration(600/q*(1+0.3*math.Cos(7*float64(i)))*float64(time.Second)))
	}
	c := Cloud{Title: "The smaller the leak, the longer the rest",
		X: chart.Axis{Name: "leak", Values: chart.Quantities(x...), Log: true}, Y: chart.Axis{Name: "rest", Values: chart.Times(y...), Log: true}}
	var b bytes.Buffer
	require.NoError(t, c.PNG(&b, unit.Metric, chart.Light, 600, 400, 0))
	keep(t, "cloud.png", b.Bytes())
	img, err := png.Decode(&b)
	require.NoError(t, err)
	assert.Equal(t, 600, img.Bounds().Dx())
	assert.Equal(t, 400, img.Bounds().Dy())
}

func TestRefusals(t *testing.T) {
	var b bytes.Buffer
	none := chart.Quantities(unit.Flow(math.NaN()), unit.Flow(math.Inf(1)))
	for _, tt := range []struct {
		says string
		err  error
	}{
		{"no image that can be made", PNG(&b, chart.Figure{Picture: sweep()}, unit.US, 1e7)},
		{"too narrow", PNG(&b, chart.Figure{Picture: sweep(), Width: 10}, unit.US, 0)},
		{"without a picture", PDF(&b, chart.Figure{}, unit.US)},
		{"as many of each", Cloud{X: chart.Axis{Values: none}, Y: chart.Axis{Values: chart.Numbers("", 1)}}.PNG(&b, unit.US, chart.Light, 600, 400, 0)},
		{"without a point", Cloud{X: chart.Axis{Values: none}, Y: chart.Axis{Values: none}}.PNG(&b, unit.US, chart.Light, 600, 400, 0)},
		{"too small", Cloud{X: chart.Axis{Values: chart.Numbers("", 1)}, Y: chart.Axis{Values: chart.Numbers("", 1)}}.PNG(&b, unit.US, chart.Light, 0, 0, 0)},
	} {
		require.Error(t, tt.err)
		assert.Contains(t, tt.err.Error(), tt.says)
	}
	assert.Empty(t, b.Bytes(), "nothing is half written")
}

// What runs in a browser reaches neither this package's library nor a network
// server: each would double the size of the program.
func TestTheBrowserDoesWithout(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "quietpump/sim/chart", "quietpump/sim/report", "quietpump/sim/diagnose", "quietpump/sim/repair").CombinedOutput()
	require.NoError(t, err, string(out))
	list := strings.Fields(string(out))
	require.Contains(t, list, "quietpump/sim/chart")
	for _, path := range list {
		assert.NotEqual(t, "net/http", path)
		assert.False(t, strings.HasPrefix(path, "gonum.org/v1/plot"), path)
	}
}
