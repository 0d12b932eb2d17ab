package network

import (
	"cmp"
	"slices"

	"quietpump/hydraulics/unit"
)

// An EscapePath is a chain of parts by which pressurised water reaches where it
// should not, when one part that should be tight seeps.
type EscapePath struct {
	To    Destination
	Where string   // part or place at its end, such as the tank's name; "" where that says no more
	Parts []string // in the order the water meets them; of weeping connections none
	Words string   // the path in the owner's words
	// Suspect is what seeps. It is zero where nothing on the path is shut: as the
	// rig stands, water runs there freely, or once Opens is passed.
	Suspect Suspect
	// Opens is where a pump's bypass outside its head valves leads the hose's water
	// back to the suction of a healthy rig: the rise at which it opens. Else zero.
	Opens unit.Pressure
}

// EscapePaths lists the ways by which water under pressure could escape as the
// rig stands: water that pumps and hand pumps have delivered, powered or not, and
// what a hookup feeds that is on. Each way has one seep, or none where a
// lineup leaves it open; of several ways through one part to one kind of place
// the shortest is listed. They are in order of destination, then of part.
func (r *Rig) EscapePaths(l Lineup) []EscapePath {
	e := r.escapes(l)
	var list []EscapePath
	for _, f := range e.found {
		path := EscapePath{To: f.end, Where: f.where, Parts: e.chain(f), Opens: f.opens}
		if f.seep.tight {
			path.Suspect = e.suspect(f)
		}
		path.Words = e.words(f, path)
		list = append(list, path)
	}
	for _, w := range e.weeps() {
		path := EscapePath{To: ToBellyPan, Where: w.Place, Suspect: w}
		if w.Place == string(ToGround) {
			path.To = ToGround
		}
		path.Words = "out of weeping " + w.Name
		list = append(list, path)
	}
	slices.SortStableFunc(list, func(a, b EscapePath) int {
		return cmp.Compare(slices.Index(destinations[:], a.To), slices.Index(destinations[:], b.To))
	})
	return list
}

// escapes are the ways out of a rig as it stands, and what is under pressure.
type escapes struct {
	*plumbing
	pumped reach        // joints that pumps deliver to
	hosed  reach        // joints that a hookup feeds which is on
	tank   map[int]bool // joints in the wall of a tank
	found  []escape
}

// An escape is one way out, with the hop that seeps or, where none does, that
// leads out.
type escape struct {
	seep     hop
	from     int     // joint under pressure where it begins
	next     leading // the way on from where the seep leads; nil where it leads out itself
	end      Destination
	where    string
	atHookup bool          // it ends at a hookup
	hosed    bool          // under the hose's pressure, not a pump's
	opens    unit.Pressure // rise at which a pump's outside bypass opens, where it is one
}

// leading has for a joint the hop by which water goes on to a destination.
type leading map[int]hop

func (r *Rig) escapes(l Lineup) *escapes {
	e := &escapes{plumbing: r.plumb(l), tank: make(map[int]bool)}
	for _, k := range r.kinds["tank"] {
		for _, port := range r.parts[k].Joints() {
			e.tank[r.jointAt[port]] = true
		}
	}
	var pumps, hoses []int
	for _, p := range r.parts {
		switch p := p.(type) {
		case Pump:
			pumps = append(pumps, r.jointAt[p.To])
		case HandPump:
			pumps = append(pumps, r.jointAt[p.To])
		case Hookup:
			if l.Of(p) == On() {
				hoses = append(hoses, r.jointAt[p.At])
			}
		}
	}
	pass := func(from int, h hop) bool { return !h.tight && !e.tank[from] }
	e.pumped = e.spread(pumps, pass)
	e.hosed = e.spread(hoses, pass)
	e.seek(e.pumped, nil, false)
	e.seek(e.hosed, e.pumped, true)
	e.seekBypasses()
	slices.SortStableFunc(e.found, func(a, b escape) int {
		return cmp.Or(
			cmp.Compare(slices.Index(destinations[:], a.end), slices.Index(destinations[:], b.end)),
			cmp.Compare(a.seep.part, b.seep.part),
			slices.Compare(a.seep.pair[:], b.seep.pair[:]))
	})
	return e
}

// wet says whether a joint is under pressure.
func (e *escapes) wet(joint int) bool {
	return e.pumped.has(joint) || e.hosed.has(joint)
}

