package repair

import (
	"fmt"
	"time"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim"
	"quietpump/sim/cycle"
)

// A Cure is something to try before a part is swapped.
type Cure struct {
	Do       string // what, in a few words
	How      string
	Minutes  float64
	Chance   float64 // that the pump is quiet afterwards, 0 to 1; a judgement
	Warning  string  // what speaks against it on this rig
	Cautions []Caution
	Notes    []Note
}

// The cures. Chances and minutes are judgements: common practice, no source.
func closeProperly(how string) Cure {
	return Cure{Do: "close it properly", How: how, Minutes: 2, Chance: 0.15, Notes: []Note{noteChances}}
}

func flush(how string) Cure {
	return Cure{Do: "flush at full flow", How: how, Minutes: 5, Chance: 0.2, Notes: []Note{noteFlushFirst, noteChances}}
}

func cleanSeat(how string) Cure {
	return Cure{Do: "clean the seat", How: how, Minutes: 30, Chance: 0.4,
		Cautions: []Caution{PullFuse, NotUnder, PotableOnly}, Notes: []Note{noteFlushFirst, noteChances}}
}

func addShutoff(where string) Cure {
	return Cure{Do: "add a shutoff", How: "Set a ball valve in the line " + where + " and keep it shut while it is not needed. The part goes on seeping behind it.",
		Minutes: 45, Chance: 0.85, Cautions: []Caution{PullFuse, NotUnder, PotableOnly}, Notes: []Note{noteChances}}
}

// Cures lists what to try before the part is swapped, in the order of the trade:
// what costs least and opens nothing first. It is empty for a part that is only
// ever replaced, such as a vacuum breaker. The error says why nothing can be.
func (j Job) Cures() ([]Cure, error) {
	rig, err := j.rig()
	if err != nil {
		return nil, err
	}
	s, ok := j.suspect()
	if !ok {
		return nil, fmt.Errorf("repair: %q is not under pressure on this rig, so it is no suspect; name a part of Rig.Suspects", j.Seep.Part)
	}
	name := j.Seep.Part
	part, _ := rig.Part(name)
	switch s.Role {
	case network.PumpHeadValves:
		list := []Cure{
			flush("Open the largest tap fully for two minutes, so that the valves in the head are washed at full flow; then shut it fast."),
			cleanSeat("Take the strainer and the pump's head apart, rinse the rubber valves and look for grit, scale and cuts."),
		}
		if p, ok := part.(network.Pump); ok {
			list = append(list, j.checkAfter(p))
		}
		return list, nil
	case network.FillValve, network.OtherValve:
		if p, ok := part.(network.Check); ok {
			return []Cure{
				flush("Draw water through " + p.Name + " at full flow for two minutes, then let the flow stop at once."),
				cleanSeat("Open " + p.Name + " and rinse its seat and poppet."),
			}, nil
		}
		list := []Cure{
			closeProperly("Turn " + name + " open and shut a few times, then all the way shut, firmly and not hard."),
			flush("Open " + name + " fully for a minute while water runs through it, then shut it fast."),
		}
		if part != nil && part.Kind() == "shutoff" {
			return append(list, addShutoff("behind "+name)), nil
		}
		return append(list, cleanSeat("Open "+name+" and rinse its seals.")), nil
	case network.InletCheck:
		wash := flush("On the hose, draw at full flow through the inlet for two minutes with two taps open, then shut both at once.")
		wash.Cautions = []Caution{Regulated, BesideHose}
		clean := cleanSeat("Take the check out of the inlet and rinse it; look at its O-ring.")
		clean.Notes = append(clean.Notes, noteInletCheck)
		return []Cure{
			wash,
			{Do: "cap the inlet", How: "Screw a cap with a washer on the inlet while the hose is off. The check goes on seeping behind it.",
				Minutes: 2, Chance: 0.9, Notes: []Note{noteChances}},
			clean,
			{Do: "add a check", How: "Set a second check in the line behind the inlet.", Minutes: 45, Chance: 0.85,
				Cautions: []Caution{PullFuse, NotUnder, PotableOnly}, Notes: []Note{noteChances}},
		}, nil
	case network.Tap, network.ToiletValve, network.ApplianceValve, network.DrainValve:
		list := []Cure{
			closeProperly("Open " + name + " fully, then shut it all the way, firmly and not hard."),
			flush("Let " + name + " run at full flow for a minute, shut it half, open it again, then shut it fast."),
			cleanSeat("Open " + name + " and rinse its seat and seal or cartridge."),
		}
		if s.Role != network.DrainValve {
			list = append(list, addShutoff("to "+name))
		}
		return list, nil
	case network.WornRelief:
		return []Cure{restoreCushion()}, nil
	case network.WeepConnections:
		return []Cure{
			{Do: "seat it again", How: "A screwed connection: a quarter turn. A crimp ring that is too loose by the gauge: set the tool exactly as before and squeeze again; too tight: cut it out.", Minutes: 15, Chance: 0.35,
				Cautions: []Caution{PullFuse, NotUnder}, Notes: []Note{noteLoose, noteTight, noteRework, noteChances}},
		}, nil
	}
	return nil, nil // a vacuum breaker that drips is replaced
}

