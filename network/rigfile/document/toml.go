package document

import (
	"bytes"
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2/unstable"
)

// readTOML turns a TOML text into a table with the place of every key and
// value. It goes on behind a slip of syntax at the next section header, so that
// one slip does not hide the rest.
func readTOML(src *Source) (*Node, Problems) {
	r := tomlReader{src: src, root: &Node{Shape: Table}}
	r.at = r.root
	for from := 0; from < len(src.Data); {
		from = r.read(from)
	}
	return r.root, r.problems
}

type tomlReader struct {
	src      *Source
	base     int // offset of the text the parser was given
	root, at *Node
	problems Problems
}

func (r *tomlReader) complain(off int, what, fix string) {
	r.problems = append(r.problems, r.src.Problem(off, "", "", what, fix))
}

// header is a line that can only be a section's header.
var header = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`(?m)^\[\[?[A-Za-z_-]+\]\]?[ \t]*(#.*)?\r?$`)
})

// read reads from an offset to the end, or to the header after a slip of
// syntax, and returns where it stopped.
func (r *tomlReader) read(from int) int {
	r.base = from
	var p unstable.Parser
	p.Reset(r.src.Data[from:])
	last := from
	for p.NextExpression() {
		e := p.Expression()
		switch e.Kind {
		case unstable.KeyValue:
			last = r.base + int(e.Raw.Offset+e.Raw.Length)
			r.keyValue(r.at, e, 1)
			r.at.tail = last
		case unstable.Table, unstable.ArrayTable:
			last = r.head(e)
		}
	}
	if p.Error() == nil {
		return len(r.src.Data)
	}
	slip := last
	var pe *unstable.ParserError
	if errors.As(p.Error(), &pe) {
		slip = from + int(p.Range(pe.Highlight).Offset)
	}
	r.at.Broken = true
	what, fix := r.tomlWords(p.Error().Error(), slip)
	r.complain(slip, "not TOML: "+what, fix)
	search := max(slip, last)
	if end := bytes.IndexByte(r.src.Data[search:], '\n'); end >= 0 {
		search += end + 1
		if next := header().FindIndex(r.src.Data[search:]); next != nil {
			return search + next[0]
		}
	}
	return len(r.src.Data)
}

// strange is how a parser names a character; of one beyond ASCII it sees the
// first byte alone.
var strange = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`U\+([0-9A-F]{4})( '.')?`) })

// tomlWords puts a parser's message about an offset into plainer words, and says
// what to do.
func (r *tomlReader) tomlWords(s string, off int) (what, fix string) {
	what = strings.TrimPrefix(s, "toml: ")
	c, size := utf8.DecodeRune(r.src.Data[min(off, len(r.src.Data)):])
	if m := strange().FindStringSubmatch(what); m != nil {
		named := c
		if x, err := strconv.ParseUint(m[1], 16, 7); err == nil {
			named = rune(x)
		}
		name := fmt.Sprintf("U+%04X", named)
		if unicode.IsPrint(named) {
			name = "'" + string(named) + "'"
		}
		what = strange().ReplaceAllLiteralString(what, name)
	}
	switch {
	case c == utf8.RuneError && size == 1:
		fix = "save the file as UTF-8 text"
	case strings.ContainsRune("“”„‟‘’‚«»", c):
		fix = "write \" on both sides; a phone or a word processor may have bent it"
	case c >= utf8.RuneSelf && !unicode.IsPrint(c):
		fix = "type this again; a sign that cannot be seen came with a copy"
	case strings.Contains(what, "control characters"):
		fix = "take out the sign that cannot be seen"
	case strings.Contains(what, "array value"), strings.Contains(what, "array is incomplete"):
		fix = "part what is in a list by commas and close it with ]"
	case strings.Contains(what, "start of key"):
		fix = "a line is key = value, a [header] or a # comment"
	case strings.Contains(what, "at start of value"):
		fix = "text and quantities stand in quotes"
	case strings.Contains(what, "expected newline but got"):
		fix = "text and quantities stand in quotes: see whether one is missing"
	case strings.Contains(what, "expected '=' after key"):
		fix = `write key = value, such as length = "6 ft"`
	case strings.Contains(what, "invalid escape character"):
		fix = `write \\ for a backslash`
	case strings.Contains(what, "strings cannot have new lines"), strings.Contains(what, "unterminated"):
		fix = "close the quotes in the line that opens them"
	}
	return what, fix
}

