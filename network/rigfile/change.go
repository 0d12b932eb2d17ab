package rigfile

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"

	"quietpump/network"
	"quietpump/network/rigfile/document"
)

// A Change is what another file, such as a job card, says of a rig: values told
// anew, parts it is without and parts it has instead. What is left out changes
// nothing.
type Change struct {
	Off     int              // where the file speaks of it
	Values  *document.Node   // tables by part or joint, each with keys of that part; "± 4 psi" alone leaves the value and says how sure it is
	Without []*document.Node // texts: parts that are not there
	With    *document.Node   // sections of parts; one of a name that the rig has stands in its place
}

// Changed returns the rig with a change made to it, or all that is wrong with
// the change, at its places in src.
func Changed(src *document.Source, rig *network.Rig, c Change) (*network.Rig, error) {
	root := Encode(rig).Copy(c.Off)
	d := document.Decoder{Source: src}
	if c.Values != nil {
		tellAnew(&d, root, c.Values)
	}
	var names []string
	for _, p := range rig.Parts() {
		names = append(names, p.ID())
	}
	for _, n := range c.Without {
		if !slices.Contains(names, n.Text) {
			d.Complain(n.Off, "", fmt.Sprintf("there is no part %q in the rig to be without%s", n.Text, d.Suggest(n.Text, names)), "")
		}
		takeOut(root, n.Text, false)
	}
	if c.With != nil {
		for _, e := range c.With.Entries {
			if k := byWord[e.Key]; k != nil && e.Val.Shape == document.List {
				for _, item := range e.Val.Items {
					if name := item.Get("name"); name != nil {
						takeOut(root, name.Text, k.word == "joint")
					}
				}
				if have := root.Get(k.word); have != nil {
					have.Items = append(have.Items, e.Val.Items...)
					continue
				}
				e.Key = k.word
			}
			root.Entries = append(root.Entries, e)
		}
	}
	dropJoints(root, c)
	changed, err := Decode(src, root)
	if ps, ok := err.(Problems); ok {
		d.Problems = append(d.Problems, ps...)
	}
	if len(d.Problems) > 0 {
		d.Problems.Sort()
		return nil, d.Problems
	}
	return changed, nil
}

// takeOut removes the part of a name, or the joint.
func takeOut(root *document.Node, name string, joint bool) {
	for _, e := range root.Entries {
		if (e.Key == "joint") == joint {
			e.Val.Items = slices.DeleteFunc(e.Val.Items, func(t *document.Node) bool { return named(t) == name })
		}
	}
}

func named(t *document.Node) string {
	if n := t.Get("name"); n != nil {
		return n.Text
	}
	return ""
}

// dropJoints leaves out what the rig tells of joints at which no part is left.
func dropJoints(root *document.Node, c Change) {
	if joints := root.Get("joint"); joints != nil {
		joints.Items = slices.DeleteFunc(joints.Items, func(t *document.Node) bool {
			return t.Off == c.Off && !mentions(root, named(t))
		})
	}
}

// mentions reports whether a part names a joint.
func mentions(root *document.Node, joint string) bool {
	if root.Shape == document.Text && root.Text == joint {
		return true
	}
	for _, item := range root.Items {
		if mentions(item, joint) {
			return true
		}
	}
	for _, e := range root.Entries {
		if e.Key != "name" && mentions(e.Val, joint) {
			return true
		}
	}
	return false
}

// aloneSure is a text that only says how sure a value is.
var aloneSure = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^\s*(±|\+/-|\+-)`) })

// tellAnew puts values into the tables of parts and joints.
func tellAnew(d *document.Decoder, root, values *document.Node) {
	for _, e := range values.Entries {
		if e.Val.Shape != document.Table {
			d.Complain(e.Off, "", fmt.Sprintf("%q is %s, not a table of its keys", e.Key, e.Val.Shape), fmt.Sprintf("write %q = { cut_in = \"28 psi ± 4\" }, or whichever key is meant", e.Key))
			continue
		}
		t, r, err := findPart(root, e.Key)
		if err != nil {
			if j, ok := jointTable(root, e); ok {
				t, r = j, byWord["joint"].record()
			} else {
				d.Complain(e.Off, "", strings.Replace(err.Error(), "in the file", "in the rig", 1), "")
				continue
			}
		}
		for _, in := range e.Val.Entries {
			if in.Val.Shape == document.Text && aloneSure().MatchString(in.Val.Text) {
				old := t.Told(r, in.Key)
				if old == nil || old.Shape != document.Text {
					d.Now = document.NewTold("part", e.Val)
					d.Now.Name = e.Key
					d.Complain(in.Val.Off, in.Key, fmt.Sprintf("%s has a ± and no value, and the rig tells none", in.Key), fmt.Sprintf("write the value before it, such as %s = \"28 psi ± 4\"", in.Key))
					d.Now = nil
					continue
				}
				value, _, _ := strings.Cut(old.Text, " ±")
				sure := *in.Val
				sure.Text = value + " " + strings.TrimSpace(in.Val.Text)
				in.Val = &sure
			}
			if !t.Tell(r, in) {
				t.Entries = append(t.Entries, in) // complained of as it is read
			}
		}
	}
}

// jointTable adds a table for a joint that only parts mention.
func jointTable(root *document.Node, e document.Entry) (*document.Node, bool) {
	if !mentions(root, e.Key) {
		return nil, false
	}
	t := &document.Node{Shape: document.Table, Off: e.Off}
	t.Add("name", document.NewText(e.Key))
	list := root.Get("joint")
	if list == nil {
		list = &document.Node{Shape: document.List}
		root.Add("joint", list)
	}
	list.Items = append(list.Items, t)
	return t, true
}
