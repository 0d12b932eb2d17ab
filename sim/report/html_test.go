package report

import (
	"bytes"
	"io"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"quietpump/hydraulics/unit"
)

// Elements that may stand in a page, and their parents where those are fixed.
var allowed = map[string][]string{
	"html": nil, "head": {"html"}, "body": {"html"}, "meta": {"head"}, "title": {"head", "svg"}, "style": {"head", "svg"},
	"main": {"body"}, "header": {"main"}, "section": {"main"}, "h1": {"header"}, "h2": {"section"},
	"p": {"header", "section", "li"}, "ul": {"section"}, "ol": {"section"}, "li": {"ul", "ol"}, "b": {"li", "p"}, "sup": {"p", "li"}, "a": {"sup"},
	"div": {"section"}, "table": {"section", "div"}, "thead": {"table"}, "tbody": {"table"}, "tr": {"thead", "tbody"}, "th": {"tr"}, "td": {"tr"},
	"figure": {"div"}, "figcaption": {"figure"}, "svg": {"figure"}, "desc": {"svg"}, "path": {"svg"}, "text": {"svg"},
}

// checkHTML holds a page against what HTML asks for: tags nest as they stand, it
// elements where they belong, ids once, references that lead somewhere, no
// script and nothing from elsewhere.
func checkHTML(t *testing.T, page []byte) *html.Node {
	t.Helper()
	doc, err := html.Parse(bytes.NewReader(page))
	require.NoError(t, err)

	// Every tag that is opened is closed in order, as the tokens stand.
	void := []string{"meta", "path"}
	var open []string
	z := html.NewTokenizer(bytes.NewReader(page))
	for {
		kind := z.Next()
		if kind == html.ErrorToken {
			require.ErrorIs(t, z.Err(), io.EOF)
			break
		}
		name, _ := z.TagName()
		switch kind {
		case html.StartTagToken:
			if !slices.Contains(void, string(name)) {
				open = append(open, string(name))
			}
		case html.EndTagToken:
			require.NotEmpty(t, open, "</%s> without a beginning", name)
			require.Equal(t, open[len(open)-1], string(name), "tags are nested")
			open = open[:len(open)-1]
		case html.CommentToken:
			t.Errorf("a comment: %s", z.Raw())
		}
	}
	require.Empty(t, open, "tags left open")

	ids, refs := map[string]int{}, []string{}
	var walk func(n *html.Node)
	walk = func(n *html.Node) {
		if n.Type == html.ElementNode {
			parents, known := allowed[n.Data]
			require.True(t, known, "<%s> has no business here", n.Data)
			if parents != nil {
				assert.Contains(t, parents, n.Parent.Data, "<%s>", n.Data)
			}
			for _, a := range n.Attr {
				switch a.Key {
				case "id":
					ids[a.Val]++
				case "href":
					require.True(t, strings.HasPrefix(a.Val, "#"), "%s leads elsewhere", a.Val)
					refs = append(refs, a.Val[1:])
				case "aria-labelledby":
					refs = append(refs, strings.Fields(a.Val)...)
				case "src", "style", "srcset", "action":
					t.Errorf("<%s %s>", n.Data, a.Key)
				}
				assert.False(t, strings.HasPrefix(a.Key, "on"), "<%s %s>", n.Data, a.Key)
			}
			if n.Data == "svg" {
				assert.Equal(t, "img", attr(n, "role"))
				assert.NotEmpty(t, wordsOf(n.FirstChild.NextSibling), "a picture has a title")
			}
		}
		for c := n.FirstChild; c != nil; c = c.NextSibling {
			walk(c)
		}
	}
	walk(doc)
	for id, n := range ids {
		assert.Equal(t, 1, n, "id %q", id)
	}
	for _, r := range refs {
		assert.Contains(t, ids, r, "a reference leads somewhere")
	}
	return doc
}

func attr(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

// wordsOf is all text beneath a node but that of styles.
func wordsOf(n *html.Node) string {
	if n == nil || n.Type == html.ElementNode && n.Data == "style" {
		return ""
	}
	if n.Type == html.TextNode {
		return n.Data
	}
	var b strings.Builder
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		b.WriteString(wordsOf(c) + " ")
	}
	return b.String()
}

// stripped is the words of a page.
func stripped(t *testing.T, page []byte) string {
	doc, err := html.Parse(bytes.NewReader(page))
	require.NoError(t, err)
	return wordsOf(doc)
}

func TestHTMLIsSound(t *testing.T) {
	for _, sys := range []unit.System{unit.US, unit.Metric} {
		var b bytes.Buffer
		require.NoError(t, HTML(&b, sample(""), sys))
		doc := checkHTML(t, b.Bytes())
		for _, foreign := range []string{"http://", "https://", "url(", "@import", "javascript:", "<script"} {
			assert.NotContains(t, strings.ReplaceAll(b.String(), "http://www.w3.org/2000/svg", ""), foreign)
		}
		words := wordsOf(doc)
		assert.Contains(t, words, "Most likely the fill valve")
		assert.True(t, bytes.HasPrefix(b.Bytes(), []byte("<!DOCTYPE html>\n<html lang=\"en\">")))
	}
}

