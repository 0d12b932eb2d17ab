package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"strings"

	"quietpump/sim/chart"
)

//go:embed page.gohtml
var pageText string

//go:embed page.css
var pageStyle string

var pageHTML = template.Must(template.New("page").Funcs(template.FuncMap{
	"plain": plain,
	"inc":   func(i int) int { return i + 1 },
	"said":  note.said,
}).Parse(pageText))

// htmlOf writes a page as one HTML file.
func htmlOf(p *page) ([]byte, error) {
	figures := 0
	data := struct {
		*page
		Style  template.CSS
		Figure func(Picture) (template.HTML, error)
		Told   func(Picture) string
	}{
		page: p, Style: template.CSS(palette() + pageStyle),
		Told: func(f Picture) string { return plain(f.Title(p.sys)) },
		Figure: func(f Picture) (template.HTML, error) {
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
