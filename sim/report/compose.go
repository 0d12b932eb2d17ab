package report

import (
	"fmt"
	"slices"
	"strings"

	"quietpump/hydraulics/unit"
	"quietpump/network"
	"quietpump/sim/chart"
	"quietpump/sim/diagnose"
	"quietpump/sim/repair"
)

// compose puts a report into words.
func compose(r *Report, sys unit.System, brief bool) *page {
	p := &page{Rig: r.Case.Rig.Name(), sys: sys, noted: map[note]int{}}
	p.answer(r)
	if brief {
		p.next(r, true)
		return p
	}
	p.evidence(r)
	p.next(r, false)
	p.waiting(r)
	p.cures(r)
	p.worksheet(r)
	p.proof(r)
	p.cautions(r)
	p.paths(r)
	p.assumed(r)
	return p
}

// sure is the belief from which one part is named without its rivals.
const sure = 0.85

func (p *page) answer(r *Report) {
	s := section{Heading: "The answer", ID: "answer"}
	b := r.Belief
	if len(b.Hypotheses) == 0 {
		p.Title = "Nothing can be said yet."
		s.para("Time the pump: with every tap shut, from its stop to its next start, and from there to its stop.")
		p.add(s)
		return
	}
	h := b.Hypotheses[0]
	odds, name := diagnose.Chance(h.Belief), the(h)
	part := h.Kind != diagnose.Healthy && h.Kind != diagnose.None
	switch {
	case h.Belief < worthPlanning && part:
		p.Title = fmt.Sprintf("No part stands out yet. First comes %s, %s.", name, odds)
	case h.Belief < worthPlanning:
		p.Title = "No part stands out yet."
	case h.Kind == diagnose.Healthy:
		p.Title = fmt.Sprintf("Most likely nothing is wrong: %s.", odds)
	case h.Kind == diagnose.None:
		p.Title = fmt.Sprintf("Most likely none of the parts looked at: %s.", odds)
	case h.Kind == diagnose.Benign:
		p.Title = fmt.Sprintf("Most likely no leak but this: %s, %s.", name, odds)
	default:
		p.Title = fmt.Sprintf("Most likely %s: %s.", name, odds)
	}
	if size := b.Size; size.High > 0 {
		text := fmt.Sprintf("%s is getting away, at %s.", capital(p.sys.SayBetween(size.Low, size.High)), p.sys.Format(size.At, 2))
		if len(h.Ends) > 0 && h.Kind != diagnose.Benign {
			text += " There it would go " + into(h.Ends) + "."
		}
		s.para(text)
	}
	if h.Worst != "" {
		s.para("Of what you saw this fits it worst: " + stop(clock(h.Worst, p.sys)))
	}
	if h.Belief < sure {
		for _, g := range b.Groups {
			if len(g.Names) > 1 && g.Names[0] == h.Name {
				s.para(fmt.Sprintf("No test that is left tells these apart: %s. Together they are %s.", strings.Join(g.Names, "; "), diagnose.Chance(g.Belief)))
			}
		}
	}
	if len(b.Next) > 0 && b.Next[0].Words != "" {
		s.Blocks = append(s.Blocks, block{Lead: "Next: " + stop(owners(b.Next[0].Words))})
	}
	p.add(s)
}

// the is a hypothesis as a sentence names it.
func the(h diagnose.Hypothesis) string {
	if h.Kind == diagnose.OneSuspect && len(h.Suspects) == 1 && h.Suspects[0].Role != network.WeepConnections {
		return "the " + h.Name
	}
	return h.Name
}

func into(ends []network.Destination) string {
	var each []string
	for _, e := range ends {
		switch e {
		case network.ToGround:
			each = append(each, "onto the ground")
		default:
			each = append(each, "into the "+string(e))
		}
	}
	return and(each)
}

// mostTold is how many of the hypotheses, steps and assumptions a page tells.
const (
	mostTold    = 6
	leastBelief = 0.01
	mostAssumed = 6
)

