//go:build js

// Package window joins an opened desk to a browser's canvas, and is built for a browser
// alone. What the reader does comes in as the opening's lines, what the page is to show goes
// out as lines on standard output.
package window

import (
	"fmt"
	"math"
	"runtime/debug"
	"slices"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"quietpump/wasm/desk"
	"quietpump/wasm/frame"
	"quietpump/wasm/opening"
	"quietpump/wasm/paint"
)

const (
	// idle is how many updates a second are enough where nothing moves.
	idle = 20
	// shown is after how many frames the page is told what to keep and to show, unless
	// the reader is waiting for it: the first picture comes before what the page has.
	shown = 4
	// settled is after how many frames garbage is looked for as usual, which the page
	// has put off until there is a picture.
	settled = 30
)

// Run shows what was opened until the page is closed. The error is the window library's.
func Run(o *opening.Opening) error {
	ebiten.SetScreenClearedEveryFrame(false)
	w := &window{desk: o.Desk, lines: o.Lines, canvas: canvas{painting: o.Painting, sheets: map[*paint.Sheet]sheet{}}}
	return ebiten.RunGameWithOptions(w, &ebiten.RunGameOptions{InitUnfocused: true, ScreenTransparent: true})
}

// A window is the game that the library runs.
type window struct {
	desk   *desk.Desk
	lines  <-chan string
	canvas canvas
	tps    int
	frames int  // put down since the beginning
	heard  bool // the reader has done something since
	probe  probe
}

// LayoutF makes the canvas as many device pixels as it covers.
func (w *window) LayoutF(wide, high float64) (float64, float64) {
	d := w.canvas.painting.Density()
	return math.Ceil(wide * d), math.Ceil(high * d)
}

// Layout is asked for by the interface; LayoutF takes its place.
func (w *window) Layout(wide, high int) (int, int) { return wide, high }

// Update takes what the reader did and goes on to now.
func (w *window) Update() error {
	began := time.Now()
	for more := true; more; {
		select {
		case line, ok := <-w.lines:
			if !ok {
				w.lines = nil
				break
			}
			w.canvas.stale = true
			if w.frames > 0 && !w.heard { // what the page has to be told by now comes before the answer
				w.heard = true
				w.tell(began)
			}
			w.line(line)
		default:
			more = false
		}
	}
	busy, err := w.desk.Advance(began, opening.Budget)
	if err != nil {
		fmt.Println(err)
	}
	if w.frames >= shown || w.heard {
		w.tell(began)
	}
	tps := idle
	if busy && !w.desk.Hidden() {
		tps = ebiten.SyncWithFPS
	}
	if tps != w.tps {
		w.tps = tps
		ebiten.SetTPS(tps)
	}
	w.probe.updated(time.Since(began))
	return nil
}

// line takes one line from the page.
func (w *window) line(line string) {
	if w.probe.asked(line) {
		return
	}
	if err := w.desk.Line(line); err != nil {
		fmt.Println(err)
	}
}

// tell sends the page what is new.
func (w *window) tell(now time.Time) {
	lines, err := w.desk.Lines(now)
	if err != nil {
		fmt.Println(err)
	}
	for _, line := range lines {
		fmt.Println(line)
	}
}

// Draw puts the frame down if it differs from the last.
func (w *window) Draw(screen *ebiten.Image) {
	began := time.Now()
	f := w.desk.Draw(began)
	if f.Paper == (frame.Box{}) {
		return // the page has not said how large it is
	}
	w.canvas.draw(screen, f)
	switch w.frames++; w.frames {
	case 1:
		fmt.Println("qp:ready")
	case settled:
		debug.SetGCPercent(100)
	}
	w.probe.drawn(time.Since(began))
}

// A probe measures the frame work in Go, when the page asks for it, again and again:
// what code is still being compiled and what else the machine does only adds to it.
type probe struct {
	on     bool
	update time.Duration
	frames []time.Duration
	told   int // how many medians
}

// probed is how many frames a median is taken of.
const probed = 120

func (p *probe) asked(line string) bool {
	if line != `{"do":"page.probe"}` {
		return false
	}
	*p = probe{on: true}
	return true
}

func (p *probe) updated(took time.Duration) { p.update = took }

func (p *probe) drawn(took time.Duration) {
	if !p.on {
		return
	}
	p.frames = append(p.frames, p.update+took)
	if len(p.frames) < probed {
		return
	}
	slices.Sort(p.frames)
	p.told++
	fmt.Printf("qp:state {\"told\":%d,\"frames\":%d,\"median_ms\":%.3f,\"most_ms\":%.3f}\n", p.told, probed,
		p.frames[probed/2].Seconds()*1e3, p.frames[probed-1].Seconds()*1e3)
	p.frames = p.frames[:0]
}
