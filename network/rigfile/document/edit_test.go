package document

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A table goes behind the others of its section, however they are written, and
// the rest of the text stays as it is.
func TestAppend(t *testing.T) {
	table := &Node{Shape: Table}
	table.Add("rest", NewText("95 s"))
	table.Add("fill valve", NewText("by hand"))
	const said, inline, json = "rest = \"95 s\"\n\"fill valve\" = \"by hand\"\n", `{ rest = "95 s", "fill valve" = "by hand" }`, `{"rest": "95 s", "fill valve": "by hand"}`
	for _, tt := range []struct{ name, text, want string }{
		{"first", "a = 1 # one\n", "a = 1 # one\n\n[[reading]]\n" + said},
		{"sections", "[[reading]]\nx = 1\n[b]\nc = 2 # end", "[[reading]]\nx = 1\n[b]\nc = 2 # end\n\n[[reading]]\n" + said},
		{"windows", "a = 1\r\n", "a = 1\r\n\r\n[[reading]]\r\n" + strings.ReplaceAll(said, "\n", "\r\n")},
		{"mark", "\ufeffa = 1\n", "\ufeffa = 1\n\n[[reading]]\n" + said},
		{"nothing", "", "[[reading]]\n" + said},
		{"rows", "reading = [{ x = 1 }]\n[b]\n", "reading = [{ x = 1 }, " + inline + "]\n[b]\n"},
		{"rows, each on its line", "reading = [\n  { x = 1 }, # one\n]\n", "reading = [\n  { x = 1 },\n  " + inline + ", # one\n]\n"},
		{"no rows", "reading = []\n", "reading = [" + inline + "]\n"},
		{"JSON", `{"a": 1}`, "{\"a\": 1,\n  \"reading\": [\n    " + json + "\n  ]}"},
		{"JSON rows", `{"reading": [{"x": 1}], "a": 1}`, `{"reading": [{"x": 1}, ` + json + `], "a": 1}`},
		{"empty JSON", `{}`, "{\n  \"reading\": [\n    " + json + "\n  ]}"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			src := NewSource("x", []byte(tt.text))
			root, slips := src.Read()
			require.Empty(t, slips)
			got := src.Append(root, "reading", table)
			assert.Equal(t, tt.want, string(got))
			again, slips := NewSource("x", got).Read()
			require.Empty(t, slips)
			items := again.Get("reading").Items
			assert.Equal(t, "by hand", items[len(items)-1].Get("fill valve").Text)
		})
	}
}
