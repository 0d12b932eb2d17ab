// Package opening is what a program for the page begins with: a desk that has heard what
// the page has to say before there is a picture, the lines that are still to come, and the
// first frame painted.
//
// It knows nothing of the window, so it can be done before there is one: see the package
// early.
package opening

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"quietpump/wasm/desk"
	"quietpump/wasm/paint"
)

// begun is the last line that the page sends before it starts the program.
const begun = `{"do":"page.begun"}`

// longest is the longest line the page may send, bytes: what it kept of four
// chapters is one.
const longest = 16 << 20

// Budget is how long the chapters may compute for a frame, so that the page stays alive.
const Budget = 3 * time.Millisecond

// An Opening is a desk, what comes to it, and its frames painted.
type Opening struct {
	Desk     *desk.Desk
	Lines    <-chan string // from the page, as they come
	Painting *paint.Painting
}

// Begin lays out the chapters, the first of them open or the one that the page asks for.
// What the page says of itself comes as arguments, "size=390 844 …", "density=2" for so many
// device pixels in a CSS px, and what was kept and done meanwhile as lines, the last of them
// saying that it has begun; then the chapter is drawn once, as it stands at that moment. Files
// are where chapters put what they hand over. What cannot be understood is printed, and passed
// over.
func Begin(args []string, in io.Reader, files desk.Files, chapters ...desk.Chapter) *Opening {
	d, density := desk.New(files, chapters...), 1.0
	say := func(err error) {
		if err != nil {
			fmt.Println(err)
		}
	}
	for _, said := range args {
		word, arg, _ := strings.Cut(said, "=")
		if word != "density" {
			say(d.Page(word, arg))
		} else if x, err := strconv.ParseFloat(arg, 64); err == nil && x > 0 && x < 100 {
			density = x
		} else {
			say(fmt.Errorf("opening: %q are no device pixels in a CSS px", arg))
		}
	}
	lines := make(chan string, 256)
	go func() {
		s := bufio.NewScanner(in)
		s.Buffer(nil, longest)
		for s.Scan() {
			lines <- s.Text()
		}
		close(lines)
	}()
	for line := range lines {
		if line == begun {
			break
		}
		say(d.Line(line))
	}
	now := time.Now()
	_, err := d.Advance(now, Budget)
	say(err)
	p := paint.NewPainting(density)
	_, _, err = p.Follow(d.Draw(now))
	say(err)
	return &Opening{d, lines, p}
}
