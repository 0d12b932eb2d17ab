package main

import (
	"io"
	"slices"

	"quietpump/examples/internal/ask"
	"quietpump/hydraulics/unit"
	"quietpump/sim/diagnose"
	"quietpump/sim/repair"
	"quietpump/sim/report"
)

// The answer as programs read it; the command's doc comment says what each field is.
type machine struct {
	Seen      machineSeen       `json:"seen"`
	Seep      machineSeep       `json:"seep"`
	Drawdown  machineDrawdown   `json:"drawdown"`
	Paths     []machinePath     `json:"paths"`
	Suspects  []machineSuspect  `json:"suspects"`
	Next      *machineStep      `json:"next"`
	Refused   []machineRefusal  `json:"refused"`
	Waiting   *machineWaiting   `json:"waiting"`
	Cures     []machineCure     `json:"cures"`
	Worksheet *machineWorksheet `json:"worksheet"`
	Hold      *machineHold      `json:"hold"`
	Findings  []machineFinding  `json:"findings"`
	Assumed   []machineAssumed  `json:"assumed"`
	Cautions  []string          `json:"cautions"`
}

type machineSeen struct {
	Rest     []float64 `json:"rest_s"`
	Run      []float64 `json:"run_s"`
	Every    []float64 `json:"every_s"`
	Cup      []float64 `json:"cup_m3"`
	Lineup   string    `json:"lineup"`
	Readings int       `json:"readings"`
}

type machineSeep struct {
	Low  float64      `json:"low_m3s"`
	Mid  float64      `json:"mid_m3s"`
	High float64      `json:"high_m3s"`
	At   float64      `json:"at_pa"`
	Ways []machineWay `json:"ways"`
}

type machineWay struct {
	By   string  `json:"by"`
	Low  float64 `json:"low_m3s"`
	Mid  float64 `json:"mid_m3s"`
	High float64 `json:"high_m3s"`
}

type machineDrawdown struct {
	Low  float64 `json:"low_m3"`
	High float64 `json:"high_m3"`
}

type machinePath struct {
	To    string   `json:"to"`
	Where string   `json:"where"`
	Parts []string `json:"parts"`
	Words string   `json:"words"`
}

type machineSuspect struct {
	Part        string   `json:"part"`
	Parts       []string `json:"parts"`
	Name        string   `json:"name"`
	Kind        string   `json:"kind"`
	Group       []string `json:"group"`
	Belief      float64  `json:"belief"`
	GroupBelief float64  `json:"group_belief"`
	Ends        []string `json:"ends"`
	Low         float64  `json:"seep_low_m3s"`
	Mid         float64  `json:"seep_m3s"`
	High        float64  `json:"seep_high_m3s"`
	Rest        float64  `json:"rest_s"`
	Run         float64  `json:"run_s"`
	Worst       string   `json:"worst"`
}

type machineStep struct {
	Do       string           `json:"do"`
	Part     string           `json:"part"`
	What     string           `json:"what"`
	Lineup   string           `json:"lineup"`
	Watch    float64          `json:"watch_s"`
	Minutes  float64          `json:"minutes"`
	Total    float64          `json:"total_minutes"`
	Outcomes []machineOutcome `json:"outcomes"`
	Cautions []string         `json:"cautions"`
	OrElse   []machineStep    `json:"or_else,omitempty"`
}

type machineOutcome struct {
	What   string  `json:"what"`
	Chance float64 `json:"chance"`
	Then   string  `json:"then"`
}

type machineRefusal struct {
	Rule   string `json:"rule"`
	Lineup string `json:"lineup"`
	Why    string `json:"why"`
}

type machineRange struct {
	Low  float64 `json:"low"`
	Mid  float64 `json:"mid"`
	High float64 `json:"high"`
}

type machineWaiting struct {
	Water  machineRange  `json:"water_m3"`
	Starts machineRange  `json:"starts"`
	Charge *machineRange `json:"charge_as"`
	Weight machineRange  `json:"weight_kg"`
	Tanks  []machineTank `json:"tanks"`
	Pools  bool          `json:"pools"`
}

type machineTank struct {
	Tank string       `json:"tank"`
	What string       `json:"what"`
	In   machineRange `json:"in_s"`
}

type machineCure struct {
	What     string   `json:"what"`
	How      string   `json:"how"`
	Minutes  float64  `json:"minutes"`
	Chance   float64  `json:"chance"`
	Cautions []string `json:"cautions"`
}

type machineWorksheet struct {
	Part   string        `json:"part"`
	Lineup string        `json:"lineup"`
	Steps  []machineTask `json:"steps"`
}

type machineTask struct {
	What     string   `json:"what"`
	Cautions []string `json:"cautions"`
}

type machineHold struct {
	Quiet   float64       `json:"quiet_s"`
	Below   float64       `json:"below_m3s"`
	Share   float64       `json:"share"`
	TooLong bool          `json:"too_long"`
	Steps   []machineTask `json:"steps"`
}

type machineFinding struct {
	What  string `json:"what"`
	Words string `json:"words"`
}

type machineAssumed struct {
	Part   string  `json:"part"`
	Field  string  `json:"field"`
	Value  string  `json:"value"`
	Source string  `json:"source"`
	Share  float64 `json:"share"`
	Told   bool    `json:"told"`
}

