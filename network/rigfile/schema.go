package rigfile

import (
	"encoding/json"
)

// Schema returns the JSON Schema (draft 2020-12) of rig files, for editors that
// check and complete while a file is written. It holds for the TOML and the
// JSON form alike, and is kept beside this package as rig.schema.json. It
// checks words and shapes; units, names and plumbing are checked by [Parse].
func Schema() []byte {
	defs, sections := sectionSchemas()
	sections["rig"] = map[string]any{
		"type": "object", "description": "The rig itself.", "additionalProperties": false,
		"properties": map[string]any{"name": map[string]any{"type": "string", "description": "What the rig is called."}},
	}
	out, err := json.MarshalIndent(map[string]any{
		"$schema":     "https://json-schema.org/draft/2020-12/schema",
		"title":       "A rig file",
		"description": "One vehicle's fresh-water system: what is plumbed to what.",
		"type":        "object", "additionalProperties": false, "properties": sections, "$defs": defs,
	}, "", "  ")
	if err != nil {
		panic(err) // maps of strings always encode
	}
	return append(out, '\n')
}

// TableSchema returns the schema of a rig that stands as a table in another
// file, and the definitions that it and the schema around it share.
func TableSchema() (table, defs map[string]any) {
	defs, sections := sectionSchemas()
	sections["name"] = map[string]any{"type": "string", "description": "What the rig is called."}
	return map[string]any{"type": "object", "additionalProperties": false, "properties": sections}, defs
}

// sectionSchemas describes the sections of parts, under all their words, by
// definitions of the kinds.
func sectionSchemas() (defs, sections map[string]any) {
	type m = map[string]any
	defs, sections = m{}, m{}
	for _, k := range kinds {
		def := k.record().Schema()
		def["description"] = k.doc
		defs[k.word] = def
		list := m{"type": "array", "items": m{"$ref": "#/$defs/" + k.word}, "description": k.doc}
		for _, w := range append([]string{k.word}, k.also...) {
			sections[w] = list
		}
	}
	return defs, sections
}