func (p *page) evidence(r *Report) {
	s := section{Heading: "What it rests on", ID: "evidence"}
	var items []item
	for i, x := range r.Case.Readings {
		head := capital(stood(x.Lineup))
		if !x.When.IsZero() {
			head += ", " + x.When.Format("2 January 2006, 15:04")
		}
		items = append(items, item{Head: head + ":", line: line{Text: seen(x, p.sys)}})
		for _, d := range r.Case.Done {
			if d.Before == i+1 {
				items = append(items, p.done(d))
			}
		}
	}
	s.list(items, false)
	for _, f := range r.Belief.Findings {
		s.para(f.Words(p.sys))
	}
	t := table{Head: []string{"What it could be", "How likely", "It would rest, and run"}}
	rest, others := 0.0, 0
	for _, h := range r.Belief.Hypotheses {
		if len(t.Rows) == mostTold || h.Belief < leastBelief {
			rest, others = rest+h.Belief, others+1
			continue
		}
		quiet := "no start"
		if h.Rest > 0 {
			quiet = duration(h.Rest, p.sys)
			if h.Run > 0 {
				quiet += ", " + duration(h.Run, p.sys)
			}
		}
		if h.Kind == diagnose.None {
			quiet = "unknown"
		}
		t.Rows = append(t.Rows, []string{h.Name, diagnose.Chance(h.Belief), quiet})
	}
	if others > 0 {
		what := fmt.Sprintf("%d others together", others)
		if others == 1 {
			what = "one other"
		}
		t.Rows = append(t.Rows, []string{what, diagnose.Chance(rest), ""})
	}
	var figures []figure
	if r.Suspects != nil {
		figures = append(figures, figure{r.Suspects, true})
	}
	for _, f := range r.Pictures {
		if f != nil {
			figures = append(figures, figure{f, false})
		}
	}
	if len(t.Rows) > 0 || len(figures) > 0 {
		s.Blocks = append(s.Blocks, block{Table: &t, Figures: figures})
	}
	p.add(s)
}

// paths lists the ways by which the water could be leaving as the rig is used.
func (p *page) paths(r *Report) {
	s := section{Heading: "Where it could be going", ID: "paths"}
	var items []item
	for _, path := range r.Case.Rig.EscapePaths(asUsed(r.Case)) {
		items = append(items, item{line: line{Text: stop(capital(owners(path.Words)))}})
	}
	s.list(items, false)
	p.add(s)
}

func (p *page) done(d diagnose.Done) item {
	did := capital(d.Part)
	switch d.Do {
	case diagnose.DoSwap:
		did += " swapped"
	case diagnose.DoCure:
		did += " cured"
	case diagnose.DoQuiet:
		did = "Hold test"
	}
	text := d.Words
	switch d.After {
	case diagnose.Quiet:
		text = strings.TrimSpace(stop(text) + " The pump stayed quiet.")
	case diagnose.Same:
		text = strings.TrimSpace(stop(text) + " Nothing changed.")
	}
	return item{Head: did + ".", line: line{Text: text}}
}

