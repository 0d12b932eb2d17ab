package jobcard

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"quietpump/network"
	"quietpump/network/rigfile/document"
	"quietpump/sim/diagnose"
)

// reading reads what was watched under one lineup.
func (d *decoder) reading(n *document.Node) {
	var row readingRow
	d.thing("reading", "", n, readings(), &row)
	d.readings = append(d.readings, n.Off)
	if row.Lineup != nil && d.card.Rig != nil {
		d.lineup(&row)
	}
	for _, l := range row.Level {
		level, err := l.level()
		if err != nil && !d.badLevel() {
			d.Complain(d.Now.Place("level"), "level", err.Error(), "tell a height, a lamp, or whether it spills")
		}
		row.Reading.Level = append(row.Reading.Level, level)
	}
	if !n.Broken && len(d.Now.Bad) == 0 && nothing(row.Reading) {
		d.Complain(n.Off, "", "it says nothing of what was watched", `add what was seen, such as rest = "95 s" or no_start = "12 min"`)
	}
	d.Now = nil
	d.card.Readings = append(d.card.Readings, row.Reading)
}

// badLevel reports whether a level could not be read as it is written.
func (d *decoder) badLevel() bool {
	for path := range d.Now.Bad {
		if strings.HasPrefix(path, "level") {
			return true
		}
	}
	return false
}

// lineup fits a lineup to the rig.
func (d *decoder) lineup(row *readingRow) {
	off := d.Now.Place("lineup")
	fitted, err := d.card.Rig.Lineup(row.Lineup.String())
	var ps network.Problems
	switch {
	case errors.As(err, &ps):
		for _, p := range ps {
			d.Complain(off, "lineup", fmt.Sprintf("%s: %s", p.Part, p.What), p.Fix)
		}
	case err != nil:
		d.Complain(off, "lineup", err.Error(), "")
	}
	row.Lineup = fitted
}

// level tells a level as package diagnose has it.
func (l levelRow) level() (diagnose.Level, error) {
	out := diagnose.Level{Tank: l.Tank, At: l.At, Height: l.Height, Spilling: l.Spilling, Spilt: l.Spilt}
	ways := 0
	if l.Height.Value > 0 {
		ways++
	}
	if l.Lamp != "" {
		ways++
		out.By = diagnose.ByLamp
		out.Lamp, _ = readLamp(string(l.Lamp)) // it has been read before
	}
	if l.Spilling != diagnose.Unsaid || l.Spilt.Value > 0 {
		ways++
		out.By = diagnose.BySpill
	}
	if ways != 1 {
		return out, fmt.Errorf("a level of %q is told in %d ways where one belongs", l.Tank, ways)
	}
	return out, nil
}

// rowOf tells a reading as a file has it.
func rowOf(r diagnose.Reading) readingRow {
	row := readingRow{Reading: r}
	for _, l := range r.Level {
		x := levelRow{Tank: l.Tank, At: l.At, Height: l.Height, Spilling: l.Spilling, Spilt: l.Spilt}
		if l.By == diagnose.ByLamp {
			x.Lamp = lampOf(l.Lamp)
		}
		row.Level = append(row.Level, x)
	}
	return row
}

// nothing reports whether a reading says nothing of what was watched.
func nothing(r diagnose.Reading) bool {
	bare := diagnose.Reading{Lineup: r.Lineup, When: r.When, Began: r.Began, Heater: r.Heater}
	return reflect.DeepEqual(r, bare)
}

// done reads a step that was taken.
func (d *decoder) done(n *document.Node) {
	var x diagnose.Done
	d.thing("done", "", n, dones(), &x)
	if _, told := d.Now.Keys["part"]; !told && !n.Broken && x.Do != "" && x.Do != diagnose.DoQuiet {
		d.Complain(n.Off, "part", "part is missing", `add part = "pump"`)
	}
	d.dones = append(d.dones, d.Now)
	d.Now = nil
	d.card.Done = append(d.card.Done, x)
}

// orderDones counts the readings before each step, by their places in the file
// where the step does not say.
func (d *decoder) orderDones() {
	for i, told := range d.dones {
		d.Now = told
		x := &d.card.Done[i]
		if off, ok := told.Keys["readings_before"]; ok {
			if x.Before > len(d.readings) {
				d.Complain(off, "readings_before", fmt.Sprintf("readings_before is %d, and the card has %d readings", x.Before, len(d.readings)), "count the readings that came before")
			}
			continue
		}
		x.Before = 0
		for _, off := range d.readings {
			if off < told.Off {
				x.Before++
			}
		}
	}
	d.Now = nil
}

// partsOf names the parts of a rig, of some kinds or of all.
func partsOf(rig *network.Rig, kinds ...string) []string {
	var list []string
	for _, p := range rig.Parts() {
		if len(kinds) == 0 || slices.Contains(kinds, p.Kind()) {
			list = append(list, p.ID())
		}
	}
	return list
}

// jointsOf names the joints of a rig.
func jointsOf(rig *network.Rig) []string {
	var list []string
	for _, j := range rig.Joints() {
		list = append(list, j.Name)
	}
	return list
}

// namesOf names the parts, joints and places of a rig.
func namesOf(rig *network.Rig) []string {
	list := append(partsOf(rig), jointsOf(rig)...)
	for _, j := range rig.Joints() {
		if j.Place != "" {
			list = append(list, j.Place)
		}
	}
	return append(list, string(network.ToBellyPan))
}
