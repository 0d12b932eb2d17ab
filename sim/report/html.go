package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"strconv"
	"strings"

	"golang.org/x/net/html"

	"quietpump/sim/chart"
)

//go:embed page.css
var pageStyle string

// htmlOf writes a page as one HTML file. It is built as a tree and rendered by
// the library that knows how text and attributes are escaped, so no name can
// become markup. (A template would do the same, but one drags every method of a
// program into it: it doubled the size of one for the browser.)
func htmlOf(p *page) ([]byte, error) {
	main := element("main", element("header", with(element("p", words(p.Rig)), "class", "rig"), element("h1", words(p.Title))))
	figures := 0
	for _, s := range p.Sections {
		section := with(element("section", element("h2", words(s.Heading))), "id", s.ID)
		for _, b := range s.Blocks {
			nodes, err := blockHTML(p, b, &figures)
			if err != nil {
				return nil, err
			}
			for _, n := range nodes {
				section.AppendChild(n)
			}
		}
		main.AppendChild(section)
	}
	if len(p.Notes) > 0 {
		list := with(element("ol"), "class", "notes")
		for i, n := range p.Notes {
			list.AppendChild(with(element("li", words(n.said())), "id", "note"+strconv.Itoa(i+1)))
		}
		main.AppendChild(with(element("section", element("h2", words("Sources")), list), "id", "sources"))
	}
	head := element("head",
		with(element("meta"), "charset", "utf-8"),
		with(element("meta"), "name", "viewport", "content", "width=device-width, initial-scale=1"),
		with(element("meta"), "name", "color-scheme", "content", "light dark"),
		with(element("meta"), "http-equiv", "Content-Security-Policy", "content", "default-src 'none'; style-src 'unsafe-inline'"),
		element("title", words(p.Rig+": "+p.Title)),
		element("style", &html.Node{Type: html.TextNode, Data: palette() + pageStyle}),
	)
	doc := &html.Node{Type: html.DocumentNode}
	doc.AppendChild(&html.Node{Type: html.DoctypeNode, Data: "html"})
	doc.AppendChild(with(element("html", head, element("body", main)), "lang", "en"))
	for n := range doc.Descendants() {
		if begins[n.Data] && n.Type == html.ElementNode {
			n.Parent.InsertBefore(&html.Node{Type: html.TextNode, Data: "\n"}, n)
		}
	}
	var b bytes.Buffer
	if err := html.Render(&b, doc); err != nil {
		return nil, err
	}
	b.WriteByte('\n')
	return b.Bytes(), nil
}

// begins are the elements that begin a line of the file.
var begins = map[string]bool{
	"html": true, "head": true, "body": true, "meta": true, "title": true, "style": true, "main": true, "header": true, "section": true,
	"h1": true, "h2": true, "p": true, "ul": true, "ol": true, "li": true, "div": true, "table": true, "tr": true, "figure": true, "figcaption": true,
}

// element is an element and what it holds.
func element(tag string, holds ...*html.Node) *html.Node {
	n := &html.Node{Type: html.ElementNode, Data: tag}
	for _, h := range holds {
		n.AppendChild(h)
	}
	return n
}

// with gives an element attributes, each a key and a value.
func with(n *html.Node, attrs ...string) *html.Node {
	for i := 0; i+1 < len(attrs); i += 2 {
		n.Attr = append(n.Attr, html.Attribute{Key: attrs[i], Val: attrs[i+1]})
	}
	return n
}

// words is a text, set.
func words(text string) *html.Node { return &html.Node{Type: html.TextNode, Data: typeset(text)} }

