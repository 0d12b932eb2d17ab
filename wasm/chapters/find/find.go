// Package find is the third chapter: one part of a water system lets a little by,
// and the reader finds which. They turn valves, read the gauge and the paper, tap at
// each start of the pump, draw a cup, and name the part. The bill counts minutes and
// wrong parts; the search that sim/diagnose advises is run on the same riddle by the
// same bill, and shown once the part is found.
package find

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/diagnose"
	"quietpump/wasm/chapters/stage"
	"quietpump/wasm/desk"
	"quietpump/wasm/frame"
	"quietpump/wasm/scene"
	"quietpump/wasm/sheet"
)

// A Chapter is the demo's third, "find it", as a [desk.Chapter]. The zero Chapter knows
// its key and its name; New makes one that can be shown.
type Chapter struct {
	stage  *stage.Stage
	riddle *riddle
	notes  notes
	bill   bill
	named  []int  // suspects that were named and sound
	over   bool   // the part was named
	told   string // what the last thing done came to
	refuse string // why the last thing was not done
	search *search
	belief *diagnose.Session // of the reader's own readings, once it is over
	says   *diagnose.Belief  // what they say
	timed  float64           // simulated s that are on the bill
	frames int
	now    time.Time
}

// New is the chapter at its first riddle.
func New() (*Chapter, error) {
	c := &Chapter{}
	return c, c.begin(1)
}

// rate is how fast the clock goes when a riddle begins.
const rate = 20

// begin begins a riddle.
func (c *Chapter) begin(seed uint64) error {
	q, err := draw(seed)
	if err != nil {
		return err
	}
	if c.stage == nil {
		if c.stage, err = stage.New(q.system); err != nil {
			return err
		}
	}
	if err := c.stage.Begin(q.system, network.Faults{q.seep}); err != nil {
		return err
	}
	c.stage.Live.SetRate(rate)
	c.stage.Shown.Faults, c.stage.Shown.Picked, c.stage.Shown.Secret = nil, "", true
	if c.riddle == nil || c.riddle.seed != seed { // the search of the same one stays as far as it has come
		c.search = newSearch(q)
	}
	c.riddle = q
	c.notes, c.bill, c.named = notes{Rate: rate}, bill{}, nil
	c.over, c.told, c.refuse, c.belief, c.says, c.timed = false, "", "", nil, nil, 0
	return nil
}

// Key names the chapter in a link.
func (c *Chapter) Key() string { return "find" }

// Name is what the reader sees.
func (c *Chapter) Name() string { return "find it" }

// Do takes what the reader did with the sheet.
func (c *Chapter) Do(e sheet.Event) {
	l := c.stage.Live
	switch e.Do {
	case "turn":
		c.turn(e.Arg)
		return
	case "rate", "roll":
		_, _ = c.stage.Do(e)
		c.notes.Rate = max(c.notes.Rate, l.Rate())
		return
	case "another":
		c.problem(c.begin(c.riddle.seed + 1))
		return
	case "again":
		c.problem(c.begin(c.riddle.seed))
		return
	}
	if c.over {
		return
	}
	c.refuse = ""
	switch e.Do {
	case "start":
		late := min(max(c.now.Sub(e.At).Seconds(), 0), 1) * l.Pace() // the clock has gone on since
		c.notes.tap(l.Time() - late)
		c.told = ""
	case "undo":
		if n := len(c.notes.Taps); n > 0 {
			c.notes.Taps = c.notes.Taps[:n-1]
		}
	case "quiet":
		c.quiet()
	case "cup":
		c.cup()
	case "look":
		if i, err := strconv.Atoi(e.Arg); err == nil && i >= 0 && i < len(c.riddle.suspects) {
			c.look(i)
		}
	case "name":
		if i, err := strconv.Atoi(e.Arg); err == nil && i >= 0 && i < len(c.riddle.suspects) {
			c.name(i)
		}
	}
}

func (c *Chapter) problem(err error) {
	if err != nil {
		c.refuse = "That cannot be: " + err.Error()
	}
}

