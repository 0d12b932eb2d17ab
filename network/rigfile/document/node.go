package document

// Copy returns a value of a file with all that is in it, at another place: what
// is wrong with it then is told there.
func (n *Node) Copy(off int) *Node {
	c := &Node{Shape: n.Shape, Text: n.Text, Off: off, End: off}
	for _, item := range n.Items {
		c.Items = append(c.Items, item.Copy(off))
	}
	for _, e := range n.Entries {
		c.Entries = append(c.Entries, Entry{e.Key, off, e.Val.Copy(off)})
	}
	return c
}

// Tell gives a table a value under a key of a record, in place of what it tells
// under any word of that key; of tables within tables only what the new one
// tells. It reports whether the record has such a key.
func (n *Node) Tell(r *Record, e Entry) bool {
	k := r.find(e.Key)
	if k == nil {
		return false
	}
	at := entryOf(n, k)
	switch {
	case at == nil:
		n.Entries = append(n.Entries, e)
	case k.Record != nil && at.Val.Shape == Table && e.Val.Shape == Table:
		for _, in := range e.Val.Entries {
			if !at.Val.Tell(k.Record, in) {
				at.Val.Entries = append(at.Val.Entries, in) // to be complained of
			}
		}
	default:
		*at = e
	}
	return true
}

// Told returns the value of a table under any word of a key of a record, or nil.
func (n *Node) Told(r *Record, word string) *Node {
	if k := r.find(word); k != nil {
		if at := entryOf(n, k); at != nil {
			return at.Val
		}
	}
	return nil
}
