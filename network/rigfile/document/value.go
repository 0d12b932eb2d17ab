package document

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"quietpump/hydraulics/unit"
)

// value reads one value of a Go type.
func (d *Decoder) value(k *Key, t reflect.Type, n *Node, v reflect.Value) {
	if w, ok := k.words[t]; ok {
		d.words(k, w, n, v)
		return
	}
	if q, ok := quantities[t]; ok {
		d.quantity(k, q, n, v)
		return
	}
	switch {
	case t == typeDuration:
		d.duration(k, n, v)
	case t == typePair:
		if d.want(k, n, List) {
			if len(n.Items) != 2 {
				d.Complain(n.Off, k.Path, fmt.Sprintf("%s has a pair of %d", k.Path, len(n.Items)), `a pair is two joints, such as ["a", "b"]`)
				return
			}
			for i, item := range n.Items {
				d.value(k, t.Elem(), item, v.Index(i))
			}
		}
	case t == typePoint:
		d.row(k, n, v)
	case t.Kind() == reflect.Slice && k.Lone && n.Shape != List:
		v.Set(reflect.MakeSlice(t, 1, 1))
		d.value(k, t.Elem(), n, v.Index(0))
	case t.Kind() == reflect.Slice:
		if d.want(k, n, List) && len(n.Items) > 0 {
			v.Set(reflect.MakeSlice(t, len(n.Items), len(n.Items)))
			for i, item := range n.Items {
				before := len(d.Problems)
				d.value(k, t.Elem(), item, v.Index(i))
				if d.Now != nil && k.Record != nil {
					path := fmt.Sprintf("%s.%d", k.Path, i+1)
					d.Now.Keys[path] = item.Off
					if len(d.Problems) > before {
						d.Now.Bad[path] = true
					}
				}
			}
		}
	case t.Kind() == reflect.Pointer:
		v.Set(reflect.New(t.Elem()))
		d.value(k, t.Elem(), n, v.Elem())
	case t.Kind() == reflect.Struct:
		if d.want(k, n, Table) {
			d.Table(k.Record, n, v)
		}
	case t.Kind() == reflect.Bool:
		if d.want(k, n, Truth) {
			v.SetBool(n.Text == "true")
		}
	case t.Kind() == reflect.Float64, t.Kind() == reflect.Int:
		d.number(k, n, v)
	default:
		d.text(k, n, v)
	}
}

// want complains unless the value has a shape.
func (d *Decoder) want(k *Key, n *Node, s Shape) bool {
	if n.Shape == s {
		return true
	}
	d.Lost = d.Lost || k.Refers || k.Record != nil
	what := fmt.Sprintf("%s is %s, not %s", k.Path, n.Shape, s)
	fix := "write " + k.Name + " = " + k.example()
	d.Complain(n.Off, k.Path, what, fix)
	return false
}

// text reads a name or a word.
func (d *Decoder) text(k *Key, n *Node, v reflect.Value) {
	if !d.want(k, n, Text) {
		return
	}
	switch {
	case n.Text == "":
		d.Lost = d.Lost || k.Refers
		d.Complain(n.Off, k.Path, k.Path+" is empty", "write "+k.Name+" = "+k.example())
		return
	case k.Pick != nil && !slices.Contains(k.Pick, n.Text):
		d.Complain(n.Off, k.Path, fmt.Sprintf("unknown %s %q%s", k.Path, n.Text, d.Suggest(n.Text, k.Pick)), "write "+strings.Join(k.Pick, ", or "))
		return
	}
	v.SetString(n.Text)
	if k.Refers && d.Mention != nil {
		d.Mention(k, n.Text, n.Off)
	}
}

// words reads a type that is a text of its own.
func (d *Decoder) words(k *Key, w Words, n *Node, v reflect.Value) {
	if w.Unit && n.Shape == Number {
		d.Complain(n.Off, k.Path, fmt.Sprintf("%s = %s has no unit", k.Path, n.Text), fmt.Sprintf("write it in quotes with its unit, such as %s", k.exampleOf(v.Type())))
		return
	}
	if !d.want(k, n, Text) {
		return
	}
	x, err := w.Read(n.Text)
	if err != nil {
		d.unread(k, v.Type(), n, err)
		return
	}
	v.Set(reflect.ValueOf(x))
}