// turn turns a part, unless that could do harm.
func (c *Chapter) turn(part string) {
	l := c.stage.Live
	to, ok := scene.Turn(l.Rig(), l.Lineup(), part)
	if !ok {
		return
	}
	lineup := network.Lineup{}
	for k, v := range l.Lineup() {
		lineup[k] = v
	}
	lineup[part] = to
	c.refuse, c.told = "", ""
	c.stage.Shown.Picked = part
	if !c.over {
		if no := (diagnose.Case{Rig: l.Rig()}).Refuse(lineup); len(no) > 0 {
			c.refuse = no[0].Words
			return
		}
		c.notes.end(l.Lineup(), l.Time(), l.Rate())
		c.bill.Hands += turnMinutes
	}
	c.problem(c.stage.Turn(part))
}

// quiet notes that the pump has not started since this watch began.
func (c *Chapter) quiet() {
	l := c.stage.Live
	from := c.notes.From
	if n := len(c.notes.Taps); n > 0 {
		from = c.notes.Taps[n-1]
	}
	if quiet := l.Time() - from; quiet > 1 {
		c.notes.Readings = append(c.notes.Readings, reading{Lineup: l.Lineup().String(), Quiet: quiet})
		c.notes.begin(l.Time(), l.Rate())
	}
}

// cup draws a cup, with every valve as it was found.
func (c *Chapter) cup() {
	if len(c.differs()) > 0 {
		c.refuse = "Put every valve back as it was first: a cup tells what the store gives while all of it is in use."
		return
	}
	v, err := c.riddle.cup()
	if err != nil {
		c.problem(err)
		return
	}
	c.bill.Hands += cupMinutes
	c.notes.Readings = append(c.notes.Readings, reading{Cup: float64(v)})
}

// look looks for a drip where a suspect's would be. Here no look misses.
func (c *Chapter) look(i int) {
	at, ok := c.riddle.spot(i)
	if !ok || slices.ContainsFunc(c.notes.Readings, func(r reading) bool { return r.Look == at }) {
		return
	}
	c.bill.Hands += lookMinutes
	r := reading{Look: at, Wet: slices.Contains(c.riddle.shows, at)}
	c.notes.Readings = append(c.notes.Readings, r)
	c.told = r.words(unit.US)
	c.stage.Shown.Picked = c.riddle.suspects[i].Seep.Part
}

// differs are the parts that do not stand as they were found.
func (c *Chapter) differs() []string {
	var names []string
	usual := network.Lineup{}
	for _, p := range c.stage.Live.Rig().Parts() {
		if l := c.stage.Live.Lineup(); l.Of(p) != usual.Of(p) {
			names = append(names, p.ID())
		}
	}
	return names
}

// name takes out a part.
func (c *Chapter) name(i int) {
	if slices.Contains(c.named, i) {
		return
	}
	q := c.riddle
	s := &q.suspects[i]
	c.notes.end(c.stage.Live.Lineup(), c.stage.Live.Time(), c.stage.Live.Rate())
	if i == q.guilty {
		c.reveal()
		return
	}
	c.named = append(c.named, i)
	c.told = fmt.Sprintf("The %s was taken out and put back, and it was sound: %d min.", s.Name, wrongMinutes)
	if slices.Contains(c.search.alike, s.Name) && slices.Contains(c.search.alike, q.suspects[q.guilty].Name) {
		c.told = fmt.Sprintf("The %s is sound. But no valve of this system could have told it from the one that is not.", s.Name)
		return
	}
	c.bill.Wrong += wrongMinutes
	c.bill.Guesses++
}

// reveal shows what it was, and begins to work out what the reader's readings said.
func (c *Chapter) reveal() {
	c.over = true
	q := c.riddle
	c.stage.Shown.Faults, c.stage.Shown.Secret = network.Faults{q.seep}, false
	c.stage.Shown.Picked = ""
	if list, err := c.notes.on(q.rig, c.stage.Live.Lineup()); err == nil && len(list) > 0 {
		c.belief, _ = diagnose.Begin(diagnose.Case{Rig: q.rig, Readings: list}, diagnose.Options{})
	}
}

// Touch takes what was done on the canvas.
func (c *Chapter) Touch(p frame.Pointer) {
	act := c.stage.Touch(p)
	switch {
	case act.Rate > 0:
		c.notes.Rate = max(c.notes.Rate, c.stage.Live.Rate())
	case act.Pulled: // what is turned is turned all the way, and billed once
	case act.Turned:
		c.turn(act.Part)
	case act.Part != "":
		c.stage.Shown.Picked = act.Part
	}
}

