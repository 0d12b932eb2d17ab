package opening_test

import (
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/wasm/desk/house"
	"quietpump/wasm/frame"
	"quietpump/wasm/opening"
)

type shelf struct{}

func (shelf) Write(string, []byte) error { return nil }

const begun = `{"do":"page.begun"}` + "\n"

// What was said before there is a picture is in the first; what comes later waits.
func TestBegin(t *testing.T) {
	in := strings.NewReader(`{"do":"page.link","arg":"?chapter=change&rig=bench30"}` + "\n" + begun + `{"do":"page.dark","arg":"on"}` + "\n")
	o := opening.Begin([]string{"size=390 844 0 0 390 400", "units=metric", "density=3"}, in, shelf{}, house.Chapters()...)
	f := o.Desk.Draw(time.Now())
	assert.Equal(t, frame.Box{X1: 390, Y1: 844}, f.Paper)
	assert.Equal(t, unit.Metric, f.Look.Units)
	assert.NotEmpty(t, f.Still.Marks)
	assert.Equal(t, 3.0, o.Painting.Density())
	still, _, err := o.Painting.Follow(f)
	require.NoError(t, err)
	assert.False(t, still, "it is painted already")
	lines, err := o.Desk.Lines(time.Now())
	require.NoError(t, err)
	require.NotEmpty(t, lines)
	assert.Contains(t, lines[0], `"chapter":"change"`)
	assert.Equal(t, `{"do":"page.dark","arg":"on"}`, <-o.Lines)
	_, more := <-o.Lines
	assert.False(t, more, "the page has ended")
}

// A page that says nothing that can be understood, or ends at once, has a desk all the same.
func TestBeginWithNothing(t *testing.T) {
	for _, in := range []io.Reader{strings.NewReader(""), strings.NewReader("no event\n" + begun)} {
		o := opening.Begin([]string{"size=wide", "mood", "density=0"}, in, shelf{}, house.Chapters()...)
		assert.Equal(t, 1.0, o.Painting.Density())
		assert.Zero(t, o.Desk.Draw(time.Now()).Paper)
	}
}
