package rigfile

import (
	"encoding/json"
	"reflect"
)

// Schema returns the JSON Schema (draft 2020-12) of rig files, for editors that
// check and complete while a file is written. It holds for the TOML and the
// JSON form alike, and is kept beside this package as rig.schema.json. It
// checks words and shapes; units, names and plumbing are checked by [Parse].
func Schema() []byte {
	type m = map[string]any
	defs, sections := m{}, m{
		"rig": m{
			"type": "object", "description": "The rig itself.", "additionalProperties": false,
			"properties": m{"name": m{"type": "string", "description": "What the rig is called."}},
		},
	}
	for _, k := range kinds {
		def := schemaTable(k.record)
		def["description"] = k.doc
		defs[k.word] = def
		list := m{"type": "array", "items": m{"$ref": "#/$defs/" + k.word}, "description": k.doc}
		for _, w := range append([]string{k.word}, k.also...) {
			sections[w] = list
		}
	}
	out, err := json.MarshalIndent(m{
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

// schemaTable describes the tables of a record. A key that must be told may be
// told in any of its words.
func schemaTable(r *record) map[string]any {
	type m = map[string]any
	props, required, anyWord := m{}, []string{}, []m{}
	for _, k := range r.keys {
		s := schemaValue(k, k.typ)
		if k.doc != "" {
			s["description"] = k.doc
		}
		ways := []m{}
		for _, w := range append([]string{k.name}, k.also...) {
			props[w] = s
			ways = append(ways, m{"required": []string{w}})
		}
		switch {
		case k.need && len(ways) == 1:
			required = append(required, k.name)
		case k.need:
			anyWord = append(anyWord, m{"anyOf": ways})
		}
	}
	s := m{"type": "object", "additionalProperties": false, "properties": props}
	if len(required) > 0 {
		s["required"] = required
	}
	if len(anyWord) > 0 {
		s["allOf"] = anyWord
	}
	return s
}

// schemaValue describes the values of a key.
func schemaValue(k *key, t reflect.Type) map[string]any {
	type m = map[string]any
	var s m
	q, isQuantity := quantities[t]
	switch {
	case isQuantity || t == typeDuration:
		eg := k.eg
		if eg == "" || t != k.typ {
			eg = q.eg
		}
		s = m{"type": "string", "pattern": `[^0-9 .+-]`}
		if eg != "" {
			s["examples"] = []string{eg}
		}
	case t == typePair:
		return m{"type": "array", "items": m{"type": "string", "minLength": 1}, "minItems": 2, "maxItems": 2}
	case t == typePoint:
		row := []any{}
		for i := range t.NumField() {
			row = append(row, schemaValue(k, t.Field(i).Type))
		}
		return m{"type": "array", "prefixItems": row, "items": false, "minItems": 2}
	case t.Kind() == reflect.Slice:
		return m{"type": "array", "items": schemaValue(k, t.Elem())}
	case t.Kind() == reflect.Pointer:
		return schemaValue(k, t.Elem())
	case t.Kind() == reflect.Struct:
		return schemaTable(k.record)
	case t.Kind() == reflect.Bool:
		return m{"type": "boolean"}
	case t.Kind() == reflect.Float64:
		s = m{"type": "number"}
		switch {
		case k.zero && !k.sign:
			s["minimum"] = 0
		case !k.zero:
			s["exclusiveMinimum"] = 0
		}
	default:
		s = m{"type": "string", "minLength": 1}
		if k.pick != nil {
			s["enum"] = k.pick
		}
	}
	if k.word != "" {
		return m{"anyOf": []any{s, m{"const": k.word}}}
	}
	return s
}
