package whatif

import (
	"fmt"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// A draft is a rig being changed.
type draft struct {
	name  string
	items []network.Item
	at    map[string]int // parts and joints; where they share a name, the part
}

func newDraft(rig *network.Rig) *draft {
	d := &draft{name: rig.Name(), at: map[string]int{}}
	for _, j := range rig.Joints() {
		d.at[j.Name] = len(d.items)
		d.items = append(d.items, j)
	}
	for _, p := range rig.Parts() {
		d.at[p.ID()] = len(d.items)
		d.items = append(d.items, p)
	}
	return d
}

// set writes a number into a field, SI units.
func (d *draft) set(part, field string, value float64) error {
	i, ok := d.at[part]
	if !ok {
		return fmt.Errorf("whatif: the rig has no part or joint %q", part)
	}
	changed, ok := network.WithNumber(d.items[i], field, value)
	if !ok && field == "z" { // a part has the joint's name
		for i, item := range d.items {
			if j, is := item.(network.Joint); is && j.Name == part {
				j.Z = unit.Length(value)
				d.items[i] = j
				return nil
			}
		}
	}
	if !ok {
		return fmt.Errorf("whatif: %q has no number %q; it has %q", part, field, network.Numbers(d.items[i]))
	}
	d.items[i] = changed
	return nil
}

// stretch multiplies the compliance of every tube.
func (d *draft) stretch(factor float64) {
	for i, item := range d.items {
		if t, ok := item.(network.Tube); ok {
			t.Compliance *= unit.Compliance(factor)
			d.items[i] = t
		}
	}
}

// settle brings drawn numbers that depend on each other back into order.
func (d *draft) settle(rig *network.Rig) {
	for i, item := range d.items {
		switch p := item.(type) {
		case network.Pump:
			was, _ := rig.Part(p.Name)
			told := was.(network.Pump)
			p.CutIn = min(p.CutIn, p.CutOut-min(leastSpan, told.CutOut-told.CutIn))
			if p.Hold != nil {
				h := *p.Hold
				h.Start = min(h.Start, h.Set-min(leastSpan, told.Hold.Set-told.Hold.Start))
				h.LeastSpeed = min(h.LeastSpeed, 1)
				p.Hold = &h
			}
			if p.Bypass != (network.Bypass{}) {
				p.Bypass.Full = max(p.Bypass.Full, p.Bypass.Opens+1*unit.PSI)
			}
			d.items[i] = p
		case network.Accumulator:
			p.Exponent = min(max(p.Exponent, 1), 1.4)
			d.items[i] = p
		case network.AirPocket:
			p.Exponent = min(max(p.Exponent, 1), 1.4)
			d.items[i] = p
		}
	}
}
