package report

import (
	"bytes"
	"fmt"
	"strings"
)

const columns = 80

// textOf writes a page as plain text.
func textOf(p *page) ([]byte, error) {
	var b bytes.Buffer
	wrapped(&b, "", "", plain(p.Title))
	fmt.Fprintf(&b, "%s\n", plain(p.Rig))
	for _, s := range p.Sections {
		fmt.Fprintf(&b, "\n%s\n", strings.ToUpper(s.Heading))
		for i, k := range s.Blocks {
			textBlock(&b, p, k, i > 0 && k.Para == nil)
		}
	}
	if len(p.Notes) > 0 {
		b.WriteString("\nSOURCES\n")
		for i, n := range p.Notes {
			wrapped(&b, fmt.Sprintf("%4d  ", i+1), "      ", plain(n.said()))
		}
	}
	return b.Bytes(), nil
}

func textBlock(b *bytes.Buffer, p *page, k block, apart bool) {
	switch {
	case k.Lead != "":
		wrapped(b, "", "", "> "+plain(k.Lead))
	case k.Para != nil:
		wrapped(b, "", "", plain(k.Para.Text)+marks(k.Para.Refs))
	case k.Items != nil:
		if k.Label != "" {
			fmt.Fprintf(b, "\n%s\n", plain(k.Label))
		}
		for i, x := range k.Items {
			first, rest := "  - ", "    "
			if k.Ordered {
				first, rest = fmt.Sprintf("%3d. ", i+1), "     "
			}
			wrapped(b, first, rest, strings.TrimSpace(plain(x.Head)+" "+plain(x.Text)+marks(x.Refs)))
			for _, c := range x.Cautions {
				wrapped(b, rest+"! ", rest+"  ", plain(c))
			}
		}
	case k.Table != nil:
		if apart {
			b.WriteString("\n")
		}
		textTable(b, *k.Table)
	}
	for _, f := range told(k.Figures) {
		b.WriteString("\n")
		wrapped(b, "", "", plain(stop(f.Title(p.sys))+" "+f.Words(p.sys)))
	}
}

// textTable sets columns as wide as what stands in them; one that would not fit
// beside the others is wrapped.
func textTable(b *bytes.Buffer, t table) {
	width := make([]int, len(t.Head))
	rows := append([][]string{t.Head}, t.Rows...)
	for _, row := range rows {
		for i, cell := range row {
			width[i] = max(width[i], len([]rune(plain(cell))))
		}
	}
	const gap = 2
	for {
		sum, widest := gap*len(width), 0
		for i, w := range width {
			sum += w
			if w > width[widest] {
				widest = i
			}
		}
		if sum <= columns || width[widest] <= 12 {
			break
		}
		width[widest]--
	}
	for _, row := range rows {
		cells := make([][]string, len(row))
		high := 1
		for i, cell := range row {
			cells[i] = lines(plain(cell), width[i])
			high = max(high, len(cells[i]))
		}
		for k := range high {
			line := "  "
			for i := range row {
				text := ""
				if k < len(cells[i]) {
					text = cells[i][k]
				}
				line += text + strings.Repeat(" ", max(0, width[i]-len([]rune(text)))+gap)
			}
			fmt.Fprintln(b, strings.TrimRight(line, " "))
		}
	}
}

func marks(refs []int) string {
	if len(refs) == 0 {
		return ""
	}
	var each []string
	for _, s := range spans(refs) {
		each = append(each, s.String())
	}
	return " [" + strings.Join(each, ", ") + "]"
}

// A span is footnotes in a row.
type span struct{ From, To int }

func (s span) String() string {
	switch s.To - s.From {
	case 0:
		return fmt.Sprint(s.From)
	case 1:
		return fmt.Sprintf("%d, %d", s.From, s.To)
	}
	return fmt.Sprintf("%d–%d", s.From, s.To)
}

// spans gathers footnotes that follow each other.
func spans(refs []int) []span {
	var list []span
	for _, r := range refs {
		if n := len(list); n > 0 && list[n-1].To == r-1 {
			list[n-1].To = r
			continue
		}
		list = append(list, span{r, r})
	}
	return list
}

func (n note) said() string {
	text := stop(capital(n.Words))
	switch {
	case n.Source == "":
		return strings.TrimSpace(text + " " + capital(n.Status) + ".")
	case n.Status == "from memory":
		return text + " " + capital(n.Source) + ", from memory."
	}
	return text + " " + stop(capital(n.Source))
}

// wrapped writes a text in lines behind an indent.
func wrapped(b *bytes.Buffer, first, rest, text string) {
	for i, l := range lines(text, columns-len([]rune(first))) {
		if i > 0 {
			first = rest
		}
		fmt.Fprintln(b, strings.TrimRight(first+l, " "))
	}
}

// lines breaks a text at its spaces.
func lines(text string, width int) []string {
	var out []string
	line, n := "", 0
	for _, word := range strings.Fields(text) {
		w := len([]rune(word))
		if n > 0 && n+1+w > width {
			out = append(out, line)
			line, n = "", 0
		}
		if n > 0 {
			line += " "
			n++
		}
		line += word
		n += w
	}
	if n > 0 {
		out = append(out, line)
	}
	return out
}

// plain keeps a name on its line and a terminal to itself: what does not print
// becomes a space.
func plain(text string) string {
	return strings.Join(strings.Fields(strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7F || r >= 0x80 && r < 0xA0 || r >= 0x202A && r <= 0x202E || r >= 0x2066 && r <= 0x2069 || r == 0xFFFD {
			return ' '
		}
		return r
	}, text)), " ")
}
