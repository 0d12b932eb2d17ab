package find

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/network"
	"quietpump/sim/diagnose"
	"quietpump/wasm/desk"
	"quietpump/wasm/frame"
	"quietpump/wasm/sheet"
)

var _ desk.Chapter = (*Chapter)(nil)

// A wall is a clock that the test turns.
type wall struct{ t time.Time }

func newWall() *wall { return &wall{time.Date(2024, 6, 1, 12, 0, 0, 0, time.UTC)} }

func (w *wall) play(c *Chapter, s float64) {
	for end := w.t.Add(time.Duration(s * 1e9)); w.t.Before(end); w.t = w.t.Add(time.Second / 30) {
		c.Advance(w.t, 0)
	}
}

// until lets it go on until something is so, which it must become.
func (w *wall) until(t *testing.T, c *Chapter, so func() bool) {
	t.Helper()
	for range 100000 {
		if so() {
			return
		}
		w.t = w.t.Add(time.Second / 30)
		c.Advance(w.t, 0)
	}
	require.Fail(t, "it never came")
}

func begin(t *testing.T, seed uint64) *Chapter {
	t.Helper()
	c, err := New()
	require.NoError(t, err)
	require.NoError(t, c.Follow(desk.Link{Chapter: "find", Seed: seed}))
	return c
}

func do(c *Chapter, what, arg string) { c.Do(sheet.Event{Do: what, Arg: arg, At: c.now}) }

// At least eight different parts hide over at least three systems; a seed is always
// the same riddle.
func TestRiddles(t *testing.T) {
	parts, in := map[string]bool{}, map[string]bool{}
	for seed := uint64(1); seed <= 24; seed++ {
		q, err := draw(seed)
		require.NoError(t, err)
		again, err := draw(seed)
		require.NoError(t, err)
		require.Equal(t, q.seep, again.seep)
		require.Equal(t, q.seen, again.seen)
		require.True(t, q.seen.rest >= leastRest && q.seen.rest <= mostRest)
		parts[q.system+q.suspects[q.guilty].Name], in[q.system] = true, true
	}
	assert.GreaterOrEqual(t, len(parts), 8)
	assert.GreaterOrEqual(t, len(in), 3)
}

// The search that is advised comes to an end, and names a part by the same bill.
func TestSearchEnds(t *testing.T) {
	for _, seed := range []uint64{1, 2, 3, 4} {
		q, err := draw(seed)
		require.NoError(t, err)
		s := newSearch(q)
		for n := 0; !s.done; n++ {
			require.NoError(t, s.advance())
			require.Less(t, n, 100000)
		}
		if len(s.steps) > 0 && !strings.Contains(s.steps[len(s.steps)-1], "that was it") {
			t.Log(strings.Join(s.steps, "\n"))
		}
		assert.Contains(t, s.steps[len(s.steps)-1], "that was it", "riddle %d, %s", seed, q.suspects[q.guilty].Name)
		assert.Greater(t, s.bill.total(), q.seen.rest/60)
		again := newSearch(q)
		for !again.done {
			require.NoError(t, again.advance())
		}
		assert.Equal(t, s.bill, again.bill)
	}
}

// Taps at the starts of the pump come to what the library computes of the cycle, and
// a valve turned begins another watch.
func TestTapsTellTheCycle(t *testing.T) {
	c, w := begin(t, 1), newWall()
	do(c, "rate", "0")
	require.InDelta(t, 1, c.stage.Live.Rate(), 1e-9)
	pump, _ := c.stage.Live.Pump()
	for range 3 {
		w.until(t, c, func() bool { return c.stage.Live.Running(pump.Name) })
		do(c, "start", "")
		w.until(t, c, func() bool { return !c.stage.Live.Running(pump.Name) })
	}
	every := c.notes.watched()
	require.Len(t, every, 2)
	for _, x := range every {
		assert.InDelta(t, c.riddle.seen.rest+c.riddle.seen.run, x, 0.02*x)
	}
	do(c, "turn", "galley cold tap")
	assert.Empty(t, c.notes.Taps)
	require.Len(t, c.notes.Readings, 1)
	assert.Len(t, c.notes.Readings[0].Every, 2)
	do(c, "start", "")
	do(c, "undo", "")
	assert.Empty(t, c.notes.Taps)
}

// What is refused to a person is refused here, and nothing is turned.
func TestRefusedLineups(t *testing.T) {
	refused := 0
	for seed := uint64(1); seed <= 4; seed++ {
		refused += refusedIn(t, begin(t, seed))
	}
	assert.NotZero(t, refused, "something here could do harm")
}

func refusedIn(t *testing.T, c *Chapter) (refused int) {
	for _, p := range c.stage.Live.Rig().Parts() {
		was := c.stage.Live.Lineup().String()
		do(c, "turn", p.ID())
		if c.refuse == "" {
			do(c, "turn", p.ID()) // and back
			continue
		}
		refused++
		assert.Equal(t, was, c.stage.Live.Lineup().String())
		var said bool
		for _, b := range c.Sheet(frame.Look{}).Blocks {
			if words, ok := b.(sheet.Words); ok && words.Text == c.refuse {
				said = words.Style == sheet.Caution
			}
		}
		assert.True(t, said)
	}
	return refused
}

