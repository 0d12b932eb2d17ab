package desk

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"path"
	"strconv"
	"strings"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/wasm/frame"
	"quietpump/wasm/sheet"
)

// How often what may have changed by itself is looked at: what the reader did is
// answered at once.
const (
	sheetEvery = 150 * time.Millisecond
	keepEvery  = time.Second
)

// Files are where what is handed over to the page is put, under a name in /out:
// os.WriteFile in the browser, whose files the page holds.
type Files interface {
	Write(name string, data []byte) error
}

// A Desk is the chapters together. Lines come in from the page by
// [Desk.Line] and go out to it from [Desk.Lines]; between them [Desk.Advance]
// and [Desk.Draw].
type Desk struct {
	chapters []Chapter
	frames   []*frame.Frame // one for each chapter, so that each finds what it drew
	files    Files
	current  int
	look     frame.Look
	paper    frame.Box
	free     frame.Box
	hidden   bool
	seen     uint64                     // the last of the page's stored presses that has come in
	aside    map[string]json.RawMessage // what was kept and could not be taken back
	stale    bool                       // something was done since the sheet was looked at
	sheetAt  time.Time
	keepAt   time.Time
	sent     string                     // the sheet the page has
	kept     string                     // what the page keeps
	keeps    map[string]json.RawMessage // of the chapters as they were left, which only the open one changes
	linked   string                     // the address it shows
	out      []string
}

// New is a desk of one chapter or more, the first of them open.
func New(files Files, chapters ...Chapter) *Desk {
	d := &Desk{chapters: chapters, files: files, aside: map[string]json.RawMessage{}, keeps: map[string]json.RawMessage{}, stale: true}
	for range chapters {
		d.frames = append(d.frames, new(frame.Frame))
	}
	return d
}

// An event as the page writes it. Stored presses have a number.
type event struct {
	Do    string `json:"do"`
	Arg   string `json:"arg"`
	At    int64  `json:"at"` // ms since 1970
	Press uint64 `json:"press"`
}

// Line takes one line from the page. What begins with "page." is told of the
// page itself, the rest was done with the sheet. The error says what was not
// understood, or could not be done; the desk goes on.
func (d *Desk) Line(line string) error {
	var e event
	if err := json.Unmarshal([]byte(line), &e); err != nil {
		return fmt.Errorf("desk: a line from the page that is no event: %w", err)
	}
	word, ours := strings.CutPrefix(e.Do, "page.")
	if !ours {
		d.stale = true
		if e.Press != 0 {
			if e.Press <= d.seen {
				return nil // it came in before the page was opened again
			}
			d.seen = e.Press
		}
		d.chapter().Do(sheet.Event{Do: e.Do, Arg: e.Arg, At: time.UnixMilli(e.At)})
		return nil
	}
	if word == "file" { // one that is dropped on the page goes to the chapter that is open
		d.stale = true
		d.chapter().Do(sheet.Event{Do: "file", Arg: e.Arg, At: time.UnixMilli(e.At)})
		return nil
	}
	return d.Page(word, e.Arg)
}

// Page takes what the page says of itself, in the lines that begin with "page." or as
// the program starts: a word without that beginning, such as "dark", and its argument,
// "on". The error is as for [Desk.Line].
func (d *Desk) Page(word, arg string) error {
	d.stale = true
	switch word {
	case "size":
		return d.size(arg)
	case "dark":
		d.look.Dark = arg == "on"
	case "calm":
		d.look.Calm = arg == "on"
	case "units":
		d.look.Units = unit.US
		if arg == "metric" {
			d.look.Units = unit.Metric
		}
	case "seen":
		d.hidden = arg == "off"
		d.keepAt = time.Time{}
	case "chapter":
		return d.open(arg)
	case "kept":
		return d.restore([]byte(arg))
	case "link":
		return d.follow(arg)
	case "pointer":
		return d.pointer(arg)
	default:
		return fmt.Errorf("desk: the page said %q, which is not known", word)
	}
	return nil
}

func (d *Desk) chapter() Chapter { return d.chapters[d.current] }