// head follows a [table] or [[table]] header and returns its end.
func (r *tomlReader) head(e *unstable.Node) int {
	var path []string
	var offs []int
	end := r.base
	for it := e.Key(); it.Next(); {
		k := it.Node()
		path, offs = append(path, string(k.Data)), append(offs, r.base+int(k.Raw.Offset))
		end = r.base + int(k.Raw.Offset+k.Raw.Length)
	}
	if nl := bytes.IndexByte(r.src.Data[end:], ']'); nl >= 0 {
		end += nl + 1
	}
	if e.Kind == unstable.ArrayTable && end < len(r.src.Data) && r.src.Data[end] == ']' {
		end++
	}
	fresh := &Node{Shape: Table, Off: offs[0], End: offs[0], headed: true, tail: end}
	r.at = fresh // what follows a header that cannot stand is read, and dropped
	if len(path) >= maxDepth {
		r.complain(offs[0], fmt.Sprintf("more than %d names in one header", maxDepth-1), "")
		return end
	}
	parent := r.reach(r.root, path[:len(path)-1], offs, true)
	if parent == nil {
		return end
	}
	name, off := path[len(path)-1], offs[len(offs)-1]
	old := parent.Get(name)
	if e.Kind == unstable.ArrayTable {
		switch {
		case old == nil:
			old = &Node{Shape: List, Off: off, End: off}
			parent.add(name, off, old)
		case old.Shape != List || old.sealed:
			r.complain(off, fmt.Sprintf("%q was written before in another way", name), "keep one way for the whole file")
			return end
		}
		old.Items = append(old.Items, fresh)
		return end
	}
	switch {
	case old == nil:
		parent.add(name, off, fresh)
	case old.Shape == Table && !old.headed && !old.sealed && old.tail == 0:
		old.headed, old.tail = true, end
		r.at = old
	case old.Shape == Table && !old.sealed:
		r.complain(off, fmt.Sprintf("[%s] stands here a second time", strings.Join(path, ".")),
			fmt.Sprintf("join the two; where there may be many, write each as [[%s]]", strings.Join(path, ".")))
	default:
		r.complain(off, fmt.Sprintf("[%s] has one bracket, earlier ones had two", strings.Join(path, ".")),
			fmt.Sprintf("write [[%s]]", strings.Join(path, ".")))
	}
	return end
}

// reach walks down from a table by names, making tables that are not there yet.
// Headers may walk through lists, to the last item. It returns nil and
// complains where the way is barred.
func (r *tomlReader) reach(t *Node, path []string, offs []int, headers bool) *Node {
	for i, name := range path {
		next := t.Get(name)
		if next == nil {
			next = &Node{Shape: Table, Off: offs[i], End: offs[i]}
			t.add(name, offs[i], next)
		}
		if next.Shape == List && headers && !next.sealed && len(next.Items) > 0 {
			next = next.Items[len(next.Items)-1]
		}
		if next.Shape != Table || next.sealed || (!headers && next.headed) {
			r.complain(offs[i], fmt.Sprintf("%q was written before as %s and cannot be added to", name, next.Shape), "put this where the rest of it stands")
			return nil
		}
		if !headers {
			next.tail = 1 // made by a dotted key: no header may open it later
		}
		t = next
	}
	return t
}

// keyValue adds one key and its value to a table.
func (r *tomlReader) keyValue(t *Node, e *unstable.Node, depth int) {
	var path []string
	var offs []int
	keyEnd := 0
	for it := e.Key(); it.Next(); {
		k := it.Node()
		path, offs = append(path, string(k.Data)), append(offs, r.base+int(k.Raw.Offset))
		keyEnd = r.base + int(k.Raw.Offset+k.Raw.Length)
	}
	from := keyEnd + bytes.IndexByte(r.src.Data[keyEnd:], '=') + 1
	for from < len(r.src.Data) && (r.src.Data[from] == ' ' || r.src.Data[from] == '\t') {
		from++
	}
	if depth+len(path) > maxDepth {
		r.complain(offs[0], fmt.Sprintf("tables and lists stand more than %d deep", maxDepth), "")
		return
	}
	val := r.value(e.Value(), from, depth+len(path))
	val.Off, val.End = from, r.base+int(e.Raw.Offset+e.Raw.Length)
	last := len(path) - 1
	if t = r.reach(t, path[:last], offs, false); t == nil {
		return
	}
	t.add(path[last], offs[last], val)
}

// value turns a parsed value into a node. Lists carry no place of their own in
// the parser; theirs is given, or their first item's.
func (r *tomlReader) value(v *unstable.Node, off, depth int) *Node {
	n := &Node{Off: off, End: off, sealed: true}
	if v.Raw.Length > 0 {
		n.Off = r.base + int(v.Raw.Offset)
		n.End = n.Off + int(v.Raw.Length)
	}
	switch v.Kind {
	case unstable.String:
		n.Shape, n.Text = Text, string(v.Data)
	case unstable.Integer, unstable.Float:
		n.Shape, n.Text = Number, string(v.Data)
	case unstable.Bool:
		n.Shape, n.Text = Truth, string(v.Data)
	case unstable.Array, unstable.InlineTable:
		n.Shape = List
		if v.Kind == unstable.InlineTable {
			n.Shape = Table
		}
		if depth >= maxDepth {
			r.complain(n.Off, fmt.Sprintf("tables and lists stand more than %d deep", maxDepth), "")
			return n
		}
		for it := v.Children(); it.Next(); {
			if c := it.Node(); c.Kind == unstable.KeyValue {
				r.keyValue(n, c, depth)
			} else {
				n.Items = append(n.Items, r.value(c, n.Off, depth+1))
			}
		}
		if v.Kind == unstable.Array && len(n.Items) > 0 {
			n.Off = n.Items[0].Off
		}
	default:
		n.Shape, n.Text = moment, string(v.Data)
	}
	return n
}
