package rigfile

import (
	"reflect"
	"strings"

	"quietpump/network"
	"quietpump/network/rigfile/document"
)

// encode turns a rig into a file's table: sections in the order of the kinds
// table, parts by name, and only what was told.
func encode(rig *network.Rig) *document.Node {
	root := Encode(rig)
	head := &document.Node{Shape: document.Table, Entries: root.Entries[:1]}
	return &document.Node{Shape: document.Table, Entries: append([]document.Entry{{Key: "rig", Val: head}}, root.Entries[1:]...)}
}

// Encode turns a rig into a table to stand inside another file: what [Decode] reads.
func Encode(rig *network.Rig) *document.Node {
	root := &document.Node{Shape: document.Table}
	root.Add("name", document.NewText(rig.Name()))
	assumed := map[[2]string]bool{} // by part and field
	for _, a := range rig.Assumed() {
		assumed[[2]string{a.Part, a.Field}] = true
	}
	item := func(k *kind, name string, p network.Item) *document.Node {
		v := reflect.ValueOf(p)
		if v.Kind() == reflect.Pointer {
			v = v.Elem()
		}
		return document.Encoder{
			Skip: func(k *document.Key) bool { return assumed[[2]string{name, k.Path}] },
			SD:   func(k *document.Key) float64 { sd, _ := rig.SD(name, k.Path); return sd },
		}.Table(k.record(), v)
	}
	tables := map[string][]*document.Node{}
	ends := map[string]int{} // of parts between joints, by joint
	for _, p := range rig.Parts() {
		joints := p.Joints()
		for _, j := range joints {
			ends[j]++
			if len(joints) == 1 { // it may be all there is at its joint
				ends[j]++
			}
		}
	}
	for _, j := range rig.Joints() {
		if !assumed[[2]string{j.Name, "z"}] || j.Place != "" || j.Along != 0 || ends[j.Name] == 1 {
			tables["joint"] = append(tables["joint"], item(byWord["joint"], j.Name, j))
		}
	}
	for _, p := range rig.Parts() {
		k := byWord[strings.ReplaceAll(p.Kind(), " ", "_")]
		tables[k.word] = append(tables[k.word], item(k, p.ID(), p))
	}
	for _, k := range kinds {
		if len(tables[k.word]) > 0 {
			root.Add(k.word, &document.Node{Shape: document.List, Items: tables[k.word]})
		}
	}
	return root
}
