package rigfile

import (
	"fmt"
	"reflect"
	"slices"

	"quietpump/network"
	"quietpump/network/rigfile/document"
)

// A decoder turns a file's table into the items of a rig.
type decoder struct {
	document.Decoder
	off      int // where the rig is told
	items    []network.Item
	rigName  string
	rigAt    int                       // where the name stands
	parts    map[string]*document.Told // by part name
	joints   map[string]*document.Told // by joint name, from [[joint]]
	mentions map[string]int            // where a part first names a joint
}

func newDecoder(src *document.Source, slips Problems) *decoder {
	d := &decoder{parts: map[string]*document.Told{}, joints: map[string]*document.Told{}, mentions: map[string]int{}}
	d.Decoder = document.Decoder{Source: src, Problems: slips, Lost: len(slips) > 0}
	d.Unsure = func(k *document.Key, sd float64) {
		d.items = append(d.items, network.Tolerance{Part: d.Now.Name, Field: k.Path, SD: sd})
	}
	d.Mention = func(_ *document.Key, joint string, off int) {
		if _, ok := d.mentions[joint]; !ok {
			d.mentions[joint] = off
		}
	}
	return d
}

// file reads all sections.
func (d *decoder) file(root *document.Node) {
	d.off = root.Off
	seen := map[string]document.Entry{}
	for _, e := range root.Entries {
		if first, ok := seen[e.Key]; ok {
			d.Twice(e, first)
			continue
		}
		seen[e.Key] = e
		if e.Key == "rig" {
			d.head(e)
			continue
		}
		k := byWord[e.Key]
		if k == nil {
			d.Lost = true
			d.Complain(e.Off, "", fmt.Sprintf("unknown section %q%s", e.Key, d.Suggest(e.Key, sections)), "")
			continue
		}
		if e.Val.Shape != document.List {
			d.Lost = true
			d.Complain(e.Off, "", fmt.Sprintf("section %q is %s, not a list of tables", e.Key, e.Val.Shape), fmt.Sprintf("write [[%s]] above each", e.Key))
			continue
		}
		for _, item := range e.Val.Items {
			if item.Shape != document.Table {
				d.Lost = true
				d.Complain(item.Off, "", fmt.Sprintf("section %q holds %s where a table belongs", e.Key, item.Shape), "")
				continue
			}
			d.part(k, item)
		}
	}
}

// head reads [rig].
func (d *decoder) head(e document.Entry) {
	if e.Val.Shape != document.Table {
		d.Complain(e.Off, "", fmt.Sprintf("section \"rig\" is %s, not a table", e.Val.Shape), "write [rig] above the rig's name")
		return
	}
	for i, in := range e.Val.Entries {
		first := e.Val.Entries[0]
		switch {
		case i > 0 && in.Key == first.Key:
			d.Twice(in, first)
		case in.Key != "name":
			d.Complain(in.Off, "", fmt.Sprintf("rig: unknown key %q%s", in.Key, d.Suggest(in.Key, []string{"name"})), "")
		case in.Val.Shape != document.Text:
			d.Complain(in.Val.Off, "", fmt.Sprintf("rig: name is %s, not text", in.Val.Shape), "put it in quotes")
		default:
			d.rigName, d.rigAt = in.Val.Text, in.Val.Off
		}
	}
}

// part reads one table as a part or joint of a kind.
func (d *decoder) part(k *kind, n *document.Node) {
	d.Now = document.NewTold(k.title(), n) // with its name, which messages use
	defer func() { d.Now = nil }()
	v := reflect.New(reflect.TypeOf(k.of)).Elem()
	tolerances := len(d.items)
	d.Table(k.record(), n, v)
	names, what := d.parts, "part"
	if k.word == "joint" {
		z := func(e document.Entry) bool { return e.Key == "z" || e.Key == "elevation" }
		v.FieldByName("Untold").SetBool(!slices.ContainsFunc(n.Entries, z))
		names, what = d.joints, "joint"
	}
	name := v.FieldByName("Name").String()
	if name == "" { // complained of
		d.Lost = true
		d.items = d.items[:tolerances]
		return
	}
	if first := names[name]; first != nil {
		line, _ := d.Place(first.Off)
		d.Complain(d.Now.Off, "name", fmt.Sprintf("there is a %s of this name already, a %s in line %d", what, first.Kind, line), "give each its own name")
		d.items = d.items[:tolerances]
		return
	}
	names[name] = d.Now
	d.items = append(d.items, v.Interface().(network.Item))
}
