package yours

import (
	"fmt"

	"quietpump/network"
	"quietpump/sim/diagnose"
	"quietpump/wasm/sheet"
)

// answered takes an answer to the question of a key and goes on to the next.
func (c *Chapter) answered(key, value string) {
	if key == "" {
		if list := c.job.Answers.asked(); c.ask < len(list) {
			key = list[c.ask].Key
		}
	}
	c.job.answer(key, value)
	for i, q := range c.job.Answers.asked() {
		if q.Key == key {
			c.ask = i + 1
			c.said = fmt.Sprintf("%s: %s.", q.Ask, value)
		}
	}
	if c.ask >= len(c.job.Answers.asked()) {
		c.ask = len(c.job.Answers.asked()) - 1
		c.goTo(atLooks)
	}
}

// askSheet is one question with its picture.
func (c *Chapter) askSheet(s *sheet.Sheet) {
	list := c.job.Answers.asked()
	c.ask = max(0, min(c.ask, len(list)-1))
	q := list[c.ask]
	s.Title = q.Ask
	s.Add(sheet.Words{Text: fmt.Sprintf("%d of %d. %s", c.ask+1, len(list), q.Where), Style: sheet.Small},
		sheet.Choice{Do: "answer", Chosen: c.job.Answers[q.Key], Picture: picture(q.Key),
			Answers: []sheet.Answer{{Arg: yes, Text: "yes"}, {Arg: no, Text: "no"}, {Arg: cant, Text: "can't see"}}})
	back := sheet.Button{Do: "ask", Arg: fmt.Sprint(c.ask - 1), Text: "One back"}
	if c.ask == 0 {
		back = sheet.Button{Do: "go", Arg: atStart, Text: "One back"}
	}
	s.Add(sheet.Buttons{List: []sheet.Button{back, {Do: "next", Text: "Enough questions"}}})
	s.Add(sheet.Words{Text: "What nobody can see is reckoned with both ways where it matters, and else taken to be as in most.", Style: sheet.Small})
}

// partOf is the part in the rig that a question asks for, for a ring around it.
var partOf = map[string]string{
	"accumulator": "accumulator", "pump check": "pump check", "inlet": "hose inlet", "fill valve": "fill valve", "pick-up": "pick-up valve",
	"heater": "heater", "bypass": "bypass valve", "toilet": "toilet valve", "outside shower": "outside shower head", "appliance": "icemaker or washer",
}

// A freeLook is one that costs nothing but going there.
type freeLook struct {
	At  string
	For diagnose.For
	Ask string
}

// freeLooks are those of a rig: first the round of the taps, then where water would
// show without a panel being opened.
func freeLooks(rig *network.Rig) []freeLook {
	list := []freeLook{{round, diagnose.LeftOn, "Go round every tap, the pedal and the outside shower. Is one not quite shut, or are handles on behind a shut shower head?"}}
	for _, p := range rig.Parts() {
		ask := ""
		switch p := p.(type) {
		case network.Fixture:
			if p.Toilet {
				ask = "Look into the toilet: does water run down into the bowl, or is its line wet?"
			}
		case network.Drain:
			ask = fmt.Sprintf("Look at the %s, under the floor or in a bay: does it drip?", p.Name)
		case network.ReliefValve:
			ask = fmt.Sprintf("Look at the %s of the water heater: does it drip?", p.Name)
		case network.VacuumBreaker:
			ask = fmt.Sprintf("Look at the %s: does it drip?", p.Name)
		case network.Hookup:
			if check := inletCheck(rig, p.At); check != "" {
				list = append(list, freeLook{check, diagnose.Drip, "Take the hose off. Does water come out of the hose inlet, with the pump on?"})
			}
		}
		if ask != "" {
			list = append(list, freeLook{p.ID(), diagnose.Drip, ask})
		}
	}
	const most = 7
	return list[:min(len(list), most)]
}

// inletCheck is the check that holds water back from a hookup; empty: there is none.
func inletCheck(rig *network.Rig, at string) string {
	joint := map[string]bool{at: true}
	for range rig.Parts() {
		for _, p := range rig.Parts() {
			js := p.Joints()
			switch p.(type) {
			case network.Check:
				if joint[js[0]] {
					return p.ID()
				}
			case network.Regulator, network.Tube, network.Filter, network.Strainer:
				for _, j := range js {
					if joint[j] {
						for _, k := range js {
							joint[k] = true
						}
					}
				}
			}
		}
	}
	return ""
}

