package document_test

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"quietpump/network/rigfile/document"
)

// A grade is written as a text of its own: "grade 3".
type grade struct{ of int }

type shelf struct {
	Grade  grade
	Count  int
	Charge float64
	Depth  float64
}

var shelves = document.NewRecord(reflect.TypeFor[shelf](), func(field string) document.Note {
	return map[string]document.Note{
		"Charge": {Word: "none"},
		"Depth":  {Instead: "nothing"},
	}[field]
}, map[reflect.Type]document.Words{
	reflect.TypeFor[grade](): {
		Eg: "grade 3", Unit: true,
		Read: func(text string) (any, error) {
			var g grade
			if _, err := fmt.Sscanf(text, "grade %d", &g.of); err != nil {
				return nil, fmt.Errorf("%q: want a grade", text)
			}
			return g, nil
		},
		Write: func(x any) string { return fmt.Sprintf("grade %d", x.(grade).of) },
	},
})

func readShelf(text string) (shelf, error) {
	src := document.NewSource("shelf.toml", []byte(text))
	root, slips := src.Read()
	d := document.Decoder{Source: src, Problems: slips}
	var s shelf
	d.Table(shelves, root, reflect.ValueOf(&s).Elem())
	d.Problems.Sort()
	return s, d.Problems.Err()
}

// A type with words of its own is read by them, counts are whole, and a word may
// stand for a number; what is written is read as what it was.
func TestWordsOfATypesOwn(t *testing.T) {
	want := shelf{Grade: grade{3}, Count: 12, Charge: -1, Depth: 0.5}
	got, err := readShelf("grade = \"grade 3\"\ncount = 12\ncharge = \"none\"\ndepth = 0.5\n")
	require.NoError(t, err)
	assert.Equal(t, want, got)
	text := string(document.Encoder{}.Table(shelves, reflect.ValueOf(want)).TOML())
	again, err := readShelf(text)
	require.NoError(t, err, text)
	assert.Equal(t, want, again)

	for _, tt := range []struct{ text, want string }{
		{"grade = 3", `grade = 3 has no unit; write it in quotes with its unit, such as "grade 3"`},
		{"grade = true", `grade`},
		{`grade = "three"`, `grade "three": want a grade`},
		{"count = 1.5", `count = 1.5 is no number to count with`},
		{"count = 1e300", `is no number to count with`},
		{"count = \"many\"", `count`},
		{`charge = 0`, `write charge = "none"`},
		{`depth = 0`, `leave it out`},
	} {
		_, err := readShelf(tt.text)
		assert.ErrorContains(t, err, tt.want, tt.text)
	}
}

// The schema asks for what the reader takes.
func TestSchemaOfWords(t *testing.T) {
	text, err := json.Marshal(shelves.Schema())
	require.NoError(t, err)
	for _, part := range []string{`"grade 3"`, `"integer"`, `"none"`} {
		assert.True(t, strings.Contains(string(text), part), "%s in %s", part, text)
	}
}
