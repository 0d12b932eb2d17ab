package report

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
)

// markdownOf writes a page as Markdown, with the pictures told in words.
func markdownOf(p *page) ([]byte, error) {
	var b bytes.Buffer
	fmt.Fprintf(&b, "# %s\n\n%s\n", marked(p.Title), marked(p.Rig))
	for _, s := range p.Sections {
		fmt.Fprintf(&b, "\n## %s\n", s.Heading)
		for _, k := range s.Blocks {
			b.WriteString("\n")
			switch {
			case k.Lead != "":
				fmt.Fprintf(&b, "**%s**\n", marked(k.Lead))
			case k.Para != nil:
				fmt.Fprintf(&b, "%s%s\n", marked(k.Para.Text), markedRefs(k.Para.Refs))
			case k.Items != nil:
				markdownList(&b, k)
			case k.Table != nil:
				markdownTable(&b, *k.Table)
			}
			for i, f := range told(k.Figures) {
				if i > 0 {
					b.WriteString("\n")
				}
				fmt.Fprintf(&b, "> **%s** %s\n", marked(stop(f.Title(p.sys))), marked(f.Words(p.sys)))
			}
		}
	}
	if len(p.Notes) > 0 {
		b.WriteString("\n## Sources\n\n")
		for i, n := range p.Notes {
			fmt.Fprintf(&b, "[^%d]: %s\n", i+1, marked(n.said()))
		}
	}
	return b.Bytes(), nil
}

// told are the figures whose words stand nowhere else.
func told(list []figure) []figure {
	return slices.DeleteFunc(slices.Clone(list), func(f figure) bool { return f.Again })
}

func markdownList(b *bytes.Buffer, k block) {
	if k.Label != "" {
		fmt.Fprintf(b, "%s\n\n", marked(k.Label))
	}
	for i, x := range k.Items {
		first, rest := "- ", "  "
		if k.Ordered {
			first = fmt.Sprintf("%d. ", i+1)
			rest = strings.Repeat(" ", len(first))
		}
		b.WriteString(first)
		if x.Head != "" {
			fmt.Fprintf(b, "**%s** ", marked(x.Head))
		}
		fmt.Fprintf(b, "%s%s\n", marked(x.Text), markedRefs(x.Refs))
		for _, c := range x.Cautions {
			fmt.Fprintf(b, "%s- **Caution:** %s\n", rest, marked(c))
		}
	}
}

func markdownTable(b *bytes.Buffer, t table) {
	row := func(cells []string) {
		for _, c := range cells {
			fmt.Fprintf(b, "| %s ", marked(c))
		}
		b.WriteString("|\n")
	}
	row(t.Head)
	b.WriteString(strings.Repeat("| --- ", len(t.Head)) + "|\n")
	for _, r := range t.Rows {
		row(r)
	}
}

func markedRefs(refs []int) string {
	text := ""
	for _, r := range refs {
		text += fmt.Sprintf("[^%d]", r)
	}
	return text
}

// marked makes a text plain to Markdown: every mark that could begin something
// is escaped (CommonMark 0.31, section 2.4, lets a backslash stand before any
// ASCII punctuation).
func marked(text string) string {
	var b strings.Builder
	for i, r := range plain(text) {
		switch {
		case strings.ContainsRune("\\`*_[]<>|~&#", r), i == 0 && strings.ContainsRune("-+=!", r), r == '!':
			b.WriteRune('\\')
		}
		b.WriteRune(r)
	}
	return b.String()
}