// every is in how many frames one goes to thinking: a slice of a belief takes longer
// than a frame should in a browser, and nobody waits for it.
const every = 6

// Advance goes on to now, and in some of the frames thinks.
func (c *Chapter) Advance(now time.Time, budget time.Duration) bool {
	c.now = now
	busy := c.stage.Advance(now, budget)
	if !c.over {
		c.bill.Watching += (c.stage.Live.Time() - c.timed) / 60
	}
	c.timed = c.stage.Live.Time()
	if c.search.done && c.belief == nil {
		return busy
	}
	if c.frames++; c.frames%every == 0 {
		c.think()
	}
	return true
}

// think works out a little more of the search, or of what the readings say.
func (c *Chapter) think() {
	if !c.search.done {
		c.problem(c.search.advance())
		return
	}
	over, err := c.belief.Advance()
	if over && err == nil {
		c.says = c.belief.Belief()
	}
	if over || err != nil {
		c.belief = nil
	}
}

// Draw puts the scene into the frame.
func (c *Chapter) Draw(f *frame.Frame) { c.stage.Draw(f) }

// Effects are none: it asks nothing of the page.
func (c *Chapter) Effects() []desk.Effect { return nil }

// Follow opens the riddle of a seed and sets the clock; a link's rig and fault are the
// riddle's to choose. The one that is open already goes on.
func (c *Chapter) Follow(l desk.Link) error {
	if l.Seed != 0 && l.Seed != c.riddle.seed {
		if err := c.begin(l.Seed); err != nil {
			return err
		}
	}
	if l.Rate > 0 {
		c.stage.Live.SetRate(l.Rate)
		c.notes.Rate = c.stage.Live.Rate()
	}
	return nil
}

// kept is what it keeps.
type kept struct {
	Seed  uint64          `json:"seed"`
	Notes notes           `json:"notes"`
	Bill  bill            `json:"bill"`
	Named []int           `json:"named,omitempty"`
	Over  bool            `json:"over,omitempty"`
	Stage json.RawMessage `json:"stage"`
}

// Keep is the riddle, the notes and the bill, and the system, as JSON.
func (c *Chapter) Keep() ([]byte, error) {
	data, err := c.stage.Keep()
	if err != nil {
		return nil, err
	}
	b := c.bill
	b.Watching = float64(int(b.Watching)) // whole minutes, so that a clock that goes on changes little
	return json.Marshal(kept{c.riddle.seed, c.notes, b, c.named, c.over, data})
}

// Restore takes back what Keep gave. The search is run again: it comes to the same.
func (c *Chapter) Restore(data []byte) error {
	var k kept
	if err := json.Unmarshal(data, &k); err != nil {
		return err
	}
	q, err := draw(k.Seed)
	if err != nil {
		return err
	}
	for _, i := range k.Named {
		if i < 0 || i >= len(q.suspects) {
			return fmt.Errorf("find: the %s has no suspect %d", q.system, i)
		}
	}
	if _, err := k.Notes.on(q.rig, nil); err != nil {
		return err
	}
	var s struct {
		Rig    string   `json:"rig"`
		Faults []string `json:"faults"`
	}
	if err := json.Unmarshal(k.Stage, &s); err != nil {
		return err
	}
	if s.Rig != q.system || strings.Join(s.Faults, "") != q.seep.String() {
		return fmt.Errorf("find: what was kept is not riddle %d", k.Seed)
	}
	same := func(rig *network.Rig) (*network.Rig, error) { return rig, nil }
	if err := c.stage.Restore(k.Stage, same); err != nil {
		return err
	}
	// The text of a fault is rounded; the riddle's own is not.
	if err := c.stage.Live.Break(network.Faults{q.seep}); err != nil {
		return err
	}
	c.riddle, c.search = q, newSearch(q)
	c.notes, c.bill, c.named, c.over = k.Notes, k.Bill, k.Named, false
	c.told, c.refuse, c.belief, c.says = "", "", nil, nil
	c.timed = c.stage.Live.Time()
	c.stage.Shown.Faults, c.stage.Shown.Picked, c.stage.Shown.Secret = nil, "", true
	if k.Over {
		c.reveal()
	}
	return nil
}
