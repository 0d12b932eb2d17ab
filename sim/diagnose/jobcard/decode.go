package jobcard

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strings"

	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/network/rigfile/document"
	"quietpump/sim/diagnose"
)

// sections are the words that a card may open with.
var sections = []string{"rig", "unusual", "alternative", "facts", "access", "reading", "done"}

// A decoder turns a file's table into a card.
type decoder struct {
	document.Decoder
	card      *Card
	open      func(name string) ([]byte, error)
	elsewhere Problems // in rig files
	plain     *network.Rig
	readings  []int // where each reading stands
	dones     []*document.Told
}

// file reads all sections, the rig first: the others speak of it.
func (d *decoder) file(root *document.Node) {
	found := map[string]document.Entry{}
	for _, e := range root.Entries {
		if first, ok := found[e.Key]; ok {
			d.Twice(e, first)
			continue
		}
		found[e.Key] = e
	}
	d.rig(root, found)
	if e, ok := found["unusual"]; ok && d.table(e, "[unusual.pump]") {
		d.unusual(e)
	}
	for _, e := range root.Entries {
		if found[e.Key].Off != e.Off {
			continue
		}
		switch e.Key {
		case "rig", "unusual":
		case "alternative":
			d.tables(e, d.alternative)
		case "facts":
			if d.table(e, "[facts]") {
				d.thing("facts", "", e.Val, facts(), &d.card.Facts)
			}
		case "access":
			if d.table(e, "[access]") {
				d.access(e.Val)
			}
		case "reading":
			d.tables(e, d.reading)
		case "done":
			d.tables(e, d.done)
		default:
			what, fix := fmt.Sprintf("unknown section %q%s", e.Key, d.Suggest(e.Key, sections)), ""
			if kind, ok := network.KindOf(e.Key); ok {
				fix = fmt.Sprintf("a %s in the card's own rig stands under [[rig.%s]]", kind, strings.ReplaceAll(kind, " ", "_"))
			}
			d.Complain(e.Off, "", what, fix)
		}
	}
	d.orderDones()
}

// table complains of a section that is no table.
func (d *decoder) table(e document.Entry, example string) bool {
	if e.Val.Shape != document.Table {
		d.Complain(e.Off, "", fmt.Sprintf("section %q is %s, not a table", e.Key, e.Val.Shape), "write "+example+" above it")
	}
	return e.Val.Shape == document.Table
}

// tables reads each table of a section.
func (d *decoder) tables(e document.Entry, read func(*document.Node)) {
	if e.Val.Shape != document.List {
		d.Complain(e.Off, "", fmt.Sprintf("section %q is %s, not a list of tables", e.Key, e.Val.Shape), fmt.Sprintf("write [[%s]] above each", e.Key))
		return
	}
	for _, item := range e.Val.Items {
		if item.Shape != document.Table {
			d.Complain(item.Off, "", fmt.Sprintf("section %q holds %s where a table belongs", e.Key, item.Shape), "")
			continue
		}
		read(item)
	}
}

// rig reads the rig, from its file or from the card.
func (d *decoder) rig(root *document.Node, found map[string]document.Entry) {
	e, ok := found["rig"]
	if !ok {
		if !root.Broken && !d.Lost {
			d.Complain(0, "", "the card names no rig", `write rig = "coach.rig.toml" on top, the file beside the card`)
		}
		return
	}
	if e.Val.Shape == document.Text {
		d.card.RigFile = e.Val.Text
	}
	d.plain = d.anyRig(e.Val)
	d.card.Rig = d.plain
}

// anyRig reads a rig, from its file or from the card.
func (d *decoder) anyRig(n *document.Node) *network.Rig {
	switch n.Shape {
	case document.Text:
		return d.rigFile(n)
	case document.Table:
		rig, err := rigfile.Decode(d.Source, n)
		d.take(err)
		return rig
	}
	d.Complain(n.Off, "rig", fmt.Sprintf("rig is %s, not a file's name or a table", n.Shape), `write rig = "coach.rig.toml", the file beside the card`)
	return nil
}

// rigFile reads a rig file that the card names.
func (d *decoder) rigFile(n *document.Node) *network.Rig {
	if d.open == nil {
		d.Complain(n.Off, "", fmt.Sprintf("rig file %q cannot be opened from here", n.Text), "put the rig into the card, as [rig]")
		return nil
	}
	if n.Text == "" {
		d.Complain(n.Off, "", "rig is empty", `write rig = "coach.rig.toml", the file beside the card`)
		return nil
	}
	data, err := d.open(n.Text)
	if err != nil {
		why := err.Error()
		var pe *os.PathError
		if errors.As(err, &pe) {
			why = pe.Err.Error()
		}
		d.Complain(n.Off, "", fmt.Sprintf("rig file %q cannot be read: %s", n.Text, why), "its name is seen from the card's own folder")
		return nil
	}
	path := n.Text
	if !filepath.IsAbs(path) {
		path = filepath.Join(filepath.Dir(d.Name), filepath.FromSlash(path))
	}
	rig, err := rigfile.Parse(path, data)
	var ps Problems
	if errors.As(err, &ps) {
		d.elsewhere = append(d.elsewhere, ps...)
	}
	return rig
}

// take keeps the problems of a rig inside the card.
func (d *decoder) take(err error) {
	var ps Problems
	if errors.As(err, &ps) {
		d.Problems = append(d.Problems, ps...)
	}
}

