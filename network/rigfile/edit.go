package rigfile

import (
	"fmt"
	"reflect"
	"sync"

	"quietpump/network"
	"quietpump/network/rigfile/document"
)

// Edit returns a rig file's text with one value changed and everything else,
// comments, order and layout, left as it was. part names a part or joint, empty
// the rig itself; key is a key of the part, "hold.set" for one inside another.
// The value is what a person would type: a quantity or name without quotes, a
// number, true or false; a list or inner table as the file's own syntax has it.
// A key that is not there yet is added behind the part's last one. An empty
// value takes the key out, and with it the comment behind it on its line.
//
// What Edit does not keep: a value spread over several lines is replaced as a
// whole, with the comments inside it; and a key inside a table that is not
// there yet is added in one line, as hold.set = "…".
//
// Text in JSON is edited in JSON. The new text is read before it is returned;
// where it cannot be a rig, Edit returns no text and the problems, with their
// places in the new text.
func Edit(data []byte, part, key, value string) ([]byte, error) {
	src := document.NewSource("edited rig", data)
	root, slips := src.Read()
	if len(data) > document.MaxSize {
		return nil, slips
	}
	t, r, err := findPart(root, part)
	if err != nil {
		return nil, err
	}
	text, err := src.Set(t, r, key, value)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", part, err)
	}
	if _, err := Parse(src.Name, text); err != nil {
		return nil, err
	}
	return text, nil
}

// headRecord are the keys of [rig].
var headRecord = sync.OnceValue(func() *document.Record {
	return document.NewRecord(reflect.TypeOf(struct{ Name string }{}), func(string) document.Note { return document.Note{} }, nil)
})

// findPart returns the table of a part or joint, and its keys.
func findPart(root *document.Node, part string) (*document.Node, *document.Record, error) {
	var names []string
	var joint *document.Node
	for _, e := range root.Entries {
		if e.Key == "rig" && part == "" {
			return e.Val, headRecord(), nil
		}
		k := byWord[e.Key]
		if k == nil {
			continue
		}
		for _, t := range e.Val.Items {
			name := t.Get("name")
			if name == nil {
				continue
			}
			names = append(names, name.Text)
			if name.Text == part && k.of != (network.Joint{}) {
				return t, k.record(), nil
			}
			if name.Text == part {
				joint = t // a part of the same name goes first
			}
		}
	}
	if joint != nil {
		return joint, byWord["joint"].record(), nil
	}
	return nil, nil, fmt.Errorf("no part or joint %q in the file%s", part, document.DidYouMean(part, names))
}
