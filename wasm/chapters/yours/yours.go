// Package yours is the fourth chapter: the owner beside their own water system. They
// tap when the pump starts, say what parts there are, go and look, and get what the
// command line gives: what could be behind it, what to do next, what waiting costs,
// the swap, the proof. All of it is the library's answer to a job card, which goes
// out as a file and comes back in.
package yours

import (
	"fmt"
	"os"
	"strings"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/diagnose"
	"quietpump/wasm/desk"
	"quietpump/wasm/frame"
	"quietpump/wasm/scene"
	"quietpump/wasm/sheet"
)

// The pages of the note.
const (
	atStart   = "start"   // what happens, and the stopwatch
	atAsk     = "ask"     // the picture questions
	atLooks   = "looks"   // free looks, and facts in plain words
	atAnswer  = "answer"  // what it could be, and what to do next
	atStep    = "step"    // a step being done
	atListen  = "listen"  // a test by the stopwatch, the hold test among them
	atEnter   = "enter"   // a reading told by hand
	atCard    = "card"    // what is on the card
	atSection = "section" // one of the report's
)

var pages = []string{atStart, atAsk, atLooks, atAnswer, atStep, atListen, atEnter, atCard, atSection}

// What people come with.
const (
	pumpStarts  = "pump"
	tankRises   = "tank"
	reliefDrips = "relief"
)

// A Chapter is the demo's fourth, "yours", as a [desk.Chapter]. The zero Chapter knows
// its key and its name; New makes one that can be shown.
type Chapter struct {
	page    string
	section string // of the report, that is shown
	hose    string // "on" or "off"
	what    string
	ask     int // the question that is asked
	job     job
	ear     listening
	step    *step
	enter   entry

	work    *work
	asOf    string // the card that the work is of
	dirty   bool   // something was done that may have changed it
	plate   *scene.Plate
	plateOf *network.Rig
	picked  string
	problem string
	said    string
	awake   bool
	sys     unit.System
	now     time.Time
	effects []desk.Effect
	open    func(name string) ([]byte, error)
}

// New is the chapter at its first screen.
func New() (*Chapter, error) {
	c := &Chapter{page: atStart, hose: "off", what: pumpStarts, open: os.ReadFile, dirty: true}
	_, err := c.job.plumbed().Rig.Lineup("")
	return c, err
}

// Key names the chapter in a link.
func (c *Chapter) Key() string { return "yours" }

// Name is what the reader sees.
func (c *Chapter) Name() string { return "yours" }

func (c *Chapter) rig() *network.Rig { return c.job.plumbed().Rig }

// found is how the valves stand as the hose was said to be. On the hose a pump is
// switched off, unless it is said to start.
func (c *Chapter) found() network.Lineup {
	l := network.Lineup{}
	for _, p := range c.rig().Parts() {
		switch {
		case p.Kind() == "hookup" && c.hose == "on":
			l[p.ID()] = network.On()
		case p.Kind() == "hookup":
			l[p.ID()] = network.Off()
		case p.Kind() == "pump" && c.hose == "on" && c.what != pumpStarts:
			l[p.ID()] = network.Off()
		}
	}
	return l
}

// base is how the valves stood when it was first watched, or stand now.
func (c *Chapter) base() network.Lineup {
	if len(c.job.Read) > 0 {
		return c.job.base()
	}
	return c.found()
}

// heard is what was tapped, under the lineup it was tapped under.
func (c *Chapter) heard() (diagnose.Reading, bool) {
	l := c.base()
	if c.ear.Lineup != "" {
		if told, err := c.rig().Lineup(c.ear.Lineup); err == nil {
			l = told
		}
	}
	return c.ear.reading(l)
}

// commit puts what was tapped on the card and begins anew.
func (c *Chapter) commit() {
	if r, ok := c.heard(); ok {
		c.job.hand(r, false)
	}
	c.ear = listening{}
}

