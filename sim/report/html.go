package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"strconv"
	"strings"

	"quietpump/sim/chart"
)

//go:embed page.gohtml
var pageText string

//go:embed page.css
var pageStyle string

var pageHTML = template.Must(template.New("page").Funcs(template.FuncMap{
	"plain": typeset,
	"inc":   func(i int) int { return i + 1 },
	"said":  note.said,
	"spans": spans,
}).Parse(pageText))

// htmlOf writes a page as one HTML file.
func htmlOf(p *page) ([]byte, error) {
	figures := 0
	data := struct {
		*page
		Style  template.CSS
		Figure func(figure) (template.HTML, error)
		Told   func(figure) string
	}{
		page: p, Style: template.CSS(palette() + pageStyle),
		Told: func(f figure) string { return plain(f.Title(p.sys)) },
		Figure: func(f figure) (template.HTML, error) {
			figures++
			var b bytes.Buffer
			err := f.SVG(&b, p.sys, fmt.Sprintf("figure%d", figures))
			return template.HTML(b.String()), err // a Picture's SVG is its own affair, see there
		},
	}
	var b bytes.Buffer
	err := pageHTML.Execute(&b, data)
	return b.Bytes(), err
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
