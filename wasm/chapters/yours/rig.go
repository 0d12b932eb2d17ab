package yours

import (
	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// A system says which of the parts that are asked for a water system has. The rest
// is what nearly every one has: a tank, a pump, a few taps, a low-point drain. All
// sizes and lengths are network's typical ones, and listed as assumed.
type system struct {
	Accumulator, PumpCheck, Inlet, FillValve, PickUp, Heater, Bypass, Toilet, OutsideShower, Appliance bool
}

// rig is the water system as a rig. Its parts are called as their owner would.
func (s system) rig() (*network.Rig, error) {
	var items []network.Item
	add := func(more ...network.Item) { items = append(items, more...) }
	line := func(name, from, to string, length unit.Length) {
		add(network.Tube{Name: name, From: from, To: to, Length: length})
	}
	tank := network.Tank{Name: "fresh tank", Ports: []string{"tank outlet"}}
	pump := network.Pump{Name: "pump", From: "tank outlet", To: "pump outlet"}
	if s.FillValve && s.Inlet {
		tank.Ports = append(tank.Ports, "tank top")
	}
	if s.PickUp {
		pump.From = "pump in"
		add(network.Selector{Name: "pick-up valve", Ports: []string{"tank outlet", "pick-up hose", "pump in"}, Positions: []network.Position{
			{Name: "tank", Joins: [][2]string{{"tank outlet", "pump in"}}},
			{Name: "pick-up", Joins: [][2]string{{"pick-up hose", "pump in"}}},
		}}, network.Joint{Name: "pick-up hose", Along: stands["pick-up hose"]})
	}
	add(tank, pump)
	if s.PumpCheck {
		line("pump hose", "pump outlet", "behind the pump", 0)
		add(network.Check{Name: "pump check", From: "behind the pump", To: "manifold"})
	} else {
		line("pump hose", "pump outlet", "manifold", 0)
	}
	if s.Accumulator {
		add(network.Accumulator{Name: "accumulator", At: "manifold"})
	}
	line("trunk", "manifold", "cold", 8*unit.Foot)
	if s.Inlet {
		add(network.Hookup{Name: "hose inlet", At: "inlet"},
			network.Regulator{Name: "regulator", From: "inlet", To: "regulated", Droop: 5 * unit.PSI},
			network.Check{Name: "inlet check", From: "regulated", To: "city"})
		line("city line", "city", "manifold", 0)
		if s.FillValve {
			add(network.Shutoff{Name: "fill valve", From: "manifold", To: "fill", Shut: true})
			line("fill tube", "fill", "tank top", 0)
		}
	}
	add(network.Drain{Name: "low-point drain", At: "low point"}, network.Joint{Name: "low point", Z: -0.1 * unit.Metre, Place: "belly pan", Along: stands["low point"]})
	line("low line", "cold", "low point", 0)
	line("kitchen line", "cold", "kitchen", 10*unit.Foot)
	line("basin line", "cold", "basin", 14*unit.Foot)
	add(network.Fixture{Name: "kitchen tap", At: "kitchen"}, network.Fixture{Name: "basin tap", At: "basin"})
	if s.Toilet {
		line("toilet line", "basin", "toilet", 4*unit.Foot)
		add(network.Fixture{Name: "toilet valve", At: "toilet", Toilet: true})
	}
	if s.Appliance {
		line("appliance line", "kitchen", "appliance", 4*unit.Foot)
		add(network.Appliance{Name: "icemaker or washer", At: "appliance"})
	}
	if s.Heater {
		s.hot(add, line)
	}
	if s.OutsideShower {
		line("outside cold line", "cold", "outside cold", 6*unit.Foot)
		if s.Heater {
			line("outside hot line", "hot", "outside hot", 6*unit.Foot)
			add(network.Mixer{Name: "outside shower handles", Hot: "outside hot", Cold: "outside cold", Spout: "outside hose"},
				network.Fixture{Name: "outside shower head", At: "outside hose"})
		} else {
			add(network.Fixture{Name: "outside shower", At: "outside cold"})
		}
	}
	return network.New("Your water system", placed(items)...)
}

// stands is where the joints are along the vehicle, for the picture alone: tank and
// pump at the back, the kitchen in front.
var stands = map[string]unit.Length{
	"tank outlet": 6.6, "tank top": 6.6, "pick-up hose": 6.3, "pump in": 5.9, "pump outlet": 5.2, "behind the pump": 5.1, "manifold": 4.5,
	"regulated": 6.6, "city": 6, "fill": 5.6, "cold": 3.5, "low point": 3.5,
	"kitchen hot": 0.7, "kitchen": 1.3, "appliance": 1.9, "basin": 3.2, "toilet": 4,
	"heater cold": 3.1, "heater in": 2.6, "heater tank": 2, "heater out": 1.5, "hot": 1,
	"outside hot": 4.2, "outside cold": 4.6, "outside hose": 5.2,
}

// placed adds where the joints stand of which the items say nothing else.
func placed(items []network.Item) []network.Item {
	said := map[string]bool{}
	for _, it := range items {
		if j, ok := it.(network.Joint); ok {
			said[j.Name] = true
		}
	}
	for _, it := range items[:len(items):len(items)] {
		p, ok := it.(network.Part)
		if !ok {
			continue
		}
		for _, j := range p.Joints() {
			if at, known := stands[j]; known && !said[j] {
				said[j] = true
				items = append(items, network.Joint{Name: j, Untold: true, Along: at})
			}
		}
	}
	return items
}

// hot is the heater's side, with its three valves where it has a bypass.
func (s system) hot(add func(...network.Item), line func(name, from, to string, length unit.Length)) {
	add(network.Heater{Name: "heater", At: "heater tank"}, network.ReliefValve{Name: "relief valve", At: "heater tank"})
	out := "hot"
	if s.Bypass {
		add(network.Shutoff{Name: "heater inlet valve", From: "cold", To: "heater cold"},
			network.Check{Name: "heater check", From: "heater cold", To: "heater in"},
			network.Shutoff{Name: "heater outlet valve", From: "heater out", To: "hot"},
			network.Shutoff{Name: "bypass valve", From: "cold", To: "hot", Shut: true})
		out = "heater out"
	} else {
		add(network.Check{Name: "heater check", From: "cold", To: "heater in"})
	}
	line("heater feed", "heater in", "heater tank", 0)
	line("heater return", "heater tank", out, 0)
	line("kitchen hot line", "hot", "kitchen hot", 10*unit.Foot)
	add(network.Fixture{Name: "kitchen hot tap", At: "kitchen hot"})
}
