package tolerance

import (
	"fmt"

	"quietpump/hydraulics/unit"
	"quietpump/network"
)

// A Draft is a rig being changed.
type Draft struct {
	name  string
	items []network.Item
	at    map[string]int // parts and joints; where they share a name, the part
}

// NewDraft begins with a rig, which stays as it is.
func NewDraft(rig *network.Rig) *Draft {
	d := &Draft{name: rig.Name(), at: map[string]int{}}
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

// Set writes a number into a field of a part or joint, SI units. It refuses what the
// rig does not have.
func (d *Draft) Set(part, field string, value float64) error {
	i, ok := d.at[part]
	if !ok {
		return fmt.Errorf("tolerance: the rig has no part or joint %q", part)
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
		return fmt.Errorf("tolerance: %q has no number %q; it has %q", part, field, network.Numbers(d.items[i]))
	}
	d.items[i] = changed
	return nil
}

// Rig is the rig as it now stands, or what is wrong with it.
func (d *Draft) Rig() (*network.Rig, error) { return network.New(d.name, d.items...) }

// stretch multiplies the compliance of every tube.
func (d *Draft) stretch(factor float64) {
	for i, item := range d.items {
		if t, ok := item.(network.Tube); ok {
			t.Compliance *= unit.Compliance(factor)
			d.items[i] = t
		}
	}
}

// settle brings drawn numbers that depend on each other back into order.
func (d *Draft) settle(rig *network.Rig) {
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