// seek finds the ways out of the joints of wet that are not in before.
func (e *escapes) seek(wet, before reach, hosed bool) {
	inside := func(joint int) bool { return wet.has(joint) || before.has(joint) }
	var to [len(destinations)]leading
	for d, end := range destinations {
		if !hosed || end != ToHose { // the hose is where that water comes from
			to[d] = e.leadTo(end, inside)
		}
	}
	type once struct {
		suspectKey
		end Destination
	}
	seen := make(map[once]bool)
	keep := func(f escape) {
		key := once{f.key(), f.end}
		if !seen[key] {
			seen[key] = true
			f.hosed = hosed
			e.found = append(e.found, f)
		}
	}
	for i := range e.rig.joints {
		if !wet.has(i) || before.has(i) {
			continue
		}
		for _, h := range e.hops[i] {
			switch {
			case h.to < 0 && !(hosed && h.end == ToHose):
				end, where := e.rig.ends(h)
				keep(escape{seep: h, from: i, end: end, where: where, atHookup: e.hookup(h)})
			case h.tight && h.to >= 0 && !e.tank[i] && !inside(int(h.to)):
				for d, next := range to {
					if last, ok := e.last(next, int(h.to)); ok {
						_, where := e.rig.ends(last)
						keep(escape{seep: h, from: i, next: next, end: destinations[d], where: where, atHookup: e.hookup(last)})
					}
				}
			}
		}
	}
}

// seekBypasses finds the ways by which a hose that is on could fill a tank
// through pumps' bypasses outside their head valves: nothing seeps there.
func (e *escapes) seekBypasses() {
	var next leading
	for _, k := range e.rig.kinds["pump"] {
		p := e.rig.parts[k].(Pump)
		at, back := e.rig.jointAt[p.To], e.rig.jointAt[p.From]
		if !p.Bypass.Outside || !e.hosed.has(at) {
			continue
		}
		if next == nil {
			next = e.leadTo(ToFreshTank, e.wet)
		}
		if last, ok := e.last(next, back); ok {
			way := hop{&passage{from: p.To, to: p.From, oneWay: true}, int32(k), int32(back)}
			_, where := e.rig.ends(last)
			e.found = append(e.found, escape{seep: way, from: at, next: next, end: ToFreshTank, where: where, hosed: true, opens: p.Bypass.Opens})
		}
	}
}

// leadTo finds for every joint not inside the way on to the nearest place of a
// kind, through what stands open.
func (e *escapes) leadTo(end Destination, inside func(int) bool) leading {
	back := &plumbing{rig: e.rig, hops: make([][]hop, len(e.hops))}
	next := make(leading)
	var starts []int
	for i, hops := range e.hops {
		if inside(i) {
			continue
		}
		for _, h := range hops {
			switch {
			case h.tight:
			case h.to >= 0 && !inside(int(h.to)) && !e.tank[i]:
				turned := h
				turned.to = int32(i)
				back.hops[h.to] = append(back.hops[h.to], turned)
			case h.to < 0:
				if at, _ := e.rig.ends(h); at == end && next[i].passage == nil {
					next[i] = h
					starts = append(starts, i)
				}
			}
		}
	}
	for joint, a := range back.spread(starts, open) {
		if a.from >= 0 {
			next[joint] = hop{a.hop.passage, a.hop.part, int32(a.from)}
		}
	}
	return next
}

// last follows the way on from a joint to the hop that leads out.
func (e *escapes) last(next leading, joint int) (h hop, ok bool) {
	for h, ok = next[joint]; ok && h.to >= 0; h, ok = next[int(h.to)] {
	}
	return h, ok
}

// ends says where a hop that leads out ends: a drain's is a place in words.
func (r *Rig) ends(h hop) (end Destination, where string) {
	end, where = h.end, h.where
	if p, ok := r.Part(where); ok && p.Kind() == "waste tank" {
		return ToWasteTank, where
	}
	switch where {
	case string(ToGround), string(ToBellyPan), string(ToWasteTank):
		return Destination(where), ""
	}
	return end, where
}

func (e *escapes) hookup(h hop) bool {
	_, ok := e.rig.parts[h.part].(Hookup)
	return ok
}

// chain lists the parts of an escape in the order the water meets them.
func (e *escapes) chain(f escape) []string {
	var parts []string
	reached := e.pumped
	if f.hosed {
		reached = e.hosed
	}
	for at := f.from; ; {
		a := reached[at]
		if a.from < 0 {
			break
		}
		parts = append(parts, e.rig.parts[a.hop.part].ID())
		at = a.from
	}
	slices.Reverse(parts)
	parts = append(parts, e.rig.parts[f.seep.part].ID())
	if f.next != nil {
		for h, ok := f.next[int(f.seep.to)]; ok && h.to >= 0; h, ok = f.next[int(h.to)] {
			parts = append(parts, e.rig.parts[h.part].ID())
		}
	}
	return slices.Compact(parts)
}