// Names that would be markup stay text, in every way of writing a report.
func TestHostileNamesStayText(t *testing.T) {
	for _, hostile := range []string{
		`<script>alert(1)</script>`, `"><img src=x onerror=alert(1)>`, `</title></style></svg><b onclick=x>`, `javascript:alert(1)`, `{{.Rig}}`, `<!-- -->`, `]]>`, `&lt;b&gt;&#60;i`,
		"' onload='x", "a | b", "# x", "[x](http://x.example)", "![x](y)", "`x`", "*x* _y_ ~z~", "\\",
	} {
		r := sample(hostile)
		var page bytes.Buffer
		require.NoError(t, HTML(&page, r, unit.US))
		doc, err := html.Parse(bytes.NewReader(page.Bytes()))
		require.NoError(t, err)
		var tags, clean []string
		var gather func(n *html.Node, into *[]string)
		gather = func(n *html.Node, into *[]string) {
			if n.Type == html.CommentNode {
				t.Errorf("%q became a comment", hostile)
			}
			if n.Type == html.ElementNode && n.Data != "text" && n.Data != "path" { // the number of lines of a label differs
				tag := n.Data
				for _, a := range n.Attr {
					tag += " " + a.Key
				}
				*into = append(*into, tag)
			}
			for c := n.FirstChild; c != nil; c = c.NextSibling {
				gather(c, into)
			}
		}
		gather(doc, &tags)
		var tame bytes.Buffer
		require.NoError(t, HTML(&tame, sample("tame"), unit.US))
		tameDoc, err := html.Parse(&tame)
		require.NoError(t, err)
		gather(tameDoc, &clean)
		assert.Equal(t, clean, tags, "%q changed what elements there are", hostile)
		words := strings.ReplaceAll(wordsOf(doc), "\u00A0", " ")
		assert.Contains(t, words, hostile, "it is shown as it is")

		var md, text bytes.Buffer
		require.NoError(t, Markdown(&md, r, unit.US))
		for _, raw := range []string{"<script", "<img", "<b ", "<!--", "](http", "![x]"} {
			assert.NotRegexp(t, `(^|[^\\])`+regexp.QuoteMeta(raw), md.String(), hostile)
		}
		var tameMD bytes.Buffer
		require.NoError(t, Markdown(&tameMD, sample("tame"), unit.US))
		bars := regexp.MustCompile(`(^|[^\\])\|`)
		assert.Equal(t, len(bars.FindAllString(tameMD.String(), -1)), len(bars.FindAllString(md.String(), -1)), "%q makes no columns", hostile)
		require.NoError(t, Text(&text, r, unit.US))
	}
	// What would move a terminal's cursor or turn the direction of writing is left out.
	var b bytes.Buffer
	require.NoError(t, Text(&b, &Report{Case: sample("").Case, Belief: sample("").Belief}, unit.US))
	assert.Equal(t, "a [2Jb c", plain("a\x1b[2Jb\r\n\u202Ec"))
}

// Words stand 4.5 to 1 or more from their paper, light, dark and printed: the
// relative luminance and contrast ratio of WCAG 2.1, computed from the page's
// own style.
func TestContrast(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, HTML(&b, sample(""), unit.US))
	themes := regexp.MustCompile(`:root\{([^}]*)\}`).FindAllStringSubmatch(b.String(), -1)
	require.Len(t, themes, 3, "light, dark, print")
	// The inks in which the style sets words, and lines that carry something.
	used := regexp.MustCompile(`[^-]color:var\(--(\w+)\)`).FindAllStringSubmatch(pageStyle, -1)
	require.GreaterOrEqual(t, len(used), 5)
	for i, theme := range themes {
		colours := map[string][3]float64{}
		for _, v := range regexp.MustCompile(`--(\w+):#(\w\w)(\w\w)(\w\w)`).FindAllStringSubmatch(theme[1], -1) {
			var c [3]float64
			for k := range c {
				x, err := strconv.ParseUint(v[2+k], 16, 8)
				require.NoError(t, err)
				c[k] = float64(x) / 255
			}
			colours[v[1]] = c
		}
		for _, u := range used {
			ink, ok := colours[u[1]]
			require.True(t, ok, u[1])
			assert.GreaterOrEqual(t, contrast(ink, colours["paper"]), 4.5, "%s in theme %d", u[1], i)
		}
	}
}

func contrast(a, b [3]float64) float64 {
	x, y := luminance(a), luminance(b)
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

func luminance(c [3]float64) float64 {
	part := func(s float64) float64 {
		if s <= 0.03928 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*part(c[0]) + 0.7152*part(c[1]) + 0.0722*part(c[2])
}