// open goes to a chapter, if there is one of that key, and says if that could not take
// back what was kept of it.
func (d *Desk) open(key string) error {
	for i, c := range d.chapters {
		if c.Key() == key && i != d.current {
			delete(d.keeps, d.chapter().Key())
			d.current, d.keepAt = i, time.Time{}
		}
	}
	l, ok := d.chapter().(*later)
	if !ok {
		return nil
	}
	if l.opened(); l.problem == nil {
		return nil
	}
	err := fmt.Errorf("desk: what was kept of %q: %w", l.Key(), l.problem)
	l.problem = nil
	return err
}

// size reads "w h x0 y0 x1 y1", CSS px: the canvas, and the box that the
// notes leave free.
func (d *Desk) size(text string) error {
	var n [6]float64
	fields := strings.Fields(text)
	if len(fields) != len(n) {
		return fmt.Errorf("desk: a page's size has %d numbers, not %d", len(n), len(fields))
	}
	for i, f := range fields {
		x, err := strconv.ParseFloat(f, 64)
		if err != nil || !(x >= 0 && x < 1e5) {
			return fmt.Errorf("desk: %q is no length of a page", f)
		}
		n[i] = x
	}
	d.paper = frame.Box{X1: n[0], Y1: n[1]}
	d.free = frame.Box{X0: n[2], Y0: n[3], X1: n[4], Y1: n[5]}
	return nil
}

// pointer reads "down x y", "drag x y", "move x y", "up x y", "gone x y", "wheel x y
// notches".
// A press that is gone was taken away by the browser, for a gesture of its own.
func (d *Desk) pointer(text string) error {
	fields := strings.Fields(text)
	if len(fields) < 3 {
		return fmt.Errorf("desk: a pointer is somewhere, which %q does not say", text)
	}
	var n [3]float64
	for i, f := range fields[1:min(len(fields), 4)] {
		x, err := strconv.ParseFloat(f, 64)
		if err != nil {
			return fmt.Errorf("desk: %q is no place", f)
		}
		n[i] = x
	}
	p := frame.Pointer{X: n[0], Y: n[1]}
	switch fields[0] {
	case "down":
		p.Down, p.Held = true, true
	case "drag":
		p.Held = true
	case "move":
	case "up":
		p.Up = true
	case "gone": // off the paper, so that nothing is pressed by it
		p.X, p.Y, p.Up = -1, -1, true
	case "wheel":
		p.Wheel = n[2]
	default:
		return fmt.Errorf("desk: a pointer does not %q", fields[0])
	}
	d.chapter().Touch(p)
	return nil
}

// follow opens what a link asks for: "chapter=change&rig=bypass&rate=60".
func (d *Desk) follow(query string) error {
	q, err := url.ParseQuery(strings.TrimPrefix(query, "?"))
	if err != nil {
		return fmt.Errorf("desk: the link %q: %w", query, err)
	}
	l := Link{Chapter: q.Get("chapter"), Rig: q.Get("rig"), Fault: q.Get("fault")}
	if s := q.Get("rate"); s != "" {
		if l.Rate, err = strconv.ParseFloat(s, 64); err != nil || !(l.Rate > 0 && l.Rate <= 600) {
			return fmt.Errorf("desk: the link's rate %q; give a number from 1 to 600", s)
		}
	}
	if s := q.Get("seed"); s != "" {
		if l.Seed, err = strconv.ParseUint(s, 10, 64); err != nil {
			return fmt.Errorf("desk: the link's seed %q; give a whole number", s)
		}
	}
	problem := d.open(l.Chapter)
	if (l == Link{Chapter: l.Chapter}) {
		return problem
	}
	return errors.Join(problem, d.chapter().Follow(l))
}

// saved is what the page keeps for the desk.
type saved struct {
	Chapter string                     `json:"chapter"`
	Seen    uint64                     `json:"seen"`
	Kept    map[string]json.RawMessage `json:"kept"`
}

func (d *Desk) restore(data []byte) error {
	var s saved
	if err := json.Unmarshal(data, &s); err != nil {
		return fmt.Errorf("desk: what was kept: %w", err)
	}
	d.seen = s.Seen
	var problem error
	for key, kept := range s.Kept {
		taken := false
		for _, c := range d.chapters {
			if c.Key() != key {
				continue
			}
			if err := c.Restore(kept); err != nil {
				problem = fmt.Errorf("desk: what was kept of %q: %w", key, err)
				break
			}
			taken = true
		}
		if !taken { // nobody's to throw away
			d.aside[key] = kept
		}
	}
	clear(d.keeps)
	return errors.Join(problem, d.open(s.Chapter))
}

