package chart

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// sans asks for whatever face the reader's system sets its own labels in.
const sans = "system-ui, sans-serif"

// classes name the inks in SVG, so that a style can change them with the theme.
var classes = [inks]string{
	Paper: "paper", Body: "body", Soft: "soft", Rule: "rule", Cold: "cold", Hot: "hot", Still: "still",
	Seep: "seep", Band: "band", Hatch: "hatch",
	shade0: "s0", shade0 + 1: "s1", shade0 + 2: "s2", shade0 + 3: "s3", shade0 + 4: "s4", shade0 + 5: "s5",
}

// An svg gathers the element. The colours stand on the marks themselves, where
// every program reads them; a style of the [Auto] theme overrules them.
type svg struct {
	bytes.Buffer
	theme        Theme
	fills, lines [inks]bool
}

// SVG writes the drawing as one SVG element that stands alone or within a page.
// The id begins the ids within it, which must be its own on a page.
func (d *Drawing) SVG(w io.Writer, theme Theme, id string) error {
	var marks svg
	marks.theme = theme
	marks.shape(Shape{Points: box(0, 0, d.Width, d.Height), Closed: true, Fill: Paper})
	for _, m := range d.Marks {
		switch m := m.(type) {
		case Shape:
			marks.shape(m)
		case Label:
			marks.label(m)
		}
	}
	if id = escaped(id); id == "" {
		id = "picture"
	}
	var out bytes.Buffer
	fmt.Fprintf(&out, `<svg xmlns="http://www.w3.org/2000/svg" class="qp" viewBox="0 0 %s %s" width="%s" height="%s" role="img" aria-labelledby="%s-title %s-words" font-family="%s" stroke-linecap="round" stroke-linejoin="round">`,
		px(d.Width), px(d.Height), px(d.Width), px(d.Height), id, id, sans)
	fmt.Fprintf(&out, "\n<title id=\"%s-title\">%s</title>\n<desc id=\"%s-words\">%s</desc>\n", id, escaped(d.Title), id, escaped(d.Words))
	marks.style(&out)
	out.Write(marks.Bytes())
	out.WriteString("</svg>\n")
	_, err := w.Write(out.Bytes())
	return err
}

// style writes the rules that follow the reader's setting, for the inks used.
func (s *svg) style(out *bytes.Buffer) {
	if s.theme != Auto {
		return
	}
	rules := func(t Theme) string {
		var b strings.Builder
		for i := Paper; int(i) < inks; i++ {
			if s.fills[i] {
				fmt.Fprintf(&b, ".qp .f-%s{fill:%s}", classes[i], i.hex(t))
			}
			if s.lines[i] {
				fmt.Fprintf(&b, ".qp .l-%s{stroke:%s}", classes[i], i.hex(t))
			}
		}
		return b.String()
	}
	fmt.Fprintf(out, "<style>@media (prefers-color-scheme:dark){%s}@media print{%s}</style>\n", rules(Dark), rules(Print))
}

// inked writes the class and colours of a mark.
func (s *svg) inked(fill, line Ink) {
	var class []string
	if fill != None {
		class, s.fills[fill] = append(class, "f-"+classes[fill]), true
	}
	if line != None {
		class, s.lines[line] = append(class, "l-"+classes[line]), true
	}
	if s.theme == Auto && len(class) > 0 {
		fmt.Fprintf(s, ` class="%s"`, strings.Join(class, " "))
	}
	fmt.Fprintf(s, ` fill="%s"`, fill.hex(s.theme))
	if line != None {
		fmt.Fprintf(s, ` stroke="%s"`, line.hex(s.theme))
	}
}

func (s *svg) shape(m Shape) {
	if len(m.Points) == 0 || m.Fill == None && m.Line == None {
		return
	}
	s.WriteString("<path")
	s.inked(m.Fill, m.Line)
	if m.Line != None {
		fmt.Fprintf(s, ` stroke-width="%s"`, px(m.Width))
		if m.Dash > 0 {
			fmt.Fprintf(s, ` stroke-dasharray="%s"`, px(m.Dash))
		}
	}
	s.WriteString(` d="`)
	for i, p := range m.Points {
		switch {
		case i == 0:
			s.WriteString("M")
		case i == 1:
			s.WriteString("L")
		default:
			s.WriteString(" ")
		}
		s.WriteString(px(p.X) + "," + px(p.Y))
	}
	if m.Closed {
		s.WriteString("Z")
	}
	s.WriteString("\"/>\n")
}

func (s *svg) label(m Label) {
	if m.Text == "" {
		return
	}
	fmt.Fprintf(s, `<text x="%s" y="%s" font-size="%s"`, px(m.At.X), px(m.At.Y), px(m.Size))
	switch m.Side {
	case Middle:
		s.WriteString(` text-anchor="middle"`)
	case End:
		s.WriteString(` text-anchor="end"`)
	}
	if m.Bold {
		s.WriteString(` font-weight="bold"`)
	}
	halo := None
	if m.Halo {
		halo = Paper
	}
	s.inked(m.Ink, halo)
	if m.Halo {
		s.WriteString(` stroke-width="3" paint-order="stroke"`)
	}
	fmt.Fprintf(s, ">%s</text>\n", escaped(m.Text))
}

// px writes a length to a tenth of a px, which hides the last bits in which
// processors differ.
func px(x float64) string {
	x = math.Round(x*10) / 10
	if x == 0 {
		return "0"
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

// escaped makes a text safe in an element and in an attribute.
func escaped(text string) string {
	var b bytes.Buffer
	_ = xml.EscapeText(&b, []byte(text)) // a buffer takes everything
	return b.String()
}
