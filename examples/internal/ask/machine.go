package ask

import (
	"encoding/json"
	"io"

	"quietpump/network"
)

// An Untold is a value that nobody told, as programs are given it: of which part, which
// of its fields in a rig file, the value with its unit, and where it comes from.
type Untold struct {
	Part   string `json:"part"`
	Field  string `json:"field"`
	Value  string `json:"value"`
	Source string `json:"source"`
}

// UntoldOf lists what was assumed, in the order of Assumed; it is never nil.
func UntoldOf(rig *network.Rig) []Untold {
	list := []Untold{}
	for _, a := range Assumed(rig) {
		list = append(list, Untold{a.Part, a.Field, a.Value, a.Source})
	}
	return list
}

// WriteJSON writes v for programs, with line breaks so that people can read it too.
func WriteJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}