// number reads a number without a unit.
func (d *Decoder) number(k *Key, n *Node, v reflect.Value) {
	if n.Shape == Text && k.Word != "" && n.Text == k.Word {
		v.SetFloat(-1)
		return
	}
	if !d.want(k, n, Number) {
		return
	}
	x, err := strconv.ParseFloat(strings.ReplaceAll(n.Text, "_", ""), 64)
	if i, ierr := strconv.ParseInt(n.Text, 0, 64); ierr == nil {
		x, err = float64(i), nil
	}
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		d.Complain(n.Off, k.Path, fmt.Sprintf("%s = %s is no number to calculate with", k.Path, n.Text), "write "+k.Name+" = "+k.example())
		return
	}
	switch {
	case !d.inRange(k, n, x):
	case v.Kind() == reflect.Float64:
		v.SetFloat(x)
	case x != math.Trunc(x) || math.Abs(x) > mostCount:
		d.Complain(n.Off, k.Path, fmt.Sprintf("%s = %s is no number to count with", k.Path, n.Text), "write "+k.Name+" = "+k.example())
	default:
		v.SetInt(int64(x))
	}
}

// mostCount bounds what is counted.
const mostCount = 1e9

// quantity reads a text with a unit, and its tolerance.
func (d *Decoder) quantity(k *Key, q quantity, n *Node, v reflect.Value) {
	if n.Shape == Number {
		d.Complain(n.Off, k.Path, fmt.Sprintf("%s = %s has no unit", k.Path, n.Text), fmt.Sprintf("write it in quotes with its unit, such as %s", k.example()))
		return
	}
	if !d.want(k, n, Text) {
		return
	}
	if k.Word != "" && n.Text == k.Word {
		v.SetFloat(-1)
		return
	}
	x, sd, err := q.parse(n.Text)
	if err != nil {
		d.unread(k, k.typ, n, err)
		return
	}
	if !d.inRange(k, n, x) {
		return
	}
	v.SetFloat(x)
	d.unsure(k, sd)
}

// duration reads a span of time such as "1.5 s" or "2 min".
func (d *Decoder) duration(k *Key, n *Node, v reflect.Value) {
	if !d.want(k, n, Text) {
		return
	}
	span, sd, err := unit.ParseDuration(n.Text)
	if err != nil {
		d.unread(k, k.typ, n, err)
		return
	}
	if d.inRange(k, n, float64(span)) {
		v.SetInt(int64(span))
		d.unsure(k, sd.Seconds())
	}
}

// unread complains of a text that could not be read as a type; why begins with
// the text in quotes.
func (d *Decoder) unread(k *Key, t reflect.Type, n *Node, why error) {
	what := why.Error()
	if !strings.HasPrefix(what, k.Path) {
		what = k.Path + " " + what
	}
	var pe *unit.ParseError
	if errors.As(why, &pe) {
		what = k.Path + strings.TrimPrefix(pe.Error(), pe.What)
	}
	d.Complain(n.Off, k.Path, what, "write it such as "+k.exampleOf(t))
}

// unsure tells how far a told value could be off.
func (d *Decoder) unsure(k *Key, sd float64) {
	if sd > 0 && d.Unsure != nil {
		d.Unsure(k, sd)
	}
}

// inRange complains of a zero or negative value that cannot be.
func (d *Decoder) inRange(k *Key, n *Node, x float64) bool {
	switch {
	case x == 0 && !k.Zero:
		fix := "leave it out for a typical value"
		switch {
		case k.Need:
			fix = "write a value above zero"
		case k.Word != "":
			fix = fmt.Sprintf("write %s = %q", k.Name, k.Word)
		case k.Instead == "nothing":
			fix = "leave it out"
		case k.Instead != "":
			fix += ", or write " + k.Instead
		}
		d.Complain(n.Off, k.Path, fmt.Sprintf("%s is zero", k.Path), fix)
		return false
	case x < 0 && !k.Sign:
		fix := "write a value above zero"
		if k.Zero {
			fix = "write zero or more"
		}
		if k.Word != "" {
			fix = fmt.Sprintf("write %s = %q", k.Name, k.Word)
		}
		d.Complain(n.Off, k.Path, fmt.Sprintf("%s is negative", k.Path), fix)
		return false
	}
	return true
}

// row reads a pump curve's point: rise, flow and perhaps current.
func (d *Decoder) row(k *Key, n *Node, v reflect.Value) {
	if !d.want(k, n, List) {
		return
	}
	if len(n.Items) < 2 || len(n.Items) > v.NumField() {
		d.Complain(n.Off, k.Path, fmt.Sprintf("a point of the %s wants two values or three, not %d", k.Path, len(n.Items)), `write rise, flow and (if known) current, such as ["0 psi", "3.2 gpm", "5 A"]`)
		return
	}
	cell := *k
	cell.Zero = true
	unsure := d.Unsure
	defer func() { d.Unsure = unsure }()
	for i, item := range n.Items {
		cell.typ = v.Field(i).Type()
		d.Unsure = func(*Key, float64) {
			d.Complain(item.Off, k.Path, "a point of a curve has no ± of its own", "leave the ± out")
		}
		d.value(&cell, cell.typ, item, v.Field(i))
	}
}
