package site

import (
	"bytes"
	"fmt"
	"strings"
	"time"

	"quietpump/sim/chart"
	"quietpump/wasm/desk"
)

// nowhere takes what a chapter would hand over while its still is drawn.
type nowhere struct{}

func (nowhere) Write(string, []byte) error { return nil }

// settled is how long the first chapter is given to have its picture ready.
const settled = 20 * time.Second

// A greeting is what a page says before the program has come: what its still shows,
// in words, and the first note, as JSON.
type greeting struct{ words, sheet string }

// stills are the pictures that stand there while the program loads, drawn by the
// very code that then draws on the canvas, and what is said beside them.
func stills(chapters func() []desk.Chapter) (drawn map[string][]byte, first greeting, err error) {
	drawn = map[string][]byte{}
	for _, shape := range []struct {
		name       string
		wide, high int
	}{{"tall", 390, 388}, {"wide", 1080, 900}} {
		for _, theme := range []struct{ name, dark string }{{"light", "off"}, {"dark", "on"}} {
			d := desk.New(nowhere{}, chapters()...)
			for _, line := range []string{
				fmt.Sprintf(`{"do":"page.size","arg":"%d %d 0 0 %d %d"}`, shape.wide, shape.high, shape.wide, shape.high),
				`{"do":"page.calm","arg":"on"}`,
				`{"do":"page.dark","arg":"` + theme.dark + `"}`,
			} {
				if err := d.Line(line); err != nil {
					return nil, first, err
				}
			}
			// The clock is told, so that the picture is the same at each build.
			now := time.Date(2024, time.June, 1, 12, 0, 0, 0, time.UTC)
			for range 30 {
				if _, err := d.Advance(now, settled); err != nil {
					return nil, first, err
				}
				now = now.Add(time.Second / 30)
			}
			f := d.Draw(now)
			all := chart.Drawing{Width: f.Still.Width, Height: f.Still.Height, Title: f.Still.Title, Words: f.Still.Words}
			all.Add(f.Still.Marks...)
			all.Add(f.Moving.Marks...)
			for i, m := range all.Marks { // a rim round every letter is dear to paint, and it stands for a moment
				if l, ok := m.(chart.Label); ok {
					l.Halo = false
					all.Marks[i] = l
				}
			}
			var b bytes.Buffer
			if err := all.SVG(&b, f.Look.Theme(), "still"); err != nil {
				return nil, first, fmt.Errorf("site: the still: %w", err)
			}
			drawn["still-"+shape.name+"-"+theme.name+".svg"] = joined(b.Bytes())
			first.words = all.Words
			lines, err := d.Lines(now)
			if err != nil {
				return nil, first, err
			}
			for _, line := range lines {
				if sheet, ok := strings.CutPrefix(line, "qp:sheet "); ok {
					first.sheet = sheet
				}
			}
		}
	}
	if first.words == "" {
		first.words = "A vehicle's water system, drawn from the side."
	}
	icon := chart.Drawing{Width: 64, Height: 64, Title: "quietpump"}
	icon.Silhouette("pump", 4, 4, 56)
	var b bytes.Buffer
	if err := icon.SVG(&b, chart.Light, "icon"); err != nil {
		return nil, first, fmt.Errorf("site: the icon: %w", err)
	}
	drawn["icon.svg"] = b.Bytes()
	return drawn, first, nil
}

// joined makes lines that follow one another and look alike one element, for the browser
// takes its time by elements. What is filled stays apart: it covers what went before.
func joined(svg []byte) []byte {
	var out [][]byte
	last := "" // all but the way of the line before; empty: nothing can join it
	for line := range bytes.Lines(svg) {
		look, way, drawn := strings.Cut(string(line), ` d="`)
		if !drawn || !strings.HasPrefix(look, `<path fill="none"`) {
			last = ""
		} else if look == last {
			before := &out[len(out)-1]
			*before = append(bytes.TrimSuffix(*before, []byte("\"/>\n")), way...)
			continue
		} else {
			last = look
		}
		out = append(out, bytes.Clone(line))
	}
	return bytes.Join(out, nil)
}
