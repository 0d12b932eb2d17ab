package document

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"unicode/utf8"
)

// readJSON turns a JSON text into a table with the place of every key and value.
func readJSON(src *Source) (*Node, Problems) {
	r := jsonReader{src: src, dec: json.NewDecoder(bytes.NewReader(src.Data))}
	r.dec.UseNumber()
	for at := 0; at < len(src.Data); { // the decoder would put other letters there
		c, size := utf8.DecodeRune(src.Data[at:])
		if c == utf8.RuneError && size == 1 {
			r.complain(at, "not JSON: invalid UTF-8 character", "save the file as UTF-8 text")
			break
		}
		at += size
	}
	root := r.value(0)
	if !r.slipped {
		if _, err := r.dec.Token(); err != io.EOF {
			r.slip(errors.New("something stands after the closing brace"))
		}
	}
	if root == nil || root.Shape != Table {
		root = &Node{Shape: Table}
	}
	return root, r.problems
}

type jsonReader struct {
	src      *Source
	dec      *json.Decoder
	slipped  bool // nothing can be read behind the first slip of syntax
	problems Problems
}

func (r *jsonReader) slip(err error) {
	if !r.slipped {
		r.complain(r.next(), "not JSON: "+err.Error(), "")
	}
	r.slipped = true
}

func (r *jsonReader) complain(off int, what, fix string) {
	r.problems = append(r.problems, r.src.Problem(off, "", "", what, fix))
}

// next returns where the next token begins.
func (r *jsonReader) next() int {
	off := int(r.dec.InputOffset())
	for off < len(r.src.Data) && bytes.IndexByte([]byte(" \t\r\n,:"), r.src.Data[off]) >= 0 {
		off++
	}
	return off
}

// value reads one value, or returns nil after a slip of syntax.
func (r *jsonReader) value(depth int) *Node {
	n := &Node{Off: r.next(), sealed: true}
	tok, err := r.dec.Token()
	if err == io.EOF {
		err = io.ErrUnexpectedEOF
	}
	if err != nil {
		r.slip(err)
		return nil
	}
	switch v := tok.(type) {
	case string:
		n.Shape, n.Text = Text, v
	case json.Number:
		n.Shape, n.Text = Number, v.String()
	case bool:
		n.Shape, n.Text = Truth, truth(v).Text
	case nil:
		n.Shape = nothing
	case json.Delim:
		n.Shape = List
		if v == '{' {
			n.Shape = Table
		}
		if depth > maxDepth {
			r.slip(fmt.Errorf("tables and lists stand more than %d deep", maxDepth))
			return nil
		}
		for r.dec.More() {
			if !r.member(n, depth) {
				return nil
			}
		}
		if _, err := r.dec.Token(); err != nil {
			r.slip(err)
			return nil
		}
	}
	n.End = int(r.dec.InputOffset())
	return n
}

// member reads one item of a list or one key and value of a table.
func (r *jsonReader) member(n *Node, depth int) bool {
	off := r.next()
	if n.Shape == List {
		item := r.value(depth + 1)
		n.Items = append(n.Items, item)
		return item != nil
	}
	tok, err := r.dec.Token()
	key, ok := tok.(string)
	if err != nil || !ok {
		r.slip(errors.Join(err, errors.New("a key stands in quotes")))
		return false
	}
	val := r.value(depth + 1)
	if val == nil {
		return false
	}
	n.add(key, off, val)
	return true
}
