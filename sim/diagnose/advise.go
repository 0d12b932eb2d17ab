package diagnose

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// advise draws up the choices.
func (pl *planner) advise(totals []float64) {
	s := pl.s
	room := pl.at(0)
	pl.beliefs(pl.weight, room.belief)
	var list []Choice
	// Of the remedies the one to try first, with or without more to be told after it.
	now, first := pl.act(room.belief, pl.opened(), room)
	for k := range pl.acts {
		if t := pl.trying(k, pl.weight, 1, pl.opened(), now); t < now {
			now, first = t, k
		}
	}
	if first >= 0 {
		list = append(list, pl.actChoice(first, now))
	}
	for k := range pl.steps {
		if c, ok := pl.stepChoice(k, totals[k]); ok {
			list = append(list, c)
		}
	}
	slices.SortStableFunc(list, func(a, b Choice) int {
		return cmp.Or(cmp.Compare(a.Total, b.Total), cmp.Compare(a.Words, b.Words))
	})
	if len(list) > shown {
		list = list[:shown]
	}
	for i := range list {
		list[i].Cautions = s.cautions(&list[i])
	}
	s.b.Next = list
	pl.otherwise()
}

func (pl *planner) actChoice(k int, total float64) Choice {
	a := pl.acts[k]
	c := Choice{Do: a.do, Part: a.part, Words: capital(pl.words(k)), Minutes: a.cost + a.reach, Total: total, Lineup: pl.s.base}
	right := 0.0
	for _, i := range pl.alive {
		if pl.needs[i] == 1<<uint(k) {
			right += pl.s.b.Hypotheses[i].Belief
		}
	}
	if c.Do == DoQuiet {
		c.Watch = seconds(1800)
	}
	c.Outcomes = []Outcome{{Words: "the pump stays quiet", Chance: right, Then: "done"}, {Words: "it goes on as before", Chance: 1 - right, Then: ""}}
	return c
}

// words are those of remedy k, with what else it makes an end of: else a person would rebuild the valves of a pump whose
// switch may be at fault and count the pump as done.
func (pl *planner) words(k int) string {
	words := pl.acts[k].what
	for _, i := range pl.alive {
		x := &pl.s.list[i]
		if x.cause == NarrowSwitch && pl.needs[i] == 1<<uint(k) && x.remedy[0].what != words && pl.s.b.Hypotheses[i].Belief >= worthTelling {
			words += ", and its switch"
		}
	}
	return words
}

// worthTelling is the belief from which on it is told that a remedy settles something else as well.
const worthTelling = 0.005

func (pl *planner) stepChoice(k int, total float64) (Choice, bool) {
	s, st := pl.s, &pl.steps[k]
	c := st.Choice
	c.Total = total
	sum := 0.0
	for i, w := range pl.weight {
		sum += w
		c.Minutes += w * pl.spent[k][i]
	}
	c.Minutes = c.Minutes/sum + pl.opening(pl.under[k], pl.opened())
	b := make([]float64, len(s.list))
	pl.beliefs(pl.weight, b)
	c.Bits = entropy(b)
	for o, words := range st.shows {
		clear(b)
		p := 0.0
		for i, w := range pl.weight {
			x := w * pl.like[k][o][i]
			b[pl.points[i].theory] += x
			p += x
		}
		c.Bits -= p / sum * entropy(b)
		lead := 0
		for i := range b {
			if b[i] > b[lead] {
				lead = i
			}
		}
		then := s.list[lead].name
		if st.heals != nil && o == 0 {
			then = "done"
		}
		c.Outcomes = append(c.Outcomes, Outcome{words, p / sum, then})
	}
	slices.SortStableFunc(c.Outcomes, func(a, b Outcome) int { return cmp.Compare(b.Chance, a.Chance) })
	return c, !math.IsInf(total, 1) && !math.IsNaN(total)
}

// entropy of beliefs that need not add up to 1, bits.
func entropy(b []float64) float64 {
	sum, h := 0.0, 0.0
	for _, x := range b {
		sum += x
	}
	for _, x := range b {
		if x > 0 {
			h -= x / sum * math.Log2(x/sum)
		}
	}
	return h
}

// doubted is how many of the most believed theories have their odds halved and doubled, and from
// what belief on.
const (
	doubted    = 3
	worthDoubt = 0.1
)

// otherwise says how the advice changes when the odds of what leads are halved or doubled: of
// each other step that comes first then, one way to it.
func (pl *planner) otherwise() {
	s := pl.s
	if len(s.b.Next) == 0 {
		return
	}
	told := map[string]bool{s.b.Next[0].Words: true}
	// It looks less far than the advice does: what it would say itself is no change.
	work := []func() error{func() error { told[pl.firstWith(0, 1)] = true; return nil }}
	for i := range s.list[:min(doubted, len(s.list))] {
		if i > 0 && s.b.Hypotheses[i].Belief < worthDoubt {
			break
		}
		for _, by := range []float64{0.5, 2} {
			work = append(work, func() error {
				words := pl.firstWith(i, by)
				if told[words] {
					return nil
				}
				told[words] = true
				how := "half"
				if by > 1 {
					how = "twice"
				}
				s.b.Otherwise = append(s.b.Otherwise, fmt.Sprintf("Were %s %s as likely to begin with, the next step would be: %s", s.list[i].name, how, words))
				return nil
			})
		}
	}
	s.then(work...)
}

// firstWith is the step that comes first when the odds of a theory are so many times what they are.
func (pl *planner) firstWith(theory int, by float64) string {
	w := slices.Clone(pl.weight)
	for i, p := range pl.points {
		if p.theory == theory {
			w[i] *= by
		}
	}
	open := pl.opened()
	room := pl.at(0)
	pl.beliefs(w, room.belief)
	best, first := pl.act(room.belief, open, room)
	words := ""
	if first >= 0 {
		words = capital(pl.words(first))
	}
	for k := range pl.steps {
		if !pl.worth(k, w) {
			continue
		}
		if t := pl.through(k, w, 1, open, best); t < best {
			best, words = t, pl.steps[k].Words
		}
	}
	return words
}

func capital(text string) string {
	for i, r := range text {
		if i == 0 {
			return string(r-('a'-'A')*rune(bool01(r >= 'a' && r <= 'z'))) + text[1:]
		}
	}
	return text
}

// Chance says a belief as people say it: "about 7 in 10".
func Chance(x float64) string {
	switch {
	case x >= 0.985:
		return "almost certain"
	case x >= 0.95:
		return "more than 19 in 20"
	case x >= 0.05:
		return fmt.Sprintf("about %.0f in 10", max(math.Round(10*x), 1))
	case x >= 0.005:
		return fmt.Sprintf("about %.0f in 100", math.Round(100*x))
	}
	return "hardly likely"
}
