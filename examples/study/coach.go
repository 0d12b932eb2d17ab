package main

import (
	"fmt"
	"math"
	"math/rand/v2"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/diagnose"
)

// A coach is a random vehicle: the rig as its owner would draw it, and beside it the study's own account of the same
// plumbing, by sections, written down as the vehicle is built and not worked out from the rig.
type coach struct {
	rig     *network.Rig
	access  map[string]diagnose.Access
	places  []place // where water can get away
	valves  []string
	suction string // its shutoff; empty: none
	hose    string // the hookup; empty: none
	heater  string
	gasAt   string
	taps    []string

	in, out      float64 // Pa, gauge
	curve        float64 // m³/s at no pressure; falls in a straight line to none at dead
	dead         float64 // Pa
	charge       float64 // Pa, gauge
	gas          float64 // m³
	mainStretch  float64 // m³/Pa
	hotStretch   float64
	behind       map[string]float64 // of the main stretch, by the shutoff that parts it from the pump
	heaterVolume float64
	hotApart     bool    // a check keeps the hot side up when the cold side falls
	area         float64 // of the tank, m²
	hosePressure float64

	like  *diagnose.Session           // what was worked out of this vehicle
	asked map[string]*diagnose.Belief // by what was told
}

// A place is where water can get away, and what the trade thinks of it.
type place struct {
	part   string   // by which the tool would name it; of a connection a joint
	hot    bool     // on the hot side
	behind string   // shutoff that parts it from the pump; empty: none
	tank   string   // "pump" or "fill" where it runs back to the tank
	look   string   // where a look would see it
	odds   float64  // 9, 3 or 1
	joints []string // of connections
	tap    bool
}

