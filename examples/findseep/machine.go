package main

import (
	"encoding/json"
	"io"

	"quietpump/network"
	"quietpump/sim/diagnose"
)

// The answer as programs read it; the command's doc comment says what each field is.
type machine struct {
	Seen     machineSeen      `json:"seen"`
	Seep     machineSeep      `json:"seep"`
	Drawdown machineDrawdown  `json:"drawdown"`
	Paths    []machinePath    `json:"paths"`
	Suspects []machineSuspect `json:"suspects"`
	Findings []machineFinding `json:"findings"`
	Assumed  []machineAssumed `json:"assumed"`
	Cautions []string         `json:"cautions"`
}

type machineSeen struct {
	Rest   []float64 `json:"rest_s"`
	Run    []float64 `json:"run_s"`
	Every  []float64 `json:"every_s"`
	Cup    []float64 `json:"cup_m3"`
	Lineup string    `json:"lineup"`
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
	Part  string   `json:"part"`
	Name  string   `json:"name"`
	Ends  []string `json:"ends"`
	Seep  float64  `json:"seep_m3s"`
	Rest  float64  `json:"rest_s"`
	Run   float64  `json:"run_s"`
	Unfit string   `json:"unfit"`
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
}

func writeJSON(w io.Writer, o options, _ *network.Rig, a *diagnose.Answer) error {
	m := machine{
		Seen:     machineSeen{secondsOf(a.Reading.Rest), secondsOf(a.Reading.Run), secondsOf(a.Reading.Every), []float64{}, a.Reading.Lineup.String()},
		Seep:     machineSeep{float64(a.Size.Low), float64(a.Size.Mid), float64(a.Size.High), float64(a.Size.At), []machineWay{}},
		Drawdown: machineDrawdown{float64(a.Size.LowDrawdown), float64(a.Size.HighDrawdown)},
		Paths:    []machinePath{}, Suspects: []machineSuspect{}, Findings: []machineFinding{}, Assumed: []machineAssumed{},
		Cautions: cautions,
	}
	for _, c := range a.Reading.Cup {
		m.Seen.Cup = append(m.Seen.Cup, float64(c.Value))
	}
	for _, y := range a.Size.Ways {
		m.Seep.Ways = append(m.Seep.Ways, machineWay{y.By, float64(y.Low), float64(y.Mid), float64(y.High)})
	}
	for _, p := range a.Paths {
		m.Paths = append(m.Paths, machinePath{string(p.To), p.Where, append([]string{}, p.Parts...), p.Words})
	}
	for _, s := range a.Suspects {
		ends := []string{}
		for _, e := range s.Ends {
			ends = append(ends, string(e))
		}
		m.Suspects = append(m.Suspects, machineSuspect{s.Seep.Part, s.Name, ends, float64(s.Seep.Ref), s.Rest.Seconds(), s.Run.Seconds(), s.Unfit})
	}
	for _, f := range a.Findings {
		m.Findings = append(m.Findings, machineFinding{string(f), f.Words(o.units)})
	}
	for _, v := range a.Assumed {
		m.Assumed = append(m.Assumed, machineAssumed{v.Part, v.Field, v.Value, v.Source, v.Share})
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(m)
}

func secondsOf(times []diagnose.Time) []float64 {
	out := []float64{}
	for _, t := range times {
		out = append(out, t.Value.Seconds())
	}
	return out
}
