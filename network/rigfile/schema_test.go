package rigfile

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

var update = flag.Bool("update", false, "write rig.schema.json anew")

func TestSchemaIsTheCommittedFile(t *testing.T) {
	if *update {
		require.NoError(t, os.WriteFile("rig.schema.json", Schema(), 0o644))
	}
	data, err := os.ReadFile("rig.schema.json")
	require.NoError(t, err)
	assert.Equal(t, string(data), string(Schema()), "run go test -update")
}

// compileSchema compiles the schema with an independent validator, which checks
// it against the 2020-12 metaschema.
func compileSchema(t testing.TB) *jsonschema.Schema {
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(Schema()))
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	require.NoError(t, c.AddResource("rig.schema.json", doc))
	s, err := c.Compile("rig.schema.json")
	require.NoError(t, err)
	return s
}

// plain returns a file's content as JSON values, read by a TOML decoder that
// knows nothing of rigs.
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

func TestSchemaHoldsForAllRigs(t *testing.T) {
	s := compileSchema(t)
	for _, path := range rigFiles(t) {
		assert.NoError(t, s.Validate(plain(t, path)), path)
		rig, err := Read(path)
		require.NoError(t, err)
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(MarshalJSON(rig)))
		require.NoError(t, err)
		assert.NoError(t, s.Validate(doc), path)
	}
}

func TestSchemaRefusesWordsAndShapes(t *testing.T) {
	s := compileSchema(t)
	for _, name := range []string{"unknown-section", "unknown-key", "one-bracket", "missing-end", "missing-unit", "material", "selector", "curve", "zeros", "truth", "hold", "head", "blank-name"} {
		assert.Error(t, s.Validate(plain(t, filepath.Join("../../testdata/bad", name+".rig.toml"))), name)
	}
}