// A sound part costs its work, the guilty one ends the riddle; what was written down
// is then weighed as the library weighs it.
func TestNaming(t *testing.T) {
	c, w := begin(t, 2), newWall()
	pump, _ := c.stage.Live.Pump()
	for range 2 {
		w.until(t, c, func() bool { return c.stage.Live.Running(pump.Name) })
		do(c, "start", "")
		w.until(t, c, func() bool { return !c.stage.Live.Running(pump.Name) })
	}
	do(c, "cup", "")
	sound := (c.riddle.guilty + 1) % len(c.riddle.suspects)
	do(c, "name", strconv.Itoa(sound))
	do(c, "name", strconv.Itoa(sound))
	assert.False(t, c.over)
	assert.LessOrEqual(t, c.bill.Guesses, 1, "twice the same is once")
	assert.InDelta(t, wrongMinutes*float64(c.bill.Guesses), c.bill.Wrong, 1e-9)
	assert.Empty(t, c.stage.Shown.Faults, "nothing is given away")
	assert.True(t, c.stage.Shown.Secret)
	before := c.bill
	do(c, "name", strconv.Itoa(c.riddle.guilty))
	require.True(t, c.over)
	assert.NotEmpty(t, c.stage.Shown.Faults)
	w.until(t, c, func() bool { return c.search.done && c.belief == nil })
	assert.Equal(t, before, c.bill, "what is looked at after is not counted")
	require.NotNil(t, c.says)
	list, err := c.notes.on(c.riddle.rig, c.stage.Live.Lineup())
	require.NoError(t, err)
	want, err := diagnose.From(t.Context(), diagnose.Case{Rig: c.riddle.rig, Readings: list}, diagnose.Options{})
	require.NoError(t, err)
	assert.Equal(t, want.Hypotheses[0].Name, c.says.Hypotheses[0].Name)
	assert.InDelta(t, want.Hypotheses[0].Belief, c.says.Hypotheses[0].Belief, 1e-12)
	s := c.Sheet(frame.Look{})
	assert.Contains(t, s.Title, c.riddle.suspects[c.riddle.guilty].Name)
	text := ""
	for _, b := range s.Blocks {
		if rows, ok := b.(sheet.Rows); ok {
			text = fmt.Sprint(rows.Cells)
		}
	}
	assert.Contains(t, text, fmt.Sprintf("%d min", minutes(c.search.bill.total())))
	do(c, "another", "")
	assert.Equal(t, uint64(3), c.riddle.seed)
	assert.False(t, c.over)
	assert.Zero(t, c.bill.Guesses)
}

// A look sees what comes out there, and only that.
func TestLooks(t *testing.T) {
	for seed := uint64(1); seed <= 8; seed++ {
		c := begin(t, seed)
		for i := range c.riddle.suspects {
			do(c, "look", strconv.Itoa(i))
		}
		wet := 0
		for _, r := range c.notes.Readings {
			if r.Wet {
				wet++
			}
		}
		_, seen := c.riddle.spot(c.riddle.guilty)
		assert.Equal(t, seen, wet > 0, "riddle %d, %s", seed, c.riddle.suspects[c.riddle.guilty].Name)
	}
}

// The water in a cup is what the store gives between the two settings of the switch.
func TestCup(t *testing.T) {
	q, err := draw(2)
	require.NoError(t, err)
	v, err := q.cup()
	require.NoError(t, err)
	// What seeps away meanwhile is lost to the cup: by the flows' shares.
	given := q.seen.rest * float64(q.seep.Flow(q.seep.At)) * math.Sqrt(0.8)
	assert.InEpsilon(t, given, float64(v), 0.35)
}

func TestKeepsItsPlace(t *testing.T) {
	c, w := begin(t, 2), newWall()
	w.play(c, 3)
	do(c, "start", "")
	do(c, "cup", "")
	do(c, "look", "0")
	do(c, "name", strconv.Itoa((c.riddle.guilty+1)%len(c.riddle.suspects)))
	data, err := c.Keep()
	require.NoError(t, err)
	again, err := New()
	require.NoError(t, err)
	require.NoError(t, again.Restore(data))
	assert.Equal(t, c.notes, again.notes)
	assert.Equal(t, c.named, again.named)
	assert.Equal(t, c.bill.Guesses, again.bill.Guesses)
	assert.Equal(t, network.Faults{c.riddle.seep}, again.stage.Live.Faults())
	assert.True(t, again.stage.Shown.Secret)
	for _, bad := range []string{`{`, `{"seed":2,"named":[99],"stage":{"rig":"twopath"}}`, strings.Replace(string(data), `"seed":2`, `"seed":3`, 1)} {
		require.Error(t, again.Restore([]byte(bad)))
		assert.Equal(t, c.notes, again.notes, "nothing is lost")
	}
}

// The same riddle once more has the search of the time before, as far as it has come,
// and another one has its own.
func TestTheSearchIsNotMadeTwice(t *testing.T) {
	c := begin(t, 7)
	require.NoError(t, c.search.advance())
	before := c.search
	do(c, "again", "")
	assert.Same(t, before, c.search)
	do(c, "another", "")
	assert.NotSame(t, before, c.search)
	assert.Same(t, c.riddle, c.search.riddle)
}