func (d *Desk) keep() (string, error) {
	s := saved{Chapter: d.chapter().Key(), Seen: d.seen, Kept: map[string]json.RawMessage{}}
	for key, kept := range d.aside {
		s.Kept[key] = kept
	}
	for i, c := range d.chapters {
		kept, ok := d.keeps[c.Key()]
		if !ok || i == d.current {
			var err error
			if kept, err = c.Keep(); err != nil {
				return "", fmt.Errorf("desk: keeping %q: %w", c.Key(), err)
			}
			d.keeps[c.Key()] = kept
		}
		if len(kept) > 0 {
			s.Kept[c.Key()] = kept
		}
	}
	text, err := json.Marshal(s)
	return string(text), err
}

// Advance lets the open chapter go on to the clock time now, computing for no longer
// than about the budget, and reports whether anything is left to do or moving. The error
// is of what a chapter wanted the page to do, and could not be handed over.
func (d *Desk) Advance(now time.Time, budget time.Duration) (busy bool, err error) {
	busy = d.chapter().Advance(now, budget)
	for _, c := range d.chapters {
		for _, e := range c.Effects() {
			if err := d.effect(e); err != nil {
				return busy, err
			}
		}
	}
	return busy, nil
}

// Lines are what the page has to be told since the last call, each begun with "qp:" and
// a word: the sheet if it has changed, what to keep, what to do. The error is of a sheet
// or a state that cannot be written as JSON.
func (d *Desk) Lines(now time.Time) ([]string, error) {
	if d.stale || now.Sub(d.sheetAt) >= sheetEvery {
		d.sheetAt, d.stale = now, false
		s := d.chapter().Sheet(d.look)
		s.Chapter = d.chapter().Key()
		line, err := s.Line()
		if err != nil {
			return nil, fmt.Errorf("desk: the sheet of %q: %w", s.Chapter, err)
		}
		d.tell(&d.sent, "sheet", line)
		d.tell(&d.linked, "link", "?chapter="+s.Chapter)
	}
	if now.Sub(d.keepAt) >= keepEvery {
		d.keepAt = now
		kept, err := d.keep()
		if err != nil {
			return nil, err
		}
		d.tell(&d.kept, "keep", kept)
	}
	out := d.out
	d.out = nil
	return out, nil
}

// tell sends a line unless the page has it.
func (d *Desk) tell(has *string, word, text string) {
	if *has != text {
		*has = text
		d.say(word, text)
	}
}

func (d *Desk) say(word, text string) { d.out = append(d.out, "qp:"+word+" "+text) }

func (d *Desk) effect(e Effect) error {
	switch e.Do {
	case "awake":
		d.say("awake", e.Name)
		return nil
	case "save", "copy", "share", "print":
	default:
		return fmt.Errorf("desk: no page does %q", e.Do)
	}
	name := path.Base(path.Clean("/" + e.Name))
	if name == "/" {
		name = e.Do
	}
	name = "/out/" + name
	if err := d.files.Write(name, e.Data); err != nil {
		return fmt.Errorf("desk: handing over %s: %w", name, err)
	}
	d.say(e.Do, name)
	return nil
}

// Hidden reports whether the page is out of sight.
func (d *Desk) Hidden() bool { return d.hidden }

// Draw lays the open chapter out as it is at the clock time now. The frame is the
// chapter's own and holds what it drew before; Changed says that Still is new.
func (d *Desk) Draw(now time.Time) *frame.Frame {
	f := d.frames[d.current]
	f.Changed = false
	f.Paper, f.Free, f.Look, f.Now = d.paper, d.free, d.look, now
	f.Moving.Marks = f.Moving.Marks[:0]
	f.Still.Width, f.Still.Height = d.paper.Wide(), d.paper.High()
	f.Moving.Width, f.Moving.Height = d.paper.Wide(), d.paper.High()
	d.chapter().Draw(f)
	return f
}
