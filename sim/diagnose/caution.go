package diagnose

import (
	"quietpump/network"
)

// cautions of a step: short, beside the step they belong to.
func (s *Session) cautions(c *Choice) []string {
	var list []string
	touches := func(kind string) bool {
		for name := range c.Lineup {
			if p, ok := s.c.Rig.Part(name); ok && p.Kind() == kind && c.Lineup.Of(p) != s.base.Of(p) {
				return true
			}
		}
		return false
	}
	hose := false
	suction := false
	for _, p := range s.c.Rig.Parts() {
		switch p := p.(type) {
		case network.Hookup:
			hose = hose || c.Lineup.Of(p) == network.On()
		case network.Pump:
			suction = suction || c.Do == DoTest && !newView(s.c.Rig, c.Lineup).reachesTank(p.From)
		}
	}
	switch c.Do {
	case DoTest:
		list = append(list, "Stay beside it; do not leave it, and do not sleep on it.")
		if c.For == Charge {
			list = append(list, isolate)
		}
		if hose {
			list = append(list, "Hose through a regulator, no higher than the weakest part bears. First see that the tank's overflow and vent are free and lead outdoors. Hose off while chlorine or antifreeze is in the lines.")
		}
		if suction {
			list = append(list, "The suction is shut: pull the pump's fuse and try a tap first. Regulate the hose low, someone at the strainer, ten minutes at most.")
		}
		if touches("shutoff") || touches("selector") {
			list = append(list, "Heater off on gas and electric; set every valve back when done.")
		}
	case DoLook:
		p, ok := s.c.Rig.Part(c.Part)
		if ok && p.Kind() == "selector" && c.For == Drip && s.suctionSide(c.Part) {
			list = append(list, "Pull the pump's fuse and try a tap; set it back when done.")
		}
		if _, strainer := p.(network.Strainer); ok && (strainer || p.Kind() == "pump") && c.For == Drip {
			list = append(list, "Pull the pump's fuse and try a tap. Water of the tank runs out here: shut the suction or keep a bowl under it. Parts and hands clean; flush after.")
		}
		if ok && p.Kind() == "relief valve" {
			list = append(list, "Look and do not touch: it can spit scalding water. Never plug or defeat a relief valve.")
		}
	case DoCure:
		if p, ok := s.c.Rig.Part(c.Part); ok && (p.Kind() == "fixture" || p.Kind() == "drain" || p.Kind() == "shutoff" || p.Kind() == "selector") {
			list = append(list, "Hot water scalds: heater off first where it can come out.")
		}
		if p, ok := s.c.Rig.Part(c.Part); ok && (p.Kind() == "accumulator" || p.Kind() == "heater") {
			list = append(list, isolate)
		}
	case DoSwap:
		list = append(list,
			"Pull the pump's fuse and try a tap: a switch on one of several panels, a relay or a phone app is not isolation; shore power off too.",
			"Heater off on gas and electric, cool, pressure let out through a hot tap and not by the relief lever; not on again until water runs from the hot tap.",
			"Parts listed for drinking water; sanitise after opening. Local codes and a licensed or certified technician have the last word.")
		if p, ok := s.c.Rig.Part(c.Part); ok && p.Kind() == "relief valve" {
			list = append(list, "Never plug or defeat a relief valve.")
		}
	}
	return list
}

// isolate is what comes before anything is opened.
const isolate = "Pull the pump's fuse and try a tap. Heater off on gas and electric, cool, pressure let out through a hot tap and not by the relief lever; not on again until water runs from the hot tap."
