package yours

import (
	"fmt"
	"strings"

	"quietpump/network"
	"quietpump/sim/diagnose"
)

// What can be answered to a question of the plumbing. One that was not asked counts
// as one whose answer could not be seen.
const (
	yes  = "yes"
	no   = "no"
	cant = "can't see"
)

// A question asks for one part. Those are asked for whose being there decides where
// water could be going, or how it could be found out.
type question struct {
	Key   string
	Name  string // the part, as a sentence names it
	Ask   string
	Where string // what it looks like, and where to look
	Under string // key of what must be there for it
	part  func(s *system) *bool
	taken bool // taken to be there where nobody can see
	// other is how often it is the other way round, where that is worth a water system
	// of its own among those that could be the real one: common practice, no source.
	other float64
}

// questions in the order in which the water meets the parts, the free looks first
// among equals.
var questions = []question{
	{Key: "accumulator", Name: "an accumulator", Ask: "Is there a small bottle or ball in the line near the pump?", taken: true, other: 0.5,
		Where: "As large as a fist or a loaf, with a little valve like a tyre's. It keeps some water in store, behind a cushion of air.", part: func(s *system) *bool { return &s.Accumulator }},
	{Key: "pump check", Name: "a one-way valve behind the pump", Ask: "Is there a short stout piece with an arrow on it, in the line right behind the pump?", other: 0.2,
		Where: "A one-way valve of brass or plastic, where the line leaves the pump. Most pumps have theirs inside.", part: func(s *system) *bool { return &s.PumpCheck }},
	{Key: "inlet", Name: "a hose inlet", Ask: "Is there an inlet outside to screw a water hose to?", taken: true,
		Where: "A threaded collar in the wall or in a bay, often marked city water. Its own little one-way valve is taken to be behind it.", part: func(s *system) *bool { return &s.Inlet }},
	{Key: "fill valve", Name: "a fill valve", Ask: "Is there a lever or knob that sends the hose's water into the fresh tank?", Under: "inlet", taken: true, other: 0.4,
		Where: "Often marked tank fill, at the hose inlet. A plain hole that a hose is held into is none.", part: func(s *system) *bool { return &s.FillValve }},
	{Key: "pick-up", Name: "a pick-up valve", Ask: "Is there a valve at the pump with a loose short hose to it?", part: func(s *system) *bool { return &s.PickUp },
		Where: "Through the hose the pump can draw antifreeze from a bottle before winter."},
	{Key: "heater", Name: "a water heater", Ask: "Is there a water heater?", taken: true,
		Where: "Outside one sees a door with slots in it, about a foot square.", part: func(s *system) *bool { return &s.Heater }},
	{Key: "bypass", Name: "a heater bypass", Ask: "Are there two or three levers on the lines behind the heater?", Under: "heater",
		Where: "They let the water go past the heater in winter.", part: func(s *system) *bool { return &s.Bypass }},
	{Key: "toilet", Name: "a toilet that flushes with this water", Ask: "Is there a toilet that flushes with this water?", taken: true,
		Where: "With a pedal or a button, and a line to it.", part: func(s *system) *bool { return &s.Toilet }},
	{Key: "outside shower", Name: "an outside shower", Ask: "Is there a shower outside, behind a small door?", taken: true,
		Where: "Handles left on behind a shut shower head are a common cause.", part: func(s *system) *bool { return &s.OutsideShower }},
	{Key: "appliance", Name: "an icemaker or washer", Ask: "Is there an icemaker or a washer on this water?",
		Where: "They take water by themselves, even at night.", part: func(s *system) *bool { return &s.Appliance }},
}

// answers are what was answered, by the question's key.
type answers map[string]string

// asked are the questions that are asked, with what has been answered: one under a
// part that is not there is not.
func (a answers) asked() []question {
	var list []question
	for _, q := range questions {
		if q.Under == "" || a[q.Under] != no {
			list = append(list, q)
		}
	}
	return list
}

// left is the first question that is not answered, and its number among those that
// are asked; -1: none is left.
func (a answers) left() int {
	for i, q := range a.asked() {
		if a[q.Key] == "" {
			return i
		}
	}
	return -1
}

// system is the likeliest of those that the answers allow.
func (a answers) system() system {
	var s system
	for _, q := range a.asked() {
		*q.part(&s) = a[q.Key] == yes || a[q.Key] != no && q.taken
	}
	return s
}

// A plumbing is the rig that the answers make, and those that it could be instead.
type plumbing struct {
	Rig     *network.Rig
	Others  []diagnose.Alternative
	Assumed string // what nobody could see, in a sentence; empty: nothing
}

// plumbing assembles the rig. What could not be seen and matters much stays open:
// each such part one way round in the rig, the other way in an alternative.
func (a answers) plumbing() (plumbing, error) {
	base := a.system()
	rig, err := base.rig()
	if err != nil {
		return plumbing{}, fmt.Errorf("yours: the answers make no water system: %w", err)
	}
	p := plumbing{Rig: rig}
	var open, there, gone []string
	for _, q := range a.asked() {
		if v := a[q.Key]; v == yes || v == no {
			continue
		}
		switch {
		case q.other > 0:
			open = append(open, q.Name)
		case q.taken:
			there = append(there, q.Name)
		default:
			gone = append(gone, q.Name)
		}
		if q.other == 0 {
			continue
		}
		s := base
		*q.part(&s) = !q.taken
		words := "with " + q.Name
		if q.taken {
			words = "without " + q.Name
		}
		other, err := s.rig()
		if err != nil {
			return plumbing{}, fmt.Errorf("yours: the answers make no water system %s: %w", words, err)
		}
		p.Others = append(p.Others, diagnose.Alternative{Rig: other, Share: q.other, Words: words})
	}
	// One at a time differs from the rig: what several leave to it is shared out.
	sum := 0.0
	for _, o := range p.Others {
		sum += o.Share / (1 - o.Share)
	}
	for i := range p.Others {
		p.Others[i].Share = p.Others[i].Share / (1 - p.Others[i].Share) / (1 + sum)
	}
	var said []string
	if len(open) > 0 {
		said = append(said, "Reckoned with and without: "+and(open)+".")
	}
	if len(there) > 0 {
		said = append(said, "Taken to be there: "+and(there)+".")
	}
	if len(gone) > 0 {
		said = append(said, "Taken not to be there: "+and(gone)+".")
	}
	p.Assumed = strings.Join(said, " ")
	return p, nil
}