// Do takes what the reader did with the sheet.
func (c *Chapter) Do(e sheet.Event) {
	c.dirty, c.problem = true, ""
	if !e.At.IsZero() && e.At.After(c.now) {
		c.now = e.At
	}
	word, about, _ := strings.Cut(e.Do, " ")
	switch word {
	case "heard":
		c.tapped(e.At)
	case "undo":
		c.ear.undo()
		c.said = "Taken back."
	case "missed":
		c.ear.missed()
		c.said = "Noted: one was missed. The stretch around it is left out."
	case "quiet":
		if at, ok := c.ear.last(); ok && c.now.After(at) {
			c.ear.Until = tap(c.now.UnixMilli())
		}
	case "over":
		c.ear = listening{Lineup: c.ear.Lineup, First: c.ear.First, Both: c.ear.Both}
	case "both":
		c.ear.Both = e.Arg == "both"
	case "hose":
		c.hose = e.Arg
	case "what":
		c.what, c.hose = e.Arg, "off"
		if c.what == tankRises {
			c.hose = "on"
		}
	case "answer":
		c.answered(about, e.Arg)
	case "ask":
		c.goTo(atAsk)
		c.ask = max(0, min(number(e.Arg), len(c.job.Answers.asked())-1))
	case "look":
		c.looked(about, e.Arg)
	case "fact":
		c.fact(about, e.Arg)
	case "heater":
		c.job.Heater = diagnose.Heater(e.Arg)
	case "level":
		c.job.Facts.Creeps = diagnose.Yes
		c.enter = entry{Kind: e.Arg}
		c.goTo(atEnter)
	case "go":
		c.goTo(e.Arg)
	case "section":
		c.section = e.Arg
		c.goTo(atSection)
	case "step":
		c.begin(number(e.Arg))
	case "did":
		c.did(e.Arg)
	case "kind":
		c.enter = entry{Kind: e.Arg, Lineup: c.enter.Lineup, values: c.enter.values}
	case "blank":
		c.enter.tell(about, e.Arg)
	case "turn":
		c.turn(e.Arg)
	case "out":
		c.takeOut(number(e.Arg))
	case "new":
		*c = Chapter{page: atStart, hose: "off", what: pumpStarts, open: c.open, dirty: true, now: c.now, sys: c.sys, awake: c.awake, effects: c.effects}
	case "file":
		c.file(e.Arg)
	case "give":
		c.give(e.Arg)
	case "next":
		c.next()
	}
}

// goTo turns to a page.
func (c *Chapter) goTo(page string) {
	for _, p := range pages {
		if p == page {
			if c.page == atStart && page != atStart {
				c.commit()
			}
			c.page, c.picked = page, ""
		}
	}
}

// next is the one next action of each page.
func (c *Chapter) next() {
	switch c.page {
	case atStart:
		c.leaveStart()
	case atAsk:
		c.goTo(atLooks)
	case atLooks, atCard, atSection:
		c.goTo(atAnswer)
	case atAnswer:
		c.begin(0)
	case atListen:
		c.listened()
	case atEnter:
		c.entered()
	case atStep:
		c.goTo(atAnswer)
	}
}

func number(text string) int {
	n := 0
	for _, r := range text {
		if r < '0' || r > '9' || n > 1e6 {
			return -1
		}
		n = 10*n + int(r-'0')
	}
	return n
}

// Touch takes what was done on the canvas: a part that is touched is named, and where
// valves are being set it is turned.
func (c *Chapter) Touch(p frame.Pointer) {
	if !p.Down || c.plate == nil {
		return
	}
	part, ok := c.plate.Find(p.X, p.Y, c.enter.box)
	if !ok {
		c.picked = ""
		return
	}
	c.picked = part
	if c.page == atEnter {
		c.dirty, c.problem = true, ""
		c.turn(part)
	}
}

// Advance goes on to now: what is to be worked out goes on in slices.
func (c *Chapter) Advance(now time.Time, budget time.Duration) bool {
	c.now = now
	if c.dirty {
		c.dirty = false
		c.wake()
		c.order()
	}
	return c.work != nil && c.work.advance(budget)
}

// order begins to work out what the page needs, unless that is what is being, or has
// been, worked out.
func (c *Chapter) order() {
	whole := c.page == atAnswer || c.page == atStep || c.page == atSection || c.page == atListen
	rough := c.page == atStart
	if !whole && !rough {
		return
	}
	j := c.job
	if r, ok := c.heard(); ok && rough {
		j.Read = append(append([]diagnose.Reading{}, j.Read...), r)
	}
	if len(j.Read) == 0 && rough {
		return
	}
	asOf := fmt.Sprint(whole, string(marshal(&j)))
	if c.work != nil && asOf == c.asOf {
		return
	}
	c.asOf = asOf
	c.work = begin(j.thecase(), c.work, whole)
	if c.work.problem != nil {
		c.problem = "This cannot be worked out yet: " + c.work.problem.Error()
	}
}

// belief is what has been worked out; nil: not yet.
func (c *Chapter) belief() *diagnose.Belief {
	if c.work == nil {
		return nil
	}
	return c.work.belief
}

// wake keeps the screen on while one listens.
func (c *Chapter) wake() {
	on := (c.page == atStart || c.page == atListen) && len(c.ear.Taps) > 0
	if on == c.awake {
		return
	}
	c.awake = on
	word := "off"
	if on {
		word = "on"
	}
	c.effects = append(c.effects, desk.Effect{Do: "awake", Name: word})
}

// Effects are what the page is asked to do since the last call.
func (c *Chapter) Effects() []desk.Effect {
	out := c.effects
	c.effects = nil
	return out
}

// Follow opens it with a rig of the house in place of the questions; nothing else of a
// link is asked for here. The error is of a rig there is not.
func (c *Chapter) Follow(l desk.Link) error {
	if l.Rig == "" {
		return nil
	}
	data, err := house(l.Rig)
	if err != nil {
		return err
	}
	c.dirty = true
	return c.job.take(l.Rig+".rig.toml", data, nil)
}