// writeJSON writes a report for programs. Its words are in the units of people,
// its numbers in SI units.
func writeJSON(w io.Writer, r *report.Report, units unit.System) error {
	c, b := r.Case, r.Belief
	first := watched(c.Readings)
	m := machine{
		Seen:     machineSeen{secondsOf(first.Rest), secondsOf(first.Run), secondsOf(first.Every), []float64{}, first.Lineup.String(), len(c.Readings)},
		Seep:     machineSeep{float64(b.Size.Low), float64(b.Size.Mid), float64(b.Size.High), float64(b.Size.At), []machineWay{}},
		Drawdown: machineDrawdown{float64(b.Size.LowDrawdown), float64(b.Size.HighDrawdown)},
		Paths:    []machinePath{}, Suspects: suspectsOf(b), Refused: []machineRefusal{}, Cures: []machineCure{},
		Waiting: waitingOf(r.Waiting), Worksheet: worksheetOf(r.Worksheet), Hold: holdOf(r.Hold),
		Findings: []machineFinding{}, Assumed: []machineAssumed{}, Cautions: words(report.Cautions()),
	}
	for _, x := range c.Readings {
		for _, cup := range x.Cup {
			m.Seen.Cup = append(m.Seen.Cup, float64(cup.Value))
		}
	}
	for _, y := range b.Size.Ways {
		m.Seep.Ways = append(m.Seep.Ways, machineWay{y.By, float64(y.Low), float64(y.Mid), float64(y.High)})
	}
	for _, p := range c.Rig.EscapePaths(first.Lineup) {
		m.Paths = append(m.Paths, machinePath{string(p.To), p.Where, append([]string{}, p.Parts...), p.Words})
	}
	for i, step := range b.Next {
		if i == 0 {
			s := stepOf(step)
			m.Next = &s
		} else {
			m.Next.OrElse = append(m.Next.OrElse, stepOf(step))
		}
	}
	for _, x := range b.Refused {
		m.Refused = append(m.Refused, machineRefusal{string(x.Rule), x.Lineup.String(), x.Words})
	}
	for _, x := range r.Cures {
		m.Cures = append(m.Cures, machineCure{x.Do, x.How, x.Minutes, x.Chance, words(x.Cautions)})
	}
	for _, f := range b.Findings {
		m.Findings = append(m.Findings, machineFinding{string(f), f.Words(units)})
	}
	for _, v := range b.Assumed {
		m.Assumed = append(m.Assumed, machineAssumed{v.Part, v.Field, v.Value, v.Source, v.Share, v.Told})
	}
	return ask.WriteJSON(w, m)
}

func suspectsOf(b *diagnose.Belief) []machineSuspect {
	list := []machineSuspect{}
	for _, h := range b.Hypotheses {
		s := machineSuspect{
			Parts: append([]string{}, h.Parts...), Name: h.Name, Kind: string(h.Kind), Group: []string{}, Belief: h.Belief, GroupBelief: h.Belief,
			Ends: words(h.Ends), Low: float64(h.Low), Mid: float64(h.Mid), High: float64(h.High),
			Rest: h.Rest.Seconds(), Run: h.Run.Seconds(), Worst: h.Worst,
		}
		if len(h.Parts) == 1 {
			s.Part = h.Parts[0]
		}
		for _, g := range b.Groups {
			if len(g.Names) > 1 && slices.Contains(g.Names, h.Name) {
				s.Group, s.GroupBelief = g.Names, g.Belief
			}
		}
		list = append(list, s)
	}
	return list
}

func stepOf(c diagnose.Choice) machineStep {
	s := machineStep{
		Do: string(c.Do), Part: c.Part, What: c.Words, Lineup: c.Lineup.String(), Watch: c.Watch.Seconds(), Minutes: c.Minutes, Total: c.Total,
		Outcomes: []machineOutcome{}, Cautions: append([]string{}, c.Cautions...),
	}
	for _, o := range c.Outcomes {
		s.Outcomes = append(s.Outcomes, machineOutcome{o.Words, o.Chance, o.Then})
	}
	return s
}

func waitingOf(w *repair.Waiting) *machineWaiting {
	if w == nil {
		return nil
	}
	m := &machineWaiting{Water: rangeOf(w.Water), Starts: rangeOf(w.Starts), Weight: rangeOf(w.Weight), Tanks: []machineTank{}, Pools: w.Pools}
	if w.HasCurrent {
		charge := rangeOf(w.Charge)
		m.Charge = &charge
	}
	for _, t := range w.Tanks {
		what := "full"
		if t.Empty {
			what = "empty"
		}
		m.Tanks = append(m.Tanks, machineTank{t.Tank, what, machineRange{t.In.Low.Seconds(), t.In.Mid.Seconds(), t.In.High.Seconds()}})
	}
	return m
}

func worksheetOf(w *repair.Worksheet) *machineWorksheet {
	if w == nil {
		return nil
	}
	return &machineWorksheet{w.Part, w.Close.String(), tasks(w.Steps)}
}

func holdOf(h *repair.HoldTest) *machineHold {
	if h == nil {
		return nil
	}
	return &machineHold{h.Quiet.Seconds(), float64(h.Below), h.Share, h.TooLong, tasks(h.Steps)}
}

func tasks(steps []repair.Step) []machineTask {
	list := []machineTask{}
	for _, s := range steps {
		list = append(list, machineTask{s.Words, words(s.Cautions)})
	}
	return list
}

func rangeOf[Q ~float64](r repair.Range[Q]) machineRange {
	return machineRange{float64(r.Low), float64(r.Mid), float64(r.High)}
}

// words are texts of a type of their own.
func words[S ~string](list []S) []string {
	out := []string{}
	for _, s := range list {
		out = append(out, string(s))
	}
	return out
}

func secondsOf(times []diagnose.Time) []float64 {
	out := []float64{}
	for _, t := range times {
		out = append(out, t.Value.Seconds())
	}
	return out
}
