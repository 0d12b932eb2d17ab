// Package document reads and writes the files that people keep: TOML or JSON,
// with everything that is wrong in one heard at once and in its place.
//
//	src := document.NewSource("coach.rig.toml", data)
//	root, problems := src.Read()              // tables that know where they stand
//	d := document.Decoder{Source: src, Problems: problems}
//	d.Table(record, root, reflect.ValueOf(&camper).Elem())
//	return d.Problems.Err()
//
// A [Record] is a struct type as a table of keys: the fields in snake_case, and
// in a [Note] what their names and types cannot say. From the one record a table
// is read ([Decoder.Table]), written ([Encoder.Table]), changed in place
// ([Source.Set]) and described for editors ([Record.Schema]). Quantities are
// texts with a unit, "30 psi ± 4"; other types may be texts of their own
// ([Words]). Size and depth are bounded, and nothing panics on what it reads.
package document
