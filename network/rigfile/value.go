package rigfile

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// value reads one value of a Go type.
func (d *decoder) value(k *key, t reflect.Type, n *node, v reflect.Value) {
	if q, ok := quantities[t]; ok {
		d.quantity(k, q, n, v)
		return
	}
	switch {
	case t == typeDuration:
		d.duration(k, n, v)
	case t == typePair:
		if d.want(k, n, isList) {
			if len(n.items) != 2 {
				d.complain(n.off, k.path, fmt.Sprintf("%s has a pair of %d", k.path, len(n.items)), `a pair is two joints, such as ["a", "b"]`)
				return
			}
			for i, item := range n.items {
				d.value(k, t.Elem(), item, v.Index(i))
			}
		}
	case t == typePoint:
		d.row(k, n, v)
	case t.Kind() == reflect.Slice:
		if d.want(k, n, isList) && len(n.items) > 0 {
			v.Set(reflect.MakeSlice(t, len(n.items), len(n.items)))
			for i, item := range n.items {
				d.value(k, t.Elem(), item, v.Index(i))
			}
		}
	case t.Kind() == reflect.Pointer:
		v.Set(reflect.New(t.Elem()))
		d.value(k, t.Elem(), n, v.Elem())
	case t.Kind() == reflect.Struct:
		if d.want(k, n, isTable) {
			d.table(k.record, n, v)
		}
	case t.Kind() == reflect.Bool:
		if d.want(k, n, isTruth) {
			v.SetBool(n.text == "true")
		}
	case t.Kind() == reflect.Float64:
		d.number(k, n, v)
	default:
		d.text(k, n, v)
	}
}

// want complains unless the value has a shape.
func (d *decoder) want(k *key, n *node, s shape) bool {
	if n.shape == s {
		return true
	}
	d.lost = d.lost || k.joint || k.record != nil
	what := fmt.Sprintf("%s is %s, not %s", k.path, n.shape, s)
	fix := "write " + k.name + " = " + k.example()
	d.complain(n.off, k.path, what, fix)
	return false
}

// text reads a name or a word.
func (d *decoder) text(k *key, n *node, v reflect.Value) {
	if !d.want(k, n, isText) {
		return
	}
	switch {
	case n.text == "":
		d.lost = d.lost || k.joint
		d.complain(n.off, k.path, k.path+" is empty", "write "+k.name+" = "+k.example())
		return
	case k.pick != nil && !slices.Contains(k.pick, n.text):
		d.complain(n.off, k.path, fmt.Sprintf("unknown %s %q%s", k.path, n.text, d.suggest(n.text, k.pick)), "write "+strings.Join(k.pick, ", or "))
		return
	}
	v.SetString(n.text)
	if k.joint {
		if _, ok := d.mentions[n.text]; !ok {
			d.mentions[n.text] = n.off
		}
	}
}

// number reads a number without a unit.
func (d *decoder) number(k *key, n *node, v reflect.Value) {
	if n.shape == isText && k.word != "" && n.text == k.word {
		v.SetFloat(-1)
		return
	}
	if !d.want(k, n, isNumber) {
		return
	}
	x, err := strconv.ParseFloat(strings.ReplaceAll(n.text, "_", ""), 64)
	if i, ierr := strconv.ParseInt(n.text, 0, 64); ierr == nil {
		x, err = float64(i), nil
	}
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		d.complain(n.off, k.path, fmt.Sprintf("%s = %s is no number to calculate with", k.path, n.text), "write "+k.name+" = "+k.example())
		return
	}
	if d.inRange(k, n, x) {
		v.SetFloat(x)
	}
}

// quantity reads a text with a unit, and its tolerance.
func (d *decoder) quantity(k *key, q quantity, n *node, v reflect.Value) {
	if n.shape == isNumber {
		d.complain(n.off, k.path, fmt.Sprintf("%s = %s has no unit", k.path, n.text), fmt.Sprintf("write it in quotes with its unit, such as %s", k.example()))
		return
	}
	if !d.want(k, n, isText) {
		return
	}
	if k.word != "" && n.text == k.word {
		v.SetFloat(-1)
		return
	}
	x, sd, err := q.parse(n.text)
	if err != nil {
		d.unread(k, n, err)
		return
	}
	if !d.inRange(k, n, x) {
		return
	}
	v.SetFloat(x)
	d.unsure(k, sd)
}

// duration reads a span of time such as "1.5 s" or "2 min".
func (d *decoder) duration(k *key, n *node, v reflect.Value) {
	if !d.want(k, n, isText) {
		return
	}
	span, sd, err := unit.ParseDuration(n.text)
	if err != nil {
		d.unread(k, n, err)
		return
	}
	if d.inRange(k, n, float64(span)) {
		v.SetInt(int64(span))
		d.unsure(k, sd.Seconds())
	}
}

// unread complains of a text that is no quantity.
func (d *decoder) unread(k *key, n *node, err error) {
	what := err.Error()
	var pe *unit.ParseError
	if errors.As(err, &pe) {
		what = fmt.Sprintf("%s %q: %s", k.path, pe.Text, pe.Why)
	}
	d.complain(n.off, k.path, what, "write it such as "+k.example())
}

// unsure notes how far a told value could be off.
func (d *decoder) unsure(k *key, sd float64) {
	if sd > 0 {
		d.items = append(d.items, network.Tolerance{Part: d.now.name, Field: k.path, SD: sd})
	}
}

// inRange complains of a zero or negative value that cannot be.
func (d *decoder) inRange(k *key, n *node, x float64) bool {
	switch {
	case x == 0 && !k.zero:
		fix := "leave it out for a typical value"
		switch {
		case k.need:
			fix = "write a value above zero"
		case k.word != "":
			fix = fmt.Sprintf("write %s = %q", k.name, k.word)
		case k.instead != "":
			fix += ", or write " + k.instead
		}
		d.complain(n.off, k.path, fmt.Sprintf("%s is zero", k.path), fix)
		return false
	case x < 0 && !k.sign:
		fix := "write a value above zero"
		if k.word != "" {
			fix = fmt.Sprintf("write %s = %q", k.name, k.word)
		}
		d.complain(n.off, k.path, fmt.Sprintf("%s is negative", k.path), fix)
		return false
	}
	return true
}

// row reads a pump curve's point: rise, flow and perhaps current.
func (d *decoder) row(k *key, n *node, v reflect.Value) {
	if !d.want(k, n, isList) {
		return
	}
	if len(n.items) < 2 || len(n.items) > v.NumField() {
		d.complain(n.off, k.path, fmt.Sprintf("a point of the %s wants two values or three, not %d", k.path, len(n.items)), `write rise, flow and (if known) current, such as ["0 psi", "3.2 gpm", "5 A"]`)
		return
	}
	cell := *k
	cell.zero = true
	for i, item := range n.items {
		cell.typ = v.Field(i).Type()
		had := len(d.items)
		d.value(&cell, cell.typ, item, v.Field(i))
		if len(d.items) > had {
			d.items = d.items[:had]
			d.complain(item.off, k.path, "a point of a curve has no ± of its own", "leave the ± out")
		}
	}
}