func blockHTML(p *page, b block, figures *int) ([]*html.Node, error) {
	switch {
	case b.Lead != "":
		return []*html.Node{with(element("p", words(b.Lead)), "class", "lead")}, nil
	case b.Para != nil:
		return []*html.Node{lineHTML(element("p"), *b.Para)}, nil
	case b.Items != nil:
		return listHTML(b), nil
	case b.Figures == nil && b.Table != nil:
		return []*html.Node{tableHTML(*b.Table)}, nil
	case b.Figures == nil:
		return nil, nil
	}
	group := with(element("div"), "class", "figures")
	if b.Table != nil && len(b.Table.Rows) > 0 {
		group.AppendChild(tableHTML(*b.Table))
	}
	for _, f := range b.Figures {
		*figures++
		var svg bytes.Buffer
		if err := f.SVG(&svg, p.sys, "figure"+strconv.Itoa(*figures)); err != nil {
			return nil, err
		}
		// A Picture's SVG is its own affair, see there.
		group.AppendChild(element("figure", element("figcaption", words(f.Title(p.sys))), &html.Node{Type: html.RawNode, Data: svg.String()}))
	}
	return []*html.Node{group}, nil
}

// lineHTML puts a text and its footnotes into an element.
func lineHTML(n *html.Node, l line) *html.Node {
	n.AppendChild(words(l.Text))
	if len(l.Refs) == 0 {
		return n
	}
	sup := element("sup")
	for i, s := range spans(l.Refs) {
		if i > 0 {
			sup.AppendChild(&html.Node{Type: html.TextNode, Data: ",\u2009"}) // a thin space
		}
		sup.AppendChild(with(element("a", words(s.String())), "href", "#note"+strconv.Itoa(s.From)))
	}
	n.AppendChild(sup)
	return n
}

func listHTML(b block) []*html.Node {
	var out []*html.Node
	if b.Label != "" {
		out = append(out, with(element("p", words(b.Label)), "class", "label"))
	}
	list := element("ul")
	if b.Ordered {
		list = element("ol")
	}
	for _, x := range b.Items {
		li := element("li")
		if x.Head != "" {
			li.AppendChild(element("b", words(x.Head)))
			li.AppendChild(&html.Node{Type: html.TextNode, Data: " "})
		}
		lineHTML(li, x.line)
		if len(x.Cautions) > 0 {
			li.AppendChild(with(element("p", element("b", words("Caution.")), &html.Node{Type: html.TextNode, Data: " "},
				words(strings.Join(x.Cautions, " "))), "class", "caution"))
		}
		list.AppendChild(li)
	}
	return append(out, list)
}

func tableHTML(t table) *html.Node {
	head, body := element("tr"), element("tbody")
	for _, h := range t.Head {
		head.AppendChild(with(element("th", words(h)), "scope", "col"))
	}
	for _, row := range t.Rows {
		tr := element("tr")
		for i, cell := range row {
			if i == 0 {
				tr.AppendChild(with(element("th", words(cell)), "scope", "row"))
				continue
			}
			tr.AppendChild(element("td", words(cell)))
		}
		body.AppendChild(tr)
	}
	return element("table", element("thead", head), body)
}

// typeset makes a text plain, with a space that does not break between a number
// and its unit.
func typeset(text string) string {
	var b strings.Builder
	number := false
	for i, word := range strings.Fields(plain(text)) {
		switch {
		case i > 0 && number:
			b.WriteRune('\u00A0')
		case i > 0:
			b.WriteByte(' ')
		}
		b.WriteString(word)
		_, err := strconv.ParseFloat(strings.TrimLeft(word, "(~"), 64)
		number = err == nil
	}
	return b.String()
}

// palette is the colours of the pictures, as the page's own.
func palette() string {
	names := []struct {
		name string
		ink  chart.Ink
	}{{"paper", chart.Paper}, {"ink", chart.Body}, {"soft", chart.Soft}, {"rule", chart.Rule}, {"cold", chart.Cold}, {"seep", chart.Seep}, {"band", chart.Band}}
	vars := func(t chart.Theme) string {
		var each []string
		for _, n := range names {
			c := n.ink.Colour(t)
			each = append(each, fmt.Sprintf("--%s:#%02X%02X%02X", n.name, c.R, c.G, c.B))
		}
		return ":root{" + strings.Join(each, ";") + "}"
	}
	return vars(chart.Light) + "\n@media (prefers-color-scheme:dark){" + vars(chart.Dark) + "}\n@media print{" + vars(chart.Print) + "}\n"
}
