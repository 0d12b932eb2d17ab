package main

import (
	"encoding/csv"
	"io"
	"strconv"

	"quietpump/examples/internal/ask"
	"quietpump/sim"
)

// output is the JSON object; the command's comment documents it.
type output struct {
	Until    float64       `json:"until_s"`
	Events   []sim.Event   `json:"events"`
	Samples  []sample      `json:"samples"`
	Ledger   sim.Ledger    `json:"ledger"`
	Effort   sim.Effort    `json:"effort"`
	Warnings []sim.Warning `json:"warnings"`
	Chatter  *sim.Chatter  `json:"chatter"`
	Assumed  []ask.Untold  `json:"assumed"`
}

type sample struct {
	At       float64             `json:"at_s"`
	Pressure map[string]*float64 `json:"pressure_pa"` // nil where nothing decides it
	Flow     map[string]float64  `json:"flow_m3s"`
}

func (j *job) writeJSON(w io.Writer) error {
	out := output{
		Until: j.rec.Until, Events: append([]sim.Event{}, j.rec.Events...), Samples: []sample{},
		Ledger: j.rec.Ledger, Effort: j.rec.Effort, Warnings: append([]sim.Warning{}, j.rec.Warnings...), Chatter: j.rec.Chatter,
		Assumed: ask.UntoldOf(j.rig),
	}
	for i := range j.rec.Samples {
		s := &j.rec.Samples[i]
		x := sample{At: s.At, Pressure: map[string]*float64{}, Flow: map[string]float64{}}
		for _, joint := range j.rig.Joints() {
			x.Pressure[joint.Name] = nil
			if p, ok := s.Pressure(joint.Name); ok {
				pa := float64(p)
				x.Pressure[joint.Name] = &pa
			}
		}
		for _, part := range j.rig.Parts() {
			if q, ok := s.Flow(part.ID()); ok {
				x.Flow[part.ID()] = float64(q)
			}
		}
		out.Samples = append(out.Samples, x)
	}
	return ask.WriteJSON(w, out)
}

func (j *job) writeCSV(w io.Writer) error {
	digits := func(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
	rows := [][]string{{"at_s", "part", "what"}}
	if len(j.at) == 0 {
		for _, e := range j.rec.Events {
			rows = append(rows, []string{digits(e.At), e.Part, string(e.What)})
		}
	} else {
		rows = [][]string{{"at_s", "name", "quantity", "value"}}
	}
	for i := range j.rec.Samples {
		s := &j.rec.Samples[i]
		for _, joint := range j.rig.Joints() {
			value := ""
			if p, ok := s.Pressure(joint.Name); ok {
				value = digits(float64(p))
			}
			rows = append(rows, []string{digits(s.At), joint.Name, "pressure_pa", value})
		}
		for _, part := range j.rig.Parts() {
			if q, ok := s.Flow(part.ID()); ok {
				rows = append(rows, []string{digits(s.At), part.ID(), "flow_m3s", digits(float64(q))})
			}
		}
	}
	return csv.NewWriter(w).WriteAll(rows)
}
