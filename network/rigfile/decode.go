package rigfile

import (
	"fmt"
	"reflect"

	"quietpump/network"
)

// A decoder turns a file's table into the items of a rig. It complains of
// everything it meets and goes on.
type decoder struct {
	src      *source
	problems Problems
	items    []network.Item
	rigName  string
	rigAt    int              // where the name stands
	parts    map[string]*told // by part name
	joints   map[string]*told // by joint name, from [[joint]]
	mentions map[string]int   // where a part first names a joint
	lost     bool             // the plumbing is not all known: something could not be read

	now       *told // the part being read
	suggested int
}

// told is where a part or joint was told, and where each of its keys.
type told struct {
	kind *kind
	name string
	off  int
	keys map[string]int // by path
	bad  map[string]bool
}

// complain notes a problem of the part being read, at a key's path.
func (d *decoder) complain(off int, path, what, fix string) {
	kind, name := "", ""
	if d.now != nil {
		kind, name = d.now.kind.title(), d.now.name
		d.now.bad[path] = true
	}
	d.problems = append(d.problems, d.src.problem(off, kind, name, what, fix))
}

// suggest names a word near the one written, for the first hundred slips of a
// file: one full of them is judged as quickly as another.
func (d *decoder) suggest(written string, words []string) string {
	if d.suggested++; d.suggested > 100 {
		return ""
	}
	return didYouMean(written, words)
}

// file reads all sections.
func (d *decoder) file(root *node) {
	seen := map[string]entry{}
	for _, e := range root.entries {
		if first, ok := seen[e.key]; ok {
			d.twice(e, first)
			continue
		}
		seen[e.key] = e
		if e.key == "rig" {
			d.head(e)
			continue
		}
		k := byWord[e.key]
		if k == nil {
			d.lost = true
			d.complain(e.off, "", fmt.Sprintf("unknown section %q%s", e.key, d.suggest(e.key, sections)), "")
			continue
		}
		if e.val.shape != isList {
			d.lost = true
			d.complain(e.off, "", fmt.Sprintf("section %q is %s, not a list of tables", e.key, e.val.shape), fmt.Sprintf("write [[%s]] above each", e.key))
			continue
		}
		for _, item := range e.val.items {
			if item.shape != isTable {
				d.lost = true
				d.complain(item.off, "", fmt.Sprintf("section %q holds %s where a table belongs", e.key, item.shape), "")
				continue
			}
			d.part(k, item)
		}
	}
}

// head reads [rig].
func (d *decoder) head(e entry) {
	if e.val.shape != isTable {
		d.complain(e.off, "", fmt.Sprintf("section \"rig\" is %s, not a table", e.val.shape), "write [rig] above the rig's name")
		return
	}
	for i, in := range e.val.entries {
		e, first := in, e.val.entries[0]
		switch {
		case i > 0 && e.key == first.key:
			d.twice(e, first)
		case e.key != "name":
			d.complain(e.off, "", fmt.Sprintf("rig: unknown key %q%s", e.key, d.suggest(e.key, []string{"name"})), "")
		case e.val.shape != isText:
			d.complain(e.val.off, "", fmt.Sprintf("rig: name is %s, not text", e.val.shape), "put it in quotes")
		default:
			d.rigName, d.rigAt = e.val.text, e.val.off
		}
	}
}

// part reads one table as a part or joint of a kind.
func (d *decoder) part(k *kind, n *node) {
	d.now = &told{kind: k, off: n.off, keys: map[string]int{}, bad: map[string]bool{}}
	defer func() { d.now = nil }()
	for _, e := range n.entries { // the name first: messages use it
		if e.key == "name" && e.val.shape == isText {
			d.now.name, d.now.off = e.val.text, e.val.off
		}
	}
	v := reflect.New(reflect.TypeOf(k.of)).Elem()
	tolerances := len(d.items)
	d.table(k.record, n, v)
	names, what := d.parts, "part"
	if k.word == "joint" {
		names, what = d.joints, "joint"
	}
	name := v.FieldByName("Name").String()
	if name == "" { // complained of
		d.lost = true
		d.items = d.items[:tolerances]
		return
	}
	if first := names[name]; first != nil {
		line, _ := d.src.place(first.off)
		d.complain(d.now.off, "name", fmt.Sprintf("there is a %s of this name already, a %s in line %d", what, first.kind.title(), line), "give each its own name")
		d.items = d.items[:tolerances]
		return
	}
	names[name] = d.now
	d.items = append(d.items, v.Interface().(network.Item))
}

// table reads the keys of a table into a struct.
func (d *decoder) table(r *record, n *node, v reflect.Value) {
	seen := map[*key]entry{}
	for _, e := range n.entries {
		k := r.find(e.key)
		if k == nil {
			d.lost = true
			d.complain(e.off, "", fmt.Sprintf("unknown key %q%s", e.key, d.suggest(e.key, r.words)), "")
			continue
		}
		if first, ok := seen[k]; ok {
			d.twice(e, first)
			continue
		}
		seen[k] = e
		d.now.keys[k.path] = e.val.off
		d.value(k, k.typ, e.val, v.FieldByIndex(k.index))
	}
	for _, k := range r.keys {
		if _, ok := seen[k]; k.need && !ok {
			d.lost = true
			if n.broken {
				continue
			}
			d.complain(n.off, k.path, fmt.Sprintf("%s is missing", k.path), fmt.Sprintf("add %s = %s", k.name, k.example()))
		}
	}
}

// twice complains of a key that was told before, perhaps in another word.
func (d *decoder) twice(e, first entry) {
	line, _ := d.src.place(first.off)
	what := fmt.Sprintf("%q is told twice, first in line %d", e.key, line)
	if e.key != first.key {
		what = fmt.Sprintf("%q says again what %q says in line %d", e.key, first.key, line)
	}
	d.complain(e.off, "", what, "keep one")
}
