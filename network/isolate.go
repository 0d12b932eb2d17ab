package network

// Isolators returns how to set the hand valves nearest to a part so that no
// water reaches it: shutoffs and mixers shut, selectors in the first position
// that parts it from the rest, hookups off. Checks, regulators and pump heads do
// not count: any of them may seep. It is false where the settings do not
// suffice, because a tank is joined to the part with no valve between, or where
// the rig has no such part.
func (r *Rig) Isolators(part string) (set Lineup, enough bool) {
	target, ok := r.partAt[part]
	if !ok {
		return nil, false
	}
	blocks := make(map[int]bool) // selectors that no position of theirs makes tight
	for {
		reached, tanks := r.around(target, blocks)
		set = Lineup{}
		again := false
		for i, at := range reached {
			switch p := r.parts[i].(type) {
			case Shutoff, Mixer:
				set[p.ID()] = Shut()
			case Hookup:
				set[p.Name] = Off()
			case Selector:
				if blocks[i] {
					continue
				}
				if pos, ok := p.parting(at); ok {
					set[p.Name] = At(pos)
				} else {
					blocks[i], again = true, true
				}
			}
		}
		delete(set, part)
		if !again {
			return set, !tanks
		}
	}
}

// around spreads from a part through all that is not moved by hand, and returns
// the parts met with the joints they were met at, by index. Selectors in through
// are passed as if all their ports were joined.
func (r *Rig) around(target int, through map[int]bool) (met map[int][]string, tank bool) {
	met = make(map[int][]string)
	seen := make(map[string]bool)
	var queue []string
	reach := func(joints []string) {
		for _, j := range joints {
			if !seen[j] {
				seen[j] = true
				queue = append(queue, j)
			}
		}
	}
	for reach(r.parts[target].Joints()); len(queue) > 0; queue = queue[1:] {
		at := queue[0]
		for _, i := range r.touching[r.jointAt[at]] {
			if i == target {
				continue
			}
			met[i] = append(met[i], at)
			switch p := r.parts[i].(type) {
			case Shutoff, Mixer:
			case Selector:
				if through[i] {
					reach(p.Ports)
				}
			case Tank:
				tank = true
			default:
				reach(p.Joints())
			}
		}
	}
	return met, tank
}

// parting returns the first position that joins none of the ports to another.
func (p Selector) parting(ports []string) (position string, ok bool) {
	inside := make(map[string]bool)
	for _, port := range ports {
		inside[port] = true
	}
	for _, pos := range p.Positions {
		parts := true
		for _, pair := range pos.Joins {
			parts = parts && inside[pair[0]] == inside[pair[1]]
		}
		if parts {
			return pos.Name, true
		}
	}
	return "", false
}
