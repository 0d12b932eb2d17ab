package desk_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/hydraulics/unit"
	"quietpump/sim/chart"
	"quietpump/wasm/desk"
	"quietpump/wasm/frame"
	"quietpump/wasm/sheet"
)

// A counter is the least chapter there can be: it counts what is done with it.
type counter struct {
	key     string
	events  []sheet.Event
	touches []frame.Pointer
	links   []desk.Link
	effects []desk.Effect
	look    frame.Look
	drawn   frame.Box
}

func (c *counter) Key() string  { return c.key }
func (c *counter) Name() string { return c.key + " it" }
func (c *counter) Sheet(l frame.Look) sheet.Sheet {
	c.look = l
	return sheet.Sheet{Title: fmt.Sprintf("%s: %d", c.key, len(c.events)), Next: &sheet.Button{Do: "more", Text: "More"}}
}
func (c *counter) Do(e sheet.Event)                      { c.events = append(c.events, e) }
func (c *counter) Touch(p frame.Pointer)                 { c.touches = append(c.touches, p) }
func (c *counter) Advance(time.Time, time.Duration) bool { return len(c.events) == 1 }
func (c *counter) Keep() ([]byte, error)                 { return json.Marshal(len(c.events)) }
func (c *counter) Follow(l desk.Link) error              { c.links = append(c.links, l); return nil }
func (c *counter) Effects() []desk.Effect                { e := c.effects; c.effects = nil; return e }
func (c *counter) Draw(f *frame.Frame) {
	f.Moving.Add(chart.Label{Text: c.key, Size: 12})
	if f.Paper != c.drawn {
		c.drawn, f.Changed = f.Paper, true
		f.Still.Marks = nil
	}
}
func (c *counter) Restore(data []byte) error {
	var n int
	if err := json.Unmarshal(data, &n); err != nil {
		return errors.New("no number")
	}
	c.events = make([]sheet.Event, n)
	return nil
}

type shelf map[string]string

func (s shelf) Write(name string, data []byte) error { s[name] = string(data); return nil }

func pair() (*desk.Desk, *counter, *counter, shelf) {
	a, b, s := &counter{key: "watch"}, &counter{key: "change"}, shelf{}
	return desk.New(s, a, b), a, b, s
}

var noon = time.Date(2024, 6, 1, 12, 0, 0, 0, time.UTC)

// lines are what the page is told, as one text.
func lines(t *testing.T, d *desk.Desk, now time.Time) string {
	t.Helper()
	_, err := d.Advance(now, time.Millisecond)
	require.NoError(t, err)
	list, err := d.Lines(now)
	require.NoError(t, err)
	return strings.Join(list, "\n")
}

func tell(t *testing.T, d *desk.Desk, list ...string) {
	t.Helper()
	for _, line := range list {
		require.NoError(t, d.Line(line), line)
	}
}

func TestSheetsAreSentWhenTheyChange(t *testing.T) {
	d, _, _, _ := pair()
	first := lines(t, d, noon)
	assert.Contains(t, first, `qp:sheet {"chapter":"watch","title":"watch: 0"`)
	assert.Contains(t, first, "qp:link ?chapter=watch")
	assert.Empty(t, lines(t, d, noon.Add(time.Minute)), "nothing has changed")
	tell(t, d, `{"do":"more","at":1717243200000}`)
	assert.Contains(t, lines(t, d, noon.Add(time.Minute+time.Millisecond)), `"title":"watch: 1"`, "what the reader did is answered at once")
}

func TestEventsReachTheOpenChapter(t *testing.T) {
	d, a, b, _ := pair()
	tell(t, d, `{"do":"more","arg":"x","at":1717243200000}`, `{"do":"page.chapter","arg":"change"}`, `{"do":"less","arg":"y","at":1717243201500}`)
	require.Len(t, a.events, 1)
	require.Len(t, b.events, 1)
	assert.Equal(t, "less", b.events[0].Do)
	assert.Equal(t, "y", b.events[0].Arg)
	assert.True(t, b.events[0].At.Equal(noon.Add(1500*time.Millisecond)))
	assert.Contains(t, lines(t, d, noon), `qp:sheet {"chapter":"change"`)
	tell(t, d, `{"do":"page.chapter","arg":"nowhere"}`, `{"do":"page.file","arg":"/in/mine.rig.toml","at":1}`)
	assert.Equal(t, "file", b.events[1].Do, "an unknown chapter changes nothing; a dropped file goes to the open one")
}

