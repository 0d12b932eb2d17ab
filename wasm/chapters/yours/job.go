package yours

import (
	"fmt"
	"slices"
	"strings"

	"quietpump/network"
	"quietpump/network/rigfile"
	"quietpump/sim/diagnose"
	"quietpump/sim/diagnose/jobcard"
)

// A job is what is known of the reader's water system: its plumbing, by the answers
// or by a file, and what was seen and done.
type job struct {
	Answers answers
	told    *jobcard.Card // in place of the answers: a rig file, or a card
	File    string        // its name
	made    plumbing      // of the answers; made.Rig nil: to be made
	Facts   diagnose.Facts
	Heater  diagnose.Heater // as the first reading has it
	Access  map[string]diagnose.Access
	Read    []diagnose.Reading
	Done    []diagnose.Done
}

// plumbed is the plumbing, made once for the same answers: a belief of the same rig
// comes sooner.
func (j *job) plumbed() plumbing {
	if j.told != nil {
		return plumbing{Rig: j.told.Rig, Others: j.told.Others}
	}
	if j.made.Rig == nil {
		p, err := j.Answers.plumbing()
		if err != nil { // no combination does: TestEveryCombinationOfPartsIsARig
			p, _ = answers{}.plumbing()
		}
		j.made = p
	}
	return j.made
}

// answer takes an answer to a question. Readings stay; what they say of parts that are
// no longer there goes.
func (j *job) answer(key, value string) {
	if j.Answers == nil {
		j.Answers = answers{}
	}
	if value == "" {
		delete(j.Answers, key)
	} else {
		j.Answers[key] = value
	}
	j.made = plumbing{}
	rig := j.plumbed().Rig
	for i := range j.Read {
		j.Read[i].Lineup = fitted(rig, j.Read[i].Lineup)
	}
}

// fitted is a lineup without what the rig does not have.
func fitted(rig *network.Rig, l network.Lineup) network.Lineup {
	var out network.Lineup
	for name, set := range l {
		if rig.CheckLineup(network.Lineup{name: set}) == nil {
			if out == nil {
				out = network.Lineup{}
			}
			out[name] = set
		}
	}
	return out
}

// thecase is the case as the library takes it.
func (j *job) thecase() diagnose.Case {
	p := j.plumbed()
	c := diagnose.Case{Rig: p.Rig, Others: p.Others, Facts: j.Facts, Access: j.Access, Readings: slices.Clone(j.Read), Done: slices.Clone(j.Done)}
	if len(c.Readings) > 0 && j.Heater != "" {
		c.Readings[0].Heater = j.Heater
	}
	return c
}

// base is how the valves stood when the pump was first watched.
func (j *job) base() network.Lineup {
	if len(j.Read) > 0 {
		return j.Read[0].Lineup
	}
	return nil
}

// card is the job as a card, the file that goes out.
func (j *job) card() *jobcard.Card {
	return &jobcard.Card{Case: j.thecase()}
}

// hand puts a reading with those there are: one that was told under the same lineup
// right before takes it up, so that what was seen together stands together.
func (j *job) hand(r diagnose.Reading, apart bool) {
	if n := len(j.Read); n > 0 && !apart && j.Read[n-1].Lineup.String() == r.Lineup.String() && !slices.ContainsFunc(j.Done, func(d diagnose.Done) bool { return d.Before == n }) {
		if last := &j.Read[n-1]; joined(last, r) {
			return
		}
	}
	j.Read = append(j.Read, r)
}

// joined puts one reading into another; false where what they hold is told by the
// watch's beginning, which is not the same.
func joined(into *diagnose.Reading, r diagnose.Reading) bool {
	clocked := func(r *diagnose.Reading) bool {
		return len(r.Gauge)+len(r.Level) > 0 || r.NoStart > 0 || r.NeverStops > 0 || r.Began != "" || !r.When.IsZero()
	}
	if clocked(into) && clocked(&r) || r.Heater != into.Heater && r.Heater != "" {
		return false
	}
	if clocked(&r) {
		into.When, into.Began, into.NoStart, into.NeverStops, into.Gauge, into.Level = r.When, r.Began, r.NoStart, r.NeverStops, r.Gauge, r.Level
	}
	into.Rest, into.Run, into.Every, into.Count = append(into.Rest, r.Rest...), append(into.Run, r.Run...), append(into.Every, r.Every...), append(into.Count, r.Count...)
	into.Cup, into.Jug = append(into.Cup, r.Cup...), append(into.Jug, r.Jug...)
	into.CutIn, into.CutOut, into.Precharge = append(into.CutIn, r.CutIn...), append(into.CutOut, r.CutOut...), append(into.Precharge, r.Precharge...)
	into.Blip = into.Blip || r.Blip
	for _, l := range r.Look {
		into.Look = looked(into.Look, l)
	}
	return true
}

// looked puts a look with those there are. One at the same place for the same thing is
// looked at anew.
func looked(list []diagnose.Look, l diagnose.Look) []diagnose.Look {
	for i := range list {
		if list[i].At == l.At && list[i].For == l.For {
			list[i] = l
			return list
		}
	}
	return append(list, l)
}

// saw is what was answered to a look; false: nothing yet.
func (j *job) saw(at string, what diagnose.For) (diagnose.Told, bool) {
	for i := len(j.Read) - 1; i >= 0; i-- {
		for _, l := range j.Read[i].Look {
			if l.At == at && l.For == what {
				return l.Saw, true
			}
		}
	}
	return "", false
}

// take takes a file in: a job card, or a rig in place of the answers. Open reads the
// rig files that a card names. All that is wrong comes back, and nothing has changed.
func (j *job) take(name string, data []byte, open func(name string) ([]byte, error)) error {
	if isCard(name, data) {
		card, err := jobcard.Parse(name, data, open)
		if err != nil {
			return err
		}
		*j = job{told: card, File: name, Facts: card.Facts, Access: card.Access, Read: card.Readings, Done: card.Done}
		if len(card.Readings) > 0 {
			j.Heater = card.Readings[0].Heater
		}
		return nil
	}
	rig, err := rigfile.Parse(name, data)
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(rig.Parts(), func(p network.Part) bool { return p.Kind() == "pump" }) {
		return fmt.Errorf("%s: it has no pump that starts by itself, so nothing can be told from its starts; add a [[pump]]", name)
	}
	j.told, j.File, j.made = &jobcard.Card{Case: diagnose.Case{Rig: rig}}, name, plumbing{}
	for i := range j.Read {
		j.Read[i].Lineup = fitted(rig, j.Read[i].Lineup)
	}
	return nil
}

// isCard reports whether a file is a job card rather than a rig: by its name, or by
// what only a card has.
func isCard(name string, data []byte) bool {
	switch low := strings.ToLower(name); {
	case strings.Contains(low, ".card."):
		return true
	case strings.Contains(low, ".rig."):
		return false
	}
	text := string(data)
	for _, mark := range []string{"[[reading]]", "\"reading\"", "[facts]", "[access]", "[[rig.", "[rig.", "[[done]]"} {
		if strings.Contains(text, mark) {
			return true
		}
	}
	return false
}
