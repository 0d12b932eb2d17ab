package diagnose

import (
	"quietpump/network"
)

// candidates lists the lineups that could tell something: those that hands can
// set from the one the rig was found in, with what each must be reached for.
func (s *Session) candidates() []network.Lineup {
	var shutoffs []string
	var list []network.Lineup
	add := func(set map[string]network.Setting) {
		l := network.Lineup{}
		for k, x := range s.base {
			l[k] = x
		}
		for k, x := range set {
			l[k] = x
		}
		list = append(list, l)
	}
	list = append(list, s.base)
	pumpsOff := map[string]network.Setting{}
	for _, p := range s.c.Rig.Parts() {
		if p.Kind() == "pump" {
			pumpsOff[p.ID()] = network.Off()
		}
	}
	with := func(more map[string]network.Setting) map[string]network.Setting {
		m := map[string]network.Setting{}
		for k, x := range pumpsOff {
			m[k] = x
		}
		for k, x := range more {
			m[k] = x
		}
		return m
	}
	for _, p := range s.c.Rig.Parts() {
		if s.c.access(p.ID()).Effort == Cant {
			continue
		}
		switch p := p.(type) {
		case network.Shutoff:
			if s.base.Of(p).Opening() > 0 {
				shutoffs = append(shutoffs, p.Name)
				add(map[string]network.Setting{p.Name: network.Shut()})
			}
		case network.Selector:
			for _, pos := range p.Positions {
				if pos.Name != s.base.Of(p).Word() {
					add(map[string]network.Setting{p.Name: network.At(pos.Name)})
				}
			}
		}
	}
	for _, p := range s.c.Rig.Parts() {
		if h, ok := p.(network.Hookup); ok && s.base.Of(h) != network.On() {
			add(with(map[string]network.Setting{h.Name: network.On()}))
			for _, v := range shutoffs {
				add(with(map[string]network.Setting{h.Name: network.On(), v: network.Shut()}))
			}
		}
	}
	const mostTogether = 6
	for i := range min(len(shutoffs), mostTogether) {
		for j := range i {
			add(map[string]network.Setting{shutoffs[i]: network.Shut(), shutoffs[j]: network.Shut()})
		}
	}
	return list
}