func TestPointers(t *testing.T) {
	d, a, _, _ := pair()
	tell(t, d, `{"do":"page.pointer","arg":"down 10.5 20"}`, `{"do":"page.pointer","arg":"drag 11 20"}`, `{"do":"page.pointer","arg":"up 12 20"}`,
		`{"do":"page.pointer","arg":"move 1 2"}`, `{"do":"page.pointer","arg":"wheel 1 2 -0.5"}`, `{"do":"page.pointer","arg":"gone 12 20"}`)
	assert.Equal(t, []frame.Pointer{
		{X: 10.5, Y: 20, Down: true, Held: true}, {X: 11, Y: 20, Held: true}, {X: 12, Y: 20, Up: true},
		{X: 1, Y: 2}, {X: 1, Y: 2, Wheel: -0.5}, {X: -1, Y: -1, Up: true},
	}, a.touches)
}

func TestLooks(t *testing.T) {
	d, a, _, _ := pair()
	tell(t, d, `{"do":"page.size","arg":"390 844 0 0 390 388"}`, `{"do":"page.dark","arg":"on"}`, `{"do":"page.calm","arg":"on"}`, `{"do":"page.units","arg":"metric"}`)
	lines(t, d, noon)
	assert.Equal(t, frame.Look{Dark: true, Calm: true, Units: unit.Metric}, a.look)
	f := d.Draw(noon)
	assert.Equal(t, frame.Box{X1: 390, Y1: 844}, f.Paper)
	assert.Equal(t, frame.Box{X1: 390, Y1: 388}, f.Free)
	assert.True(t, f.Changed)
	assert.Len(t, f.Moving.Marks, 1)
	f = d.Draw(noon)
	assert.False(t, f.Changed)
	assert.Len(t, f.Moving.Marks, 1, "what moves is drawn anew")
	tell(t, d, `{"do":"page.units","arg":"us"}`, `{"do":"page.dark","arg":"off"}`)
	lines(t, d, noon)
	assert.Equal(t, frame.Look{Calm: true, Units: unit.US}, a.look)
}

// kept is what the page was last asked to keep.
func kept(t *testing.T, told string) string {
	t.Helper()
	_, after, ok := strings.Cut(told, "qp:keep ")
	require.True(t, ok, told)
	line, _, _ := strings.Cut(after, "\n")
	return line
}

func page(do, arg string) string {
	text, err := json.Marshal(map[string]string{"do": "page." + do, "arg": arg})
	if err != nil {
		panic(err)
	}
	return string(text)
}

func TestWhatIsKeptComesBackAndEachPressOnce(t *testing.T) {
	d, _, _, _ := pair()
	tell(t, d, `{"do":"start","at":1,"press":7}`, `{"do":"page.chapter","arg":"change"}`, `{"do":"start","at":2,"press":8}`)
	state := kept(t, lines(t, d, noon))

	again, a, b, _ := pair()
	// The page sends what it has stored; press 8 was kept, 9 came while it was shut.
	tell(t, again, page("kept", state), `{"do":"start","at":2,"press":8}`, `{"do":"start","at":3,"press":9}`)
	assert.Len(t, a.events, 1)
	assert.Len(t, b.events, 2)
	told := lines(t, again, noon)
	assert.Contains(t, told, `"chapter":"change"`, "it opens where it was left")
	assert.Contains(t, kept(t, told), `"seen":9`)
}

func TestWhatCannotBeTakenBackIsNotThrownAway(t *testing.T) {
	d, a, b, _ := pair()
	err := d.Line(page("kept", `{"chapter":"watch","kept":{"watch":"old words","change":3,"gone":[1]}}`))
	assert.ErrorContains(t, err, `of "watch": no number`)
	assert.Empty(t, a.events)
	assert.Len(t, b.events, 3)
	assert.Contains(t, kept(t, lines(t, d, noon)), `"gone":[1]`)
}

func TestAChapterIsMadeWhenItIsOpened(t *testing.T) {
	made := map[string]int{}
	later := func(key string) desk.Chapter {
		return desk.Later(&counter{key: key}, func() desk.Chapter { made[key]++; return &counter{key: key} })
	}
	d := desk.New(shelf{}, later("watch"), later("change"), later("yours"))
	tell(t, d, page("kept", `{"chapter":"change","kept":{"watch":2,"change":3,"yours":"old words"}}`))
	told := lines(t, d, noon)
	assert.Contains(t, told, `"title":"change: 3"`, "what was kept is taken back")
	assert.Equal(t, map[string]int{"change": 1}, made)
	assert.Contains(t, kept(t, told), `"watch":2`, "and stays as it is in what has not been opened")
	assert.ErrorContains(t, d.Line(page("chapter", "yours")), `of "yours": no number`)
	tell(t, d, page("chapter", "watch"), `{"do":"more"}`)
	assert.Contains(t, kept(t, lines(t, d, noon.Add(time.Minute))), `"kept":{"change":3,"watch":3,"yours":0}`)
	assert.Equal(t, map[string]int{"watch": 1, "change": 1, "yours": 1}, made)
}

