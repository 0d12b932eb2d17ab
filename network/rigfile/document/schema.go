package document

import "reflect"

// Schema describes the tables of a record as JSON Schema (draft 2020-12) does:
// words and shapes. A key that must be told may be told in any of its words.
func (r *Record) Schema() map[string]any {
	type m = map[string]any
	props, required, anyWord := m{}, []string{}, []m{}
	for _, k := range r.Keys {
		s := k.schema(k.typ)
		if k.Doc != "" {
			s["description"] = k.Doc
		}
		ways := []m{}
		for _, w := range append([]string{k.Name}, k.Also...) {
			props[w] = s
			ways = append(ways, m{"required": []string{w}})
		}
		switch {
		case k.Need && len(ways) == 1:
			required = append(required, k.Name)
		case k.Need:
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

// schema describes the values of a key.
func (k *Key) schema(t reflect.Type) map[string]any {
	type m = map[string]any
	var s m
	if w, ok := k.words[t]; ok {
		s = m{"type": "string", "minLength": 1, "examples": []string{w.Eg}}
		if k.Eg != "" {
			s["examples"] = []string{k.Eg}
		}
		if w.Unit {
			s["pattern"] = withUnit
		}
		return s
	}
	q, isQuantity := quantities[t]
	switch {
	case isQuantity || t == typeDuration:
		eg := k.Eg
		if eg == "" || t != k.typ {
			eg = q.eg
		}
		s = m{"type": "string", "pattern": withUnit}
		if eg != "" {
			s["examples"] = []string{eg}
		}
	case t == typePair:
		return m{"type": "array", "items": m{"type": "string", "minLength": 1}, "minItems": 2, "maxItems": 2}
	case t == typePoint:
		row := []any{}
		for i := range t.NumField() {
			row = append(row, k.schema(t.Field(i).Type))
		}
		return m{"type": "array", "prefixItems": row, "items": false, "minItems": 2}
	case t.Kind() == reflect.Slice:
		list := m{"type": "array", "items": k.schema(t.Elem())}
		if k.Lone {
			return m{"anyOf": []any{k.schema(t.Elem()), list}}
		}
		return list
	case t.Kind() == reflect.Pointer:
		return k.schema(t.Elem())
	case t.Kind() == reflect.Struct:
		return k.Record.Schema()
	case t.Kind() == reflect.Bool:
		return m{"type": "boolean"}
	case t.Kind() == reflect.Float64, t.Kind() == reflect.Int:
		s = m{"type": "number"}
		if t.Kind() == reflect.Int {
			s["type"] = "integer"
		}
		switch {
		case k.Zero && !k.Sign:
			s["minimum"] = 0
		case !k.Zero:
			s["exclusiveMinimum"] = 0
		}
	default:
		s = m{"type": "string", "minLength": 1}
		if k.Pick != nil {
			s["enum"] = k.Pick
		}
	}
	if k.Word != "" {
		return m{"anyOf": []any{s, m{"const": k.Word}}}
	}
	return s
}

// withUnit is a text that has more than a number.
const withUnit = `[^0-9 .+-]`
