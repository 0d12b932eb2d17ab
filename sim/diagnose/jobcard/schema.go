package jobcard

import (
	"encoding/json"

	"quietpump/network/rigfile"
	"quietpump/network/rigfile/document"
)

// Schema returns the JSON Schema (draft 2020-12) of job cards, for editors that
// check and complete while a card is written. It holds for the TOML and the JSON
// form alike, and is kept beside this package as card.schema.json. It checks
// words and shapes; units, names and plumbing are checked by [Parse].
func Schema() []byte {
	type m = map[string]any
	rig, defs := rigfile.TableSchema()
	effort := m{"type": "string", "enum": efforts}
	list := func(r *document.Record, doc string) m {
		return m{"type": "array", "items": r.Schema(), "description": doc}
	}
	other := alternatives().Schema()
	props := other["properties"].(map[string]any)
	anyRig := []any{m{"type": "string", "minLength": 1}, m{"$ref": "#/$defs/rig"}}
	props["rig"] = m{"anyOf": anyRig, "description": "A rig file, seen from the card's folder, or the rig itself."}
	props["with"] = m{"$ref": "#/$defs/rig", "description": "Parts it has instead, as sections of a rig file."}
	anything := m{"type": "object", "additionalProperties": m{"type": "object"}, "description": "Values of parts and joints told anew, in the words of rig files."}
	reach := access().Schema()
	defs["rig"] = rig
	known := facts().Schema()
	known["description"] = "Asked in plain words."
	out, err := json.MarshalIndent(m{
		"$schema":     "https://json-schema.org/draft/2020-12/schema",
		"title":       "A job card",
		"description": "A rig, what was watched on it, and what was done about it.",
		"type":        "object", "additionalProperties": false, "required": []string{"rig"}, "$defs": defs,
		"properties": m{
			"rig":         m{"anyOf": anyRig, "description": "A rig file, seen from the card's folder, or the rig itself."},
			"unusual":     anything,
			"alternative": m{"type": "array", "items": other, "description": "Other plumbing that could be the real one."},
			"facts":       known,
			"access": m{"type": "object", "additionalProperties": m{"anyOf": []any{effort, reach}},
				"description": "What it takes to reach a part, joint or place."},
			"reading": list(readings(), "What was watched under one lineup, in the order it was."),
			"done":    list(dones(), "A part that was cured or swapped."),
		},
	}, "", "  ")
	if err != nil {
		panic(err) // maps of strings always encode
	}
	return append(out, '\n')
}