func TestKeepingWaitsASecondButNotForAPageOutOfSight(t *testing.T) {
	d, _, _, _ := pair()
	lines(t, d, noon)
	tell(t, d, `{"do":"more"}`)
	assert.NotContains(t, lines(t, d, noon.Add(300*time.Millisecond)), "qp:keep")
	tell(t, d, `{"do":"page.seen","arg":"off"}`)
	assert.Contains(t, lines(t, d, noon.Add(400*time.Millisecond)), "qp:keep")
	assert.True(t, d.Hidden())
	tell(t, d, `{"do":"page.seen","arg":"on"}`, `{"do":"more"}`)
	assert.Contains(t, lines(t, d, noon.Add(2*time.Second)), "qp:keep")
	assert.False(t, d.Hidden())
}

func TestLinks(t *testing.T) {
	d, a, b, _ := pair()
	tell(t, d, page("link", "?chapter=change&rig=coach&fault=fill+valve:+55+mL/min+at+45+psi&rate=60&seed=4"))
	assert.Equal(t, []desk.Link{{Chapter: "change", Rig: "coach", Fault: "fill valve: 55 mL/min at 45 psi", Rate: 60, Seed: 4}}, b.links)
	tell(t, d, page("link", "?chapter=watch"))
	assert.Empty(t, a.links, "a link to a chapter alone leaves it as it was")
	for _, bad := range []string{"?rate=0", "?rate=601", "?rate=fast", "?seed=-1", "?rig=%zz"} {
		assert.Error(t, d.Line(page("link", bad)), bad)
	}
}

func TestEffects(t *testing.T) {
	d, a, _, s := pair()
	a.effects = []desk.Effect{{Do: "save", Name: "coach.card.toml", Data: []byte("card")}, {Do: "copy", Data: []byte("words")},
		{Do: "awake", Name: "on"}, {Do: "print", Name: "../../etc/report.html", Data: []byte("page")}}
	told := lines(t, d, noon)
	assert.Contains(t, told, "qp:save /out/coach.card.toml\nqp:copy /out/copy\nqp:awake on\nqp:print /out/report.html")
	assert.Equal(t, shelf{"/out/coach.card.toml": "card", "/out/copy": "words", "/out/report.html": "page"}, s)
	a.effects = []desk.Effect{{Do: "sing"}}
	_, err := d.Advance(noon, 0)
	assert.ErrorContains(t, err, "sing")
}

func TestLinesThatAreNoEventsAreToldAndPassedOver(t *testing.T) {
	d, a, _, _ := pair()
	for _, bad := range []string{``, `{`, `{"do":"page.dance"}`, page("size", "1 2 3"), page("size", "1 2 3 4 5 x"), page("size", "-1 2 3 4 5 6"),
		page("pointer", "down 1"), page("pointer", "down 1 x"), page("pointer", "jump 1 2"), page("kept", "{")} {
		assert.Error(t, d.Line(bad), bad)
	}
	assert.Empty(t, a.events)
	assert.Empty(t, a.touches)
}

func FuzzLine(f *testing.F) {
	f.Add(`{"do":"more","arg":"x","at":1}`)
	f.Add(page("size", "390 844 0 0 390 388"))
	f.Add(page("link", "?chapter=change&rate=60"))
	f.Add(page("kept", `{"chapter":"change","seen":3,"kept":{"watch":1}}`))
	f.Fuzz(func(t *testing.T, line string) {
		d, _, _, _ := pair()
		_ = d.Line(line) // refused or not, it goes on
		if _, err := d.Advance(noon, 0); err != nil {
			t.Fatal(err)
		}
		if _, err := d.Lines(noon); err != nil {
			t.Fatal(err)
		}
		d.Draw(noon)
	})
}

func ExampleDesk() {
	d := desk.New(shelf{}, &counter{key: "watch"}, &counter{key: "change"})
	_ = d.Line(`{"do":"page.chapter","arg":"change"}`)
	_ = d.Line(`{"do":"more"}`)
	if _, err := d.Advance(noon, time.Millisecond); err != nil {
		fmt.Println(err)
	}
	lines, err := d.Lines(noon)
	if err != nil {
		fmt.Println(err)
	}
	fmt.Println(lines[0])
	// Output: qp:sheet {"chapter":"change","title":"change: 1","blocks":[],"next":{"do":"more","text":"More"}}
}
