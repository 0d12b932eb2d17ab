package jobcard

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write card.schema.json anew")

func TestSchemaIsTheCommittedFile(t *testing.T) {
	if *update {
		require.NoError(t, os.WriteFile("card.schema.json", Schema(), 0o644))
	}
	data, err := os.ReadFile("card.schema.json")
	require.NoError(t, err)
	assert.Equal(t, string(data), string(Schema()), "run go test -update")
}

// plain returns a file's content as JSON values, read by a TOML decoder that
// knows nothing of cards.
func plain(t testing.TB, path string) any {
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	var v map[string]any
	require.NoError(t, toml.Unmarshal(data, &v))
	text, err := json.Marshal(v)
	require.NoError(t, err)
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	require.NoError(t, err)
	return doc
}

// An independent validator finds the schema sound, holds every card to it, and
// refuses the words and shapes that are wrong.
func TestSchemaHoldsForAllCards(t *testing.T) {
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("card.schema.json", doc))
	s, err := c.Compile("card.schema.json")
	require.NoError(t, err)
	for _, path := range cardFiles(t) {
		assert.NoError(t, s.Validate(plain(t, path)), path)
		card, err := Read(path)
		require.NoError(t, err)
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(MarshalJSON(card)))
		require.NoError(t, err)
		assert.NoError(t, s.Validate(doc), path)
	}
	for _, name := range []string{"names", "no-rig", "rig-inside", "alternatives"} {
		assert.Error(t, s.Validate(plain(t, filepath.Join(cards, "bad", name+".card.toml"))), name)
	}
	text, err := os.ReadFile(cards + "bad/values.card.toml")
	require.NoError(t, err)
	assert.NotEmpty(t, text)
	assert.Error(t, s.Validate(plain(t, filepath.Join(cards, "bad", "values.card.toml"))))
}