func (p *page) next(r *Report, brief bool) {
	s := section{Heading: "What to do next", ID: "next"}
	if len(r.Belief.Next) == 0 {
		return
	}
	c := r.Belief.Next[0]
	took := ""
	if c.Minutes > 0 {
		took = "This takes about " + minutes(c.Minutes, p.sys)
		if c.Total > c.Minutes {
			took += "; to a pump that is proved quiet, about " + minutes(c.Total, p.sys) + " on average"
		}
		took += "."
	}
	s.list([]item{{Head: stop(capital(owners(c.Words))), line: line{Text: took}, Cautions: c.Cautions}}, false)
	if len(c.Outcomes) > 0 {
		t := table{Head: []string{"If you see", "How likely", "then first comes"}}
		for _, o := range c.Outcomes {
			t.Rows = append(t.Rows, []string{owners(o.Words), diagnose.Chance(o.Chance), o.Then})
		}
		s.Blocks = append(s.Blocks, block{Table: &t})
	}
	if !brief {
		var others []item
		for i, c := range r.Belief.Next[1:] {
			if i == 3 {
				break
			}
			others = append(others, item{line: line{Text: fmt.Sprintf("%s About %s.", stop(capital(owners(c.Words))), minutes(c.Minutes, p.sys))}, Cautions: c.Cautions})
		}
		if len(others) > 0 {
			s.Blocks = append(s.Blocks, block{Label: "If that cannot be done:", Items: others})
		}
		for _, o := range r.Belief.Otherwise {
			s.para(stop(owners(o)))
		}
		var refused []item
		for _, f := range r.Belief.Refused {
			refused = append(refused, item{line: line{Text: stop(owners(f.Words))}})
		}
		if len(refused) > 0 {
			s.Blocks = append(s.Blocks, block{Label: "Not to be done, and why:", Items: unique(refused)})
		}
	}
	p.add(s)
}

func unique(list []item) []item {
	seen := map[string]bool{}
	var out []item
	for _, i := range list {
		if !seen[i.Text] {
			seen[i.Text] = true
			out = append(out, i)
		}
	}
	return out
}

func (p *page) waiting(r *Report) {
	w := r.Waiting
	if w == nil {
		return
	}
	s := section{Heading: "If you leave it", ID: "waiting"}
	items := []item{{Head: "Water:", line: line{Text: between(p.sys, w.Water) + " a day."}}}
	if w.HasCurrent {
		items = append(items, item{Head: "Battery:", line: line{Text: between(p.sys, w.Charge) + " a day, for the pump alone."}})
	}
	starts := item{Head: "Pump:", line: line{Text: counted(w.Starts, p.sys) + " starts a day.", Refs: p.refs(w.Notes)}}
	if w.SwitchDays > 0 {
		starts.Text += fmt.Sprintf(" To picture it, and no forecast: an industrial switch is rated for as many as that makes in %s.", chart.Numbers("days", w.SwitchDays).Say(0, p.sys))
	}
	items = append(items, starts)
	for _, t := range w.Tanks {
		what := "spills"
		if t.Empty {
			what = "is empty"
		}
		items = append(items, item{Head: capital(t.Tank) + ":", line: line{Text: fmt.Sprintf("%s in about %s, at the soonest in %s.", what, duration(t.In.Mid, p.sys), duration(t.In.Low, p.sys))}})
	}
	if w.Weight.High > 0 {
		items = append(items, item{Head: "Weight:", line: line{Text: between(p.sys, w.Weight) + " more a day, until a tank is full."}})
	}
	if w.Pools {
		items = append(items, item{Head: "Wet floor:", line: line{Text: "the water may gather where you do not see it, and rot the floor."}})
	}
	s.list(items, false)
	p.add(s)
}

func (p *page) cures(r *Report) {
	if len(r.Cures) == 0 {
		return
	}
	s := section{Heading: "Try this first", ID: "cures"}
	var items []item
	for _, c := range r.Cures {
		text := fmt.Sprintf("%s %s; it helps %s times.", stop(owners(c.How)), minutes(c.Minutes, p.sys), diagnose.Chance(c.Chance))
		if c.Chance >= 0.95 || c.Chance < 0.05 {
			text = fmt.Sprintf("%s %s.", stop(owners(c.How)), minutes(c.Minutes, p.sys))
		}
		if c.Warning != "" {
			text += " But: " + stop(owners(c.Warning))
		}
		items = append(items, item{Head: capital(c.Do) + ".", line: line{Text: text, Refs: p.refs(c.Notes)}, Cautions: cautioned(c.Cautions)})
	}
	s.list(items, true)
	p.add(s)
}

func cautioned(list []repair.Caution) []string {
	var out []string
	for _, c := range list {
		out = append(out, owners(string(c)))
	}
	return out
}