// looked takes the answer to a free look.
func (c *Chapter) looked(at, value string) {
	for _, l := range freeLooks(c.rig()) {
		if l.At == at {
			c.job.look(diagnose.Look{At: at, For: l.For, Saw: seen(value)}, c.base())
			c.said = "Noted."
		}
	}
}

// look puts a look on the card. An answer that is thought better of takes its place.
func (j *job) look(l diagnose.Look, base network.Lineup) {
	for i := range j.Read {
		for k := range j.Read[i].Look {
			if old := &j.Read[i].Look[k]; old.At == l.At && old.For == l.For && i+1 == len(j.Read) {
				*old = l
				return
			}
		}
	}
	j.hand(diagnose.Reading{Lineup: base, Look: []diagnose.Look{l}}, false)
}

// The facts that move the order of suspicion, asked in plain words.
var facts = []struct {
	Key, Ask string
	of       func(f *diagnose.Facts) *diagnose.Told
	hose     bool // asked where there is a hose inlet
}{
	{"frozen", "Did it freeze, or was it made ready for winter, lately?", func(f *diagnose.Facts) *diagnose.Told { return &f.Frozen }, false},
	{"worked", "Is it new, or was it worked on lately?", func(f *diagnose.Facts) *diagnose.Told { return &f.Worked }, false},
	{"debris", "Is there sand or scale in the water?", func(f *diagnose.Facts) *diagnose.Told { return &f.Debris }, false},
	{"creeps", "Does the fresh tank fill by itself while the hose is on?", func(f *diagnose.Facts) *diagnose.Told { return &f.Creeps }, true},
	{"plunger", "Was the little plunger in the hose inlet pushed while there was pressure behind it?", func(f *diagnose.Facts) *diagnose.Told { return &f.Plunger }, true},
}

// ages of a pump, years, as they move the order of suspicion.
var ages = map[string]float64{"new": 0.5, "some": 4, "old": 10}

func (c *Chapter) fact(key, value string) {
	if key == "age" {
		c.job.Facts.PumpAge = ages[value]
	}
	for _, f := range facts {
		if f.Key == key {
			*f.of(&c.job.Facts) = seen(value)
		}
	}
}

// looksSheet are the free looks and the facts, all on one page, each at its will.
func (c *Chapter) looksSheet(s *sheet.Sheet) {
	s.Title = "Free looks first"
	s.Add(sheet.Words{Text: "A minute's walk often ends the search. Leave out what you cannot get to."})
	for _, l := range freeLooks(c.rig()) {
		chosen := ""
		if saw, told := c.job.saw(l.At, l.For); told {
			chosen = string(saw)
			if saw == diagnose.Unsaid {
				chosen = cant
			}
		}
		s.Add(sheet.Choice{Do: "look " + l.At, Ask: l.Ask, Chosen: chosen, Answers: []sheet.Answer{{Arg: yes, Text: "yes"}, {Arg: no, Text: "no"}, {Arg: cant, Text: "can't see"}}})
	}
	s.Add(sheet.Words{Text: "And what you know", Style: sheet.Head})
	s.Add(sheet.Choice{Do: "heater", Ask: "The water heater, while you listened", Chosen: string(c.job.Heater), Answers: heaterAnswers()[:3]})
	hose := hasKind("hookup")(c.rig())
	for _, f := range facts {
		if f.hose && !hose {
			continue
		}
		s.Add(sheet.Choice{Do: "fact " + f.Key, Ask: f.Ask, Chosen: string(*f.of(&c.job.Facts)), Answers: []sheet.Answer{{Arg: yes, Text: "yes"}, {Arg: no, Text: "no"}, {Arg: cant, Text: "don't know"}}})
	}
	age := sheet.Choice{Do: "fact age", Ask: "How old is the pump?", Answers: []sheet.Answer{{Arg: "new", Text: "under a year"}, {Arg: "some", Text: "a few years"}, {Arg: "old", Text: "over eight"}}}
	for word, years := range ages {
		if years == c.job.Facts.PumpAge {
			age.Chosen = word
		}
	}
	s.Add(age)
	s.Add(sheet.Buttons{List: []sheet.Button{{Do: "ask", Arg: "0", Text: "The parts once more", Off: c.job.told != nil}}})
	s.Next = &sheet.Button{Do: "next", Text: "Work it out"}
}
