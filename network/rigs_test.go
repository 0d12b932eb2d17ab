package network_test

import (
	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// coachItems is a coach with two ways back to its tank: through the pump's head
// and through the fill valve.
func coachItems() []network.Item {
	return []network.Item{
		network.Tank{Name: "fresh tank", Ports: []string{"tank outlet", "tank top"}},
		network.Tube{Name: "suction hose", From: "tank outlet", To: "suction", Material: "hose"},
		network.Shutoff{Name: "suction shutoff", From: "suction", To: "pump in"},
		network.Pump{Name: "pump", From: "pump in", To: "pump out"},
		network.Strainer{Name: "strainer", From: "pump out", To: "tee"},
		network.Accumulator{Name: "accumulator", At: "tee"},
		network.Tube{Name: "fill line", From: "tee", To: "fill", Length: 1.6 * unit.Metre},
		network.Shutoff{Name: "fill valve", From: "fill", To: "tank top", Shut: true},
		network.Tube{Name: "inlet line", From: "inlet inside", To: "tee"},
		network.Check{Name: "inlet check", From: "regulated", To: "inlet inside"},
		network.Regulator{Name: "regulator", From: "inlet", To: "regulated"},
		network.Hookup{Name: "hose", At: "inlet"},
		network.Tube{Name: "cold line", From: "tee", To: "cold", Length: 3 * unit.Metre},
		network.Fixture{Name: "galley tap", At: "cold", Into: "grey tank"},
		network.WasteTank{Name: "grey tank"},
		network.Tube{Name: "toilet run", From: "cold", To: "toilet"},
		network.Fixture{Name: "toilet valve", At: "toilet", Toilet: true},
		network.Appliance{Name: "icemaker", At: "toilet"},
		network.Drain{Name: "low-point drain", At: "cold"},
		network.Shutoff{Name: "heater shutoff", From: "cold", To: "heater cold"},
		network.Check{Name: "heater check", From: "heater cold", To: "heater in"},
		network.Tube{Name: "heater tube", From: "heater in", To: "heater", Length: 0.3 * unit.Metre},
		network.Heater{Name: "heater", At: "heater"},
		network.ReliefValve{Name: "relief valve", At: "heater"},
		network.Tube{Name: "hot line", From: "heater", To: "hot", Length: 3 * unit.Metre},
		network.Shutoff{Name: "hot shutoff", From: "hot", To: "shower hot"},
		network.Fixture{Name: "shower head", At: "shower hot"},
		network.Joint{Name: "cold", Z: 0.3, Place: "galley cupboard"},
	}
}

func coach() *network.Rig { return build(coachItems()...) }

func build(items ...network.Item) *network.Rig {
	rig, err := network.New("rig", items...)
	if err != nil {
		panic(err)
	}
	return rig
}