func pick(r *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

func decades(r *rand.Rand, lo, hi float64) float64 {
	return math.Exp(pick(r, math.Log(lo), math.Log(hi)))
}

const psi = float64(unit.PSI)

// newCoach builds one; a small one has neither heater nor valves of its branches. Its drawn values are what the owner tells; what is true is drawn around them by newTruth.
func newCoach(r *rand.Rand, small bool) (*coach, error) {
	c := &coach{behind: map[string]float64{}, access: map[string]diagnose.Access{}, asked: map[string]*diagnose.Belief{}}
	var items []network.Item
	add := func(list ...network.Item) { items = append(items, list...) }
	reach := func(part string, e diagnose.Effort, cover string, w diagnose.Wrong) {
		c.access[part] = diagnose.Access{Effort: e, Cover: cover, Wrong: w}
	}
	chance := func(p float64) bool { return r.Float64() < p }
	seldom := func(p float64) bool { return chance(p) && !small }

	capacity, height := pick(r, 0.08, 0.4), pick(r, 0.25, 0.45)
	c.area = capacity / height
	c.in = pick(r, 22, 36) * psi
	c.out = c.in + pick(r, 12, 20)*psi
	c.curve, c.dead = 11.4e-3/60*pick(r, 0.8, 1.2), c.out+pick(r, 15, 30)*psi

	ports := []string{"tank outlet"}
	fill := chance(0.7)
	if fill {
		ports = append(ports, "tank top")
	}
	add(network.Tank{Name: "fresh tank", Ports: ports, Capacity: unit.Volume(capacity), Height: unit.Length(height)})
	bay := [...]diagnose.Effort{diagnose.Door, diagnose.Screws, diagnose.TakeOut}[r.IntN(3)]
	from := "tank outlet"
	if chance(0.6) {
		c.suction = "suction shutoff"
		add(network.Shutoff{Name: c.suction, From: from, To: "suction"})
		reach(c.suction, bay, "bay", diagnose.Nuisance)
		from = "suction"
	}
	add(network.Strainer{Name: "strainer", From: from, To: "pump in"})
	reach("strainer", bay, "bay", diagnose.CheapTry)
	add(network.Pump{Name: "pump", From: "pump in", To: "pump out", CutIn: unit.Pressure(c.in), CutOut: unit.Pressure(c.out), Curve: curveOf(c.curve, c.dead)})
	reach("pump", bay, "bay", diagnose.Nuisance)
	c.places = append(c.places, place{part: "pump", tank: "pump", look: "strainer", odds: 9})
	length := func(lo, hi float64) unit.Length {
		l := pick(r, lo, hi)
		return unit.Length(l)
	}
	tube := func(name, a, b string, l unit.Length, hot bool, valve string) {
		add(network.Tube{Name: name, From: a, To: b, Length: l})
		s := tubeStretch * float64(l)
		if valve != "" {
			c.behind[valve] += s
		}
		if hot {
			c.hotStretch += s
		} else {
			c.mainStretch += s
		}
	}
	tube("trunk", "pump out", "tee", length(1, 4), false, "")
	if chance(0.75) {
		c.gasAt = "accumulator"
		c.gas, c.charge = pick(r, 0.6e-3, 2e-3), c.in-pick(r, 2, 6)*psi
		add(network.Accumulator{Name: "accumulator", At: "pump out", Volume: unit.Volume(c.gas), Precharge: unit.Pressure(c.charge)})
		reach("accumulator", bay, "bay", diagnose.CheapTry)
	}
	if fill {
		add(network.Shutoff{Name: "fill valve", From: "tee", To: "fill line", Shut: true})
		add(network.Tube{Name: "fill hose", From: "fill line", To: "tank top", Length: length(0.5, 2)})
		panel := [...]diagnose.Effort{diagnose.Door, diagnose.Screws}[r.IntN(2)]
		reach("fill valve", panel, "panel", diagnose.Nuisance)
		reach("fill hose", panel, "panel", diagnose.CheapTry)
		c.places = append(c.places, place{part: "fill valve", tank: "fill", look: "fill hose", odds: 9})
	}
	if chance(0.8) {
		c.hose = "hookup"
		c.hosePressure = pick(r, 40, 49) * psi
		add(network.Hookup{Name: "hookup", At: "inlet", Static: 60 * unit.PSI},
			network.Regulator{Name: "regulator", From: "inlet", To: "regulated", Set: unit.Pressure(c.hosePressure), Droop: 5 * unit.PSI},
			network.Check{Name: "inlet check", From: "regulated", To: "tee"})
		reach("inlet check", diagnose.Screws, "inlet", diagnose.CheapTry)
		reach("hookup", diagnose.ByHand, "hookup", diagnose.CheapTry)
		c.places = append(c.places, place{part: "inlet check", look: "inlet check", odds: 3})
	}
	tap := func(name, at string, hot bool, behind string, odds float64) {
		add(network.Fixture{Name: name, At: at, Toilet: odds == 9})
		reach(name, diagnose.ByHand, name, diagnose.CheapTry)
		c.places = append(c.places, place{part: name, hot: hot, behind: behind, look: name, odds: odds, tap: true})
		c.taps = append(c.taps, name)
	}
	branch := func(name string, p float64, from string, hot bool) (to, behind string) {
		if !seldom(p) {
			return from, ""
		}
		v := name + " shutoff"
		add(network.Shutoff{Name: v, From: from, To: name + " branch"})
		reach(v, [...]diagnose.Effort{diagnose.ByHand, diagnose.Door, diagnose.Screws}[r.IntN(3)], name+" cabinet", diagnose.CheapTry)
		c.valves = append(c.valves, v)
		return name + " branch", v
	}
	at, galley := branch("galley", 0.4, "tee", false)
	tube("galley line", at, "galley", length(2, 6), false, galley)
	tap("galley tap", "galley", false, galley, 3)
	at, bath := branch("bath", 0.5, "tee", false)
	tube("bath line", at, "bath", length(2, 8), false, bath)
	tap("toilet valve", "bath", false, bath, 9)
	if seldom(0.5) {
		tap("basin tap", "bath", false, bath, 3)
	}
	if seldom(0.5) {
		add(network.Drain{Name: "low drain", At: "tee"})
		reach("low drain", diagnose.Door, "under", diagnose.CheapTry)
		c.places = append(c.places, place{part: "low drain", look: "low drain", odds: 1})
	}
	if seldom(0.7) {
		c.heater, c.heaterVolume = "heater", [...]float64{4, 6, 10}[r.IntN(3)]*3.785e-3
		hotFrom := "tee"
		if c.hotApart = chance(0.6); c.hotApart {
			add(network.Check{Name: "heater check", From: "tee", To: "heater cold"})
			hotFrom = "heater cold"
			reach("heater check", diagnose.Crawl, "heater door", diagnose.Nuisance)
		}
		stretch := 2.6e-9 * c.heaterVolume
		c.hotStretch += stretch
		tube("heater line", hotFrom, "heater tank", length(0.5, 2), true, "")
		add(network.Heater{Name: "heater", At: "heater tank", Volume: unit.Volume(c.heaterVolume), Compliance: unit.Compliance(stretch)},
			network.ReliefValve{Name: "relief valve", At: "heater tank"})
		reach("relief valve", diagnose.Door, "heater door", diagnose.CallOut)
		tube("hot line", "heater tank", "hot", length(2, 8), true, "")
		tap("hot tap", "hot", true, "", 3)
		c.places = append(c.places, place{part: "relief valve", hot: true, look: "relief valve", odds: 1})
	}
	// Connections: in the pump bay, behind the panels, and beside the heater.
	for _, j := range []struct {
		joint, where string
		z            float64
	}{{"pump out", "pump bay", 0.1}, {"tee", "pump bay", 0.1}, {"galley", "galley cabinet", 0.8}, {"bath", "bathroom", 0.4}} {
		if small { // all of its connections are in one place
			j.where = "pump bay"
		}
		add(network.Joint{Name: j.joint, Z: unit.Length(j.z), Place: j.where})
	}
	for _, j := range [...]struct{ joint, where string }{{"galley branch", "galley cabinet"}, {"bath branch", "bathroom"}} {
		if j.joint == at || j.joint == "galley branch" && galley != "" {
			add(network.Joint{Name: j.joint, Place: j.where})
		}
	}
	var beside []string
	if c.heater != "" {
		beside = []string{"heater tank", "hot"}
		if c.hotApart {
			beside = append(beside, "heater cold")
		}
		for _, j := range beside {
			add(network.Joint{Name: j, Place: "heater bay"})
		}
		reach("heater bay", diagnose.Door, "heater door", diagnose.CheapTry)
		c.places = append(c.places, place{part: "connections", hot: true, look: "heater bay", odds: 0.75, joints: beside})
	}
	reach("pump bay", bay, "bay", diagnose.CheapTry)
	reach("galley cabinet", diagnose.Door, "galley cabinet", diagnose.CheapTry)
	reach("bathroom", diagnose.Screws, "bath cabinet", diagnose.CheapTry)
	reach("belly pan", diagnose.Crawl, "belly pan", diagnose.CheapTry)
	if small {
		c.places = append(c.places, place{part: "connections", look: "pump bay", odds: 3, joints: []string{"pump out", "tee", "galley", "bath"}})
	} else {
		c.places = append(c.places,
			place{part: "connections", look: "pump bay", odds: 1.5, joints: []string{"pump out", "tee"}},
			place{part: "connections", look: "galley cabinet", behind: galley, odds: 0.75, joints: []string{"galley", "galley branch"}},
			place{part: "connections", look: "bathroom", behind: bath, odds: 0.75, joints: []string{"bath", "bath branch"}})
	}
	rig, err := network.New(fmt.Sprintf("study coach %d", r.Uint32()), items...)
	if err != nil {
		return nil, err
	}
	c.rig = rig
	return c, nil
}