// unusual overrides values of the rig.
func (d *decoder) unusual(e document.Entry) {
	d.card.unusual = e.Val
	if d.plain == nil {
		return
	}
	rig, err := rigfile.Changed(d.Source, d.plain, rigfile.Change{Off: e.Off, Values: e.Val})
	d.take(err)
	if err == nil {
		d.card.Rig = rig // else names are held against the rig as it is
	}
}

// thing reads one table into a struct, and complains of names that the rig has not.
func (d *decoder) thing(kind, name string, n *document.Node, r *document.Record, into any) {
	d.Now = document.NewTold(kind, n)
	d.Now.Name = name
	d.Mention = d.mention
	d.Table(r, n, reflect.ValueOf(into).Elem())
}

// mention complains of a name that the rig does not have.
func (d *decoder) mention(k *document.Key, name string, off int) {
	if d.card.Rig == nil {
		return
	}
	known, what := namesOf(d.card.Rig), "part, joint or place"
	switch k.Path {
	case "jug.tap":
		known, what = partsOf(d.card.Rig, "fixture"), "tap"
	case "gauge.joint":
		known, what = jointsOf(d.card.Rig), "joint"
	case "level.tank":
		known, what = partsOf(d.card.Rig, "tank", "waste tank"), "tank"
	case "part", "replaced":
		known, what = partsOf(d.card.Rig), "part"
	}
	if k.Path == "look.at" || k.Path == "part" {
		known = append(known, diagnose.EveryTap)
	}
	d.known(off, k.Path, name, known, what)
}

// known complains unless a name is known.
func (d *decoder) known(off int, path, name string, known []string, what string) {
	for _, w := range known {
		if w == name {
			return
		}
	}
	d.Complain(off, path, fmt.Sprintf("the rig has no %s %q%s", what, name, d.Suggest(name, known)), "")
}

// alternative reads another rig that could be the real one.
func (d *decoder) alternative(n *document.Node) {
	var row alternativeRow
	var how otherwise
	var file, with *document.Node
	plain := *n
	plain.Entries = nil
	for _, e := range n.Entries {
		switch e.Key {
		case "rig":
			file = e.Val
		case "with":
			with = e.Val
		default:
			plain.Entries = append(plain.Entries, e)
		}
	}
	d.thing("alternative", "", &plain, alternatives(), &row)
	if row.Share >= 1 {
		d.Complain(d.Now.Place("share"), "share", fmt.Sprintf("a share of %g leaves nothing to the card's own rig", row.Share), "write a fraction, such as 0.3")
	}
	other := diagnose.Alternative{Share: row.Share, Words: row.Words, Where: row.Where}
	switch {
	case file != nil && (with != nil || len(row.Without) > 0):
		d.Complain(file.Off, "rig", "a rig file and what differs are both told", "keep one of the two")
	case file != nil:
		if file.Shape == document.Text {
			how.file = file.Text
		}
		other.Rig = d.anyRig(file)
	case with != nil && with.Shape != document.Table:
		d.Complain(with.Off, "with", fmt.Sprintf("with is %s, not a table of sections", with.Shape), `write with.check = [{ name = "second check", from = "a", to = "b" }]`)
	case with == nil && len(row.Without) == 0:
		if !n.Broken {
			d.Complain(n.Off, "", "nothing says what differs", "tell a rig file, or which parts it is without or with")
		}
	case d.card.Rig != nil:
		how.without, how.with = row.Without, with
		var err error
		other.Rig, err = rigfile.Changed(d.Source, d.card.Rig, rigfile.Change{Off: d.Now.Off, Without: texts(n.Get("without")), With: with})
		d.take(err)
	}
	d.card.Others = append(d.card.Others, other)
	how.rig = other.Rig
	d.card.others = append(d.card.others, how)
	sum := 0.0
	for _, o := range d.card.Others {
		sum += o.Share
	}
	if sum >= 1 && row.Share < 1 && sum-row.Share < 1 {
		d.Complain(d.Now.Place("share"), "share", fmt.Sprintf("the shares of the alternatives add up to %.3g and leave nothing to the card's own rig", sum), "write smaller ones")
	}
}

// texts are the texts of a list, or of one that stands for a list.
func texts(n *document.Node) []*document.Node {
	switch {
	case n == nil:
		return nil
	case n.Shape == document.List:
		return n.Items
	}
	return []*document.Node{n}
}

// access reads what it takes to reach parts.
func (d *decoder) access(n *document.Node) {
	d.card.Access = map[string]diagnose.Access{}
	seen := map[string]document.Entry{}
	for _, e := range n.Entries {
		d.Now = nil
		if first, ok := seen[e.Key]; ok {
			d.Twice(e, first)
			continue
		}
		seen[e.Key] = e
		t := e.Val
		if t.Shape == document.Text { // the effort alone
			t = &document.Node{Shape: document.Table, Off: t.Off, Entries: []document.Entry{{Key: "effort", Off: e.Off, Val: t}}}
		}
		if t.Shape != document.Table {
			d.Complain(t.Off, "", fmt.Sprintf("access of %q is %s, not an effort", e.Key, t.Shape), fmt.Sprintf("write %q = %q, or one of: %s", e.Key, diagnose.Screws, strings.Join(efforts, ", ")))
			continue
		}
		var a diagnose.Access
		d.thing("access of", e.Key, t, access(), &a)
		if d.card.Rig != nil {
			d.known(e.Off, "", e.Key, namesOf(d.card.Rig), "part, joint or place")
		}
		d.card.Access[e.Key] = a
	}
	d.Now = nil
}