func (p *page) worksheet(r *Report) {
	w := r.Worksheet
	if w == nil {
		return
	}
	s := section{Heading: "The swap, step by step", ID: "worksheet"}
	tools := fmt.Sprintf("%s comes out.", capital(w.Part))
	if w.Rings > 0 {
		tools += fmt.Sprintf(" You need %d rings, and %d to spare.", w.Rings, w.Spare)
	}
	for _, t := range w.Tube {
		tools += fmt.Sprintf(" Cut %s of %s %s tube.", repair.Tape(p.sys, t.Length), t.Size, strings.ToUpper(t.Material))
	}
	s.para(tools, p.refs(w.Notes)...)
	held := map[string]bool{}
	if r.Hold != nil {
		for _, h := range r.Hold.Steps {
			held[h.Words] = true
		}
	}
	var items []item
	for _, step := range w.Steps {
		if !held[step.Words] { // told once, where the proof is
			items = append(items, item{line: line{Text: owners(step.Words)}, Cautions: cautioned(step.Cautions)})
		}
	}
	s.list(items, true)
	p.add(s)
}

func (p *page) proof(r *Report) {
	h := r.Hold
	if h == nil && r.Proof == nil {
		return
	}
	s := section{Heading: "Prove it", ID: "proof"}
	if h != nil {
		lead := fmt.Sprintf("%s without a start, counted from a pump stop you saw: then less than %s is getting away, 19 times in 20.",
			capital(duration(h.Quiet, p.sys)), p.sys.Say(h.Below))
		if h.TooLong {
			lead += " Nobody stands by for so long: prove a larger leak, or look for water instead."
		}
		s.Blocks = append(s.Blocks, block{Lead: lead})
		var items []item
		for _, step := range h.Steps {
			items = append(items, item{line: line{Text: owners(step.Words)}, Cautions: cautioned(step.Cautions)})
		}
		s.list(items, true)
	}
	var notes []repair.Note
	if h != nil {
		notes = append(notes, h.Notes...)
	}
	if r.Proof != nil && r.Proof.Words != "" {
		s.para("The usual quarter of an hour: "+stop(owners(r.Proof.Words)), p.refs(append(notes, r.Proof.Notes...))...)
	}
	p.add(s)
}

// Cautions are those that every page which proposes work carries, whatever its
// steps say beside them.
func Cautions() []repair.Caution { return slices.Clone(always) }

var always = []repair.Caution{
	repair.PullFuse, repair.HeaterOff, repair.HeaterOn, repair.NeverPlug, repair.Regulated, repair.BesideHose, repair.Chlorine, repair.PotableOnly,
	repair.NotUnder, repair.Overnight, repair.LastWord,
}

func (p *page) cautions(*Report) {
	s := section{Heading: "Before you work on it", ID: "cautions"}
	var items []item
	for _, c := range cautioned(always) {
		items = append(items, item{line: line{Text: c}})
	}
	s.list(items, false)
	p.add(s)
}

func (p *page) assumed(r *Report) {
	list := r.Belief.Assumed
	if len(list) == 0 {
		return
	}
	s := section{Heading: "Assumed, not told", ID: "assumed"}
	s.para("What matters most to the answer comes first. Measure it, and the answer gets surer.")
	t := table{Head: []string{"What", "taken to be", "from"}}
	var told []string
	more := 0
	for _, a := range list {
		name := strings.TrimSpace(a.Part + " " + owners(strings.ReplaceAll(a.Field, "_", " ")))
		switch {
		case len(told)+len(t.Rows) == mostAssumed:
			more++
		case a.Told:
			told = append(told, name)
		default:
			t.Rows = append(t.Rows, []string{name, owners(a.Value), a.Source})
		}
	}
	if len(t.Rows) > 0 {
		s.Blocks = append(s.Blocks, block{Table: &t})
	}
	if len(told) > 0 {
		s.para("Told, but not how far it could be off, so the usual ± stands in: " + and(told) + ".")
	}
	if more > 0 {
		s.para(fmt.Sprintf("And %d more.", more))
	}
	p.add(s)
}