// restoreCushion gives a heater its air back: the cure of a relief valve that
// drips as the heater heats, and of a heater's cushion that is lost.
func restoreCushion() Cure {
	return Cure{Do: "restore the heater's cushion", Minutes: 20, Chance: 0.5,
		How:      "With the heater off and cold, the pump's fuse out and the hose off, open a hot tap until no more comes, open the heater's drain until air is drawn in at the top, then shut both, and fill. The water that heats then has air to grow into.",
		Cautions: []Caution{PullFuse, HeaterOff, NeverPlug, HeaterOn}, Notes: []Note{noteReliefDrip, noteNoPlug, noteChances}}
}

// CuresOf lists what to try against a fault that is no seep. It is empty for a
// switch that has drifted: turning its screw is refused, and it is replaced.
func CuresOf(fault network.Fault) []Cure {
	switch f := fault.(type) {
	case network.LostCharge:
		return []Cure{{Do: "recharge the accumulator", Minutes: 10, Chance: 0.7, Notes: []Note{notePrecharge, noteChances},
			How:      "Let the pressure out and leave a tap open. Charge " + f.Part + " at its tyre valve to about 3 psi below the pressure at which the pump starts. Water at the tyre valve means that the bladder is torn: swap it.",
			Cautions: []Caution{PullFuse, HeaterOff, HeaterOn}}}
	case network.SlowPump:
		return []Cure{
			{Do: "clean the strainer", Minutes: 10, Chance: 0.4, How: "Shut the suction, open the strainer before " + f.Part + " and rinse it.", Cautions: []Caution{PullFuse}, Notes: []Note{noteChances}},
			{Do: "mend the supply", Minutes: 20, Chance: 0.3, How: "Measure the voltage at the motor while it runs; below nine tenths of rated, look for a poor ground or a corroded plug.", Notes: []Note{noteVoltage, noteChances}},
		}
	case network.TrappedAir:
		return []Cure{{Do: "bleed the lines", Minutes: 10, Chance: 0.7, How: "Open each tap in turn, the furthest first, until it runs without spitting.", Notes: []Note{noteChances}}}
	}
	return nil
}

// checkAfter is a check set behind the pump. Between it and the head's valves
// there is next to no water: where the switch feels that, the head's seep starts
// the pump all the more often. By how much is simulated.
func (j Job) checkAfter(p network.Pump) Cure {
	c := Cure{Do: "add a check", How: "Set a check in the line behind " + p.Name + ", so that what its head lets by stays in the lines.", Minutes: 45, Chance: 0.8,
		Cautions: []Caution{PullFuse, NotUnder, PotableOnly}, Notes: []Note{noteSwitchSide, noteChances}}
	rest, starts := j.restWithCheck(p)
	switch {
	case !starts:
		c.How += " The switch feels the pressure beyond it, and stays quiet."
	case rest > 2*time.Second:
		c.Chance = 0
		c.Warning = fmt.Sprintf("The pump's switch would stand before it and feel only the short piece of line between: the pump would start every %s. Do not, unless a switch is set beyond the check.", short(rest))
	default:
		c.Chance = 0
		c.Warning = "The pump's switch would stand before it and feel only the short piece of line between: the pump would chatter. Do not, unless a switch is set beyond the check."
	}
	return c
}

// restWithCheck simulates the rig with a check behind the pump. It does not start
// where the pump stays quiet for a day; a rest of 0 is chatter.
func (j Job) restWithCheck(p network.Pump) (rest time.Duration, starts bool) {
	rig := j.Model.Rig()
	const before, between = "between the pump and a new check", "line to a new check"
	var items []network.Item
	at, _ := rig.Joint(p.To)
	for _, part := range rig.Parts() {
		if q, ok := part.(network.Pump); ok && q.Name == p.Name {
			if q.Sense == q.To {
				q.Sense = before
			}
			q.To = before
			part = q
		}
		items = append(items, part)
	}
	for _, joint := range rig.Joints() {
		items = append(items, joint)
	}
	items = append(items, network.Joint{Name: before, Z: at.Z}, network.Joint{Name: between, Z: at.Z},
		network.Tube{Name: between, From: before, To: between, Length: 6 * unit.Inch},
		network.Check{Name: "new check", From: between, To: p.To})
	changed, err := network.New(rig.Name(), items...)
	if err != nil {
		return 0, true
	}
	model, err := sim.Compile(changed)
	if err != nil {
		return 0, true
	}
	c, err := cycle.First(model, j.Lineup, network.Faults{j.Seep}, j.Sim, longestRest)
	switch err {
	case nil:
		return lasting(c.Rest), true
	case cycle.ErrNoStart:
		return 0, false
	}
	return 0, true
}
